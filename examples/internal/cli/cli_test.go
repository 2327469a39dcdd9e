package cli

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"example.com/steelyard/units"
)

func TestExitCode(t *testing.T) {
	for _, c := range []struct {
		err  error
		want int
	}{
		{nil, 0},
		{flag.ErrHelp, 0},
		{errors.New("disk full"), 1},
		{Usagef("no such flag"), 2},
		{fmt.Errorf("design.json: %w", Usagef("no such flag")), 2},
		{&units.FieldError{Path: "machine.mass"}, 2},
		{Stopped{syscall.SIGINT}, 130},
		{fmt.Errorf("at row 7: %w", Stopped{syscall.SIGTERM}), 143},
	} {
		if got := ExitCode(c.err); got != c.want {
			t.Errorf("%v: exit code %d, want %d", c.err, got, c.want)
		}
	}
}

func TestMainStopsAtASignal(t *testing.T) {
	var stderr bytes.Buffer
	code := Main("p", &stderr, func(ctx context.Context) error {
		if err := syscall.Kill(os.Getpid(), syscall.SIGTERM); err != nil {
			t.Fatal(err)
		}
		select {
		case <-ctx.Done():
			return fmt.Errorf("row 7: %w", context.Cause(ctx))
		case <-time.After(10 * time.Second):
			return errors.New("the signal did not come")
		}
	})
	if code != 143 || !strings.Contains(stderr.String(), "p: row 7: stopped by a signal") {
		t.Errorf("exit code %d, %q", code, stderr.String())
	}
}

// An error may hold anything that a user typed.
func TestReportIsBoundedAndVisible(t *testing.T) {
	var b bytes.Buffer
	Report(&b, "p", errors.New("name: \x1b[2J\u009b\u202e: must be short\nb"))
	if want := "p: name: \ufffd[2J\ufffd\ufffd: must be short\np: b\n"; b.String() != want {
		t.Errorf("got %q, want %q", b.String(), want)
	}
	b.Reset()
	Report(&b, "p", errors.New(strings.Repeat(strings.Repeat("x", 1e5)+"\n", 1000)))
	if text := b.String(); len(text) > 500e3 || !strings.HasSuffix(text, "p: and 800 more lines\n") {
		t.Errorf("%d bytes, %q", len(text), text[len(text)-30:])
	}
}

func TestReadFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "f")
	if _, err := ReadFile(path, 10); ExitCode(err) != BadInput || !strings.HasPrefix(err.Error(), path+": ") {
		t.Errorf("missing file: %v", err)
	}
	if err := os.WriteFile(path, []byte("0123456789"), 0o600); err != nil {
		t.Fatal(err)
	}
	if got, err := ReadFile(path, 10); err != nil || len(got) != 10 {
		t.Errorf("got %q, %v", got, err)
	}
	if _, err := ReadFile(path, 9); ExitCode(err) != BadInput {
		t.Errorf("too large: %v", err)
	}
}
