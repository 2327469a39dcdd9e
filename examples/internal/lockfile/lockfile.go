// Package lockfile keeps two processes from working on the same files. A lock is a file that
// names its holder. If the system has advisory locks (flock), the lock ends with its process,
// however the process ends. Otherwise a claim is used instead: a file whose time its holder
// renews, and which others may take over if it was not renewed for a minute.
package lockfile

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"time"
)

// Holder is the process that holds a lock.
type Holder struct {
	PID     int       `json:"pid"`
	Host    string    `json:"host"`
	Started time.Time `json:"started"` // when it took the lock
}

func self() Holder {
	host, _ := os.Hostname()
	return Holder{os.Getpid(), host, time.Now().UTC().Truncate(time.Second)}
}

// HeldError says that another process holds a lock. The holder is zero if that process has not
// yet written its name.
type HeldError struct {
	Path   string
	Holder Holder
}

// Error names the holder by process id, host and time.
func (e *HeldError) Error() string {
	if e.Holder.PID == 0 {
		return e.Path + ": another process has just taken this lock"
	}
	return fmt.Sprintf("%s: process %d on %.100q holds this lock since %s", e.Path, e.Holder.PID, e.Holder.Host, e.Holder.Started.Format(time.RFC3339))
}

// Lock is a lock that this process holds.
type Lock struct{ release func() error }

// Release releases the lock and removes its file.
func (l *Lock) Release() error { return l.release() }

// Acquire takes the lock of a file name, or returns a [HeldError] at once if
// another process, or another part of this one, holds it.
func Acquire(path string) (*Lock, error) {
	l, err := acquireAdvisory(path)
	if errors.Is(err, errors.ErrUnsupported) {
		return acquireClaim(path+".claim", claimBeat, claimStale)
	}
	return l, err
}

// maxHolder is the greatest number of bytes that are read of a lock's file.
const maxHolder = 4 << 10

// heldBy returns the error of a lock that another process holds.
func heldBy(path string) error {
	e := &HeldError{Path: path}
	if f, err := os.Open(path); err == nil {
		defer f.Close()
		text, _ := io.ReadAll(io.LimitReader(f, maxHolder))
		if json.Unmarshal(text, &e.Holder) != nil {
			e.Holder = Holder{}
		}
	}
	return e
}

// Times of a claim: the interval at which its holder renews it, and the time without renewal
// after which it may be taken over.
const (
	claimBeat  = 15 * time.Second
	claimStale = time.Minute
)

// acquireClaim takes a claim: it creates a file that must not exist. A claim that was not
// renewed is moved away first. Two processes may do that at the same moment, so a process that
// took over a claim checks a little later whether the claim is still its own.
func acquireClaim(path string, beat, stale time.Duration) (*Lock, error) {
	mine, err := json.Marshal(struct {
		Holder
		Nanosecond int64 `json:"nanosecond"` // tells apart two claims of one process
	}{self(), time.Now().UnixNano()})
	if err != nil {
		return nil, err
	}
	info, err := os.Stat(path)
	found := err == nil
	if found && time.Since(info.ModTime()) < stale {
		return nil, heldBy(path)
	}
	if found {
		if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return nil, heldBy(path)
	}
	if err != nil {
		return nil, err
	}
	_, err = f.Write(mine)
	if err = errors.Join(err, f.Close()); err != nil {
		os.Remove(path)
		return nil, err
	}
	own := func() bool { text, err := os.ReadFile(path); return err == nil && string(text) == string(mine) }
	if found {
		time.Sleep(beat / 100)
		if !own() {
			return nil, heldBy(path)
		}
	}
	quit, gone := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(gone)
		tick := time.NewTicker(beat)
		defer tick.Stop()
		for {
			select {
			case now := <-tick.C:
				os.Chtimes(path, now, now)
			case <-quit:
				return
			}
		}
	}()
	return &Lock{func() error {
		close(quit)
		<-gone
		if !own() {
			return nil
		}
		return os.Remove(path)
	}}, nil
}
