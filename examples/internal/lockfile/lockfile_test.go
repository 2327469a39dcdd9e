package lockfile

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// kinds are the two ways of locking, the second with short times.
var kinds = map[string]func(string) (*Lock, error){
	"system": Acquire,
	"claim":  func(path string) (*Lock, error) { return acquireClaim(path, 50*time.Millisecond, 2*time.Second) },
}

// A lock is held by one at a time, who is named, and leaves no file.
func TestOneHolder(t *testing.T) {
	for name, acquire := range kinds {
		dir := t.TempDir()
		path := filepath.Join(dir, "lock")
		for range 3 {
			l, err := acquire(path)
			if err != nil {
				t.Fatal(name, err)
			}
			_, err = acquire(path)
			var held *HeldError
			if !errors.As(err, &held) || held.Holder.PID != os.Getpid() || time.Since(held.Holder.Started) > time.Minute {
				t.Errorf("%s: %v", name, err)
			}
			if err := l.Release(); err != nil {
				t.Error(name, err)
			}
		}
		if left, _ := os.ReadDir(dir); len(left) > 0 {
			t.Errorf("%s: left behind: %v", name, left)
		}
	}
}

// What a process left that was killed is taken over: at once where the system
// ends the lock, after the time of a claim elsewhere. A claim that is renewed
// is not.
func TestCrashedHolder(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lock")
	if err := os.WriteFile(path, []byte(`{"pid":1,"host":"gone","started":"2020-01-01T00:00:00Z"}`), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := acquireClaim(path, time.Second, time.Minute); err == nil || !strings.Contains(err.Error(), `process 1 on "gone" holds this lock since 2020-01-01`) {
		t.Errorf("a fresh claim: %v", err)
	}
	past := time.Now().Add(-2 * time.Minute)
	if err := os.Chtimes(path, past, past); err != nil {
		t.Fatal(err)
	}
	l, err := acquireClaim(path, 10*time.Millisecond, time.Minute)
	if err != nil {
		t.Fatal(err)
	}
	// The beat renews the time of the claim.
	if err := os.Chtimes(path, past, past); err != nil {
		t.Fatal(err)
	}
	renewed := false
	for range 500 {
		info, err := os.Stat(path)
		if renewed = err == nil && time.Since(info.ModTime()) < time.Minute; renewed {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	if !renewed {
		t.Error("a claim is not renewed")
	}
	if err := l.Release(); err != nil {
		t.Error(err)
	}
	if err := os.WriteFile(path, []byte("{}"), 0o644); err != nil {
		t.Fatal(err)
	}
	if l, err = kinds["system"](path); err != nil {
		t.Fatal("a file that nobody locks: ", err)
	}
	l.Release()
}
