//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package lockfile

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"syscall"
)

// acquireAdvisory takes an advisory lock on a file. Its error is [errors.ErrUnsupported] if the
// file system has no such locks.
func acquireAdvisory(path string) (*Lock, error) {
	for {
		f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
		if err != nil {
			return nil, err
		}
		err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		switch {
		case errors.Is(err, syscall.EWOULDBLOCK):
			f.Close()
			return nil, heldBy(path)
		case errors.Is(err, syscall.EINTR):
			f.Close()
			continue
		case errors.Is(err, syscall.ENOLCK):
			f.Close()
			return nil, errors.ErrUnsupported
		case err != nil:
			f.Close()
			return nil, &fs.PathError{Op: "flock", Path: path, Err: err}
		}
		// The last holder may have removed the file after it was opened here.
		opened, err := f.Stat()
		if err == nil {
			var named os.FileInfo
			named, err = os.Stat(path)
			if errors.Is(err, fs.ErrNotExist) || err == nil && !os.SameFile(opened, named) {
				f.Close()
				continue
			}
		}
		if err == nil {
			err = writeHolder(f)
		}
		if err != nil {
			f.Close()
			return nil, err
		}
		return &Lock{func() error { return errors.Join(os.Remove(path), f.Close()) }}, nil
	}
}

func writeHolder(f *os.File) error {
	text, err := json.Marshal(self())
	if err != nil {
		return err
	}
	if err := f.Truncate(0); err != nil {
		return err
	}
	_, err = f.WriteAt(append(text, '\n'), 0)
	return err
}
