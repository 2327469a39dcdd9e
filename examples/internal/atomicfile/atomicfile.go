// Package atomicfile writes files that are either complete or absent. A reader never finds an
// incomplete file, even if the writer was stopped, was killed or ran out of space.
package atomicfile

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
)

// TempPrefix starts the name of every unfinished file. If its writer has ended, such a file may
// be deleted.
const TempPrefix = ".unfinished-"

// File is a file that is being written. It gets its name at [File.Commit].
type File struct {
	*os.File
	path string
	done bool
}

// Create begins a file that will be called path. Until then it is in the same folder under a
// name that starts with [TempPrefix], because a rename is atomic only within one file system.
func Create(path string) (*File, error) {
	f, err := os.CreateTemp(filepath.Dir(path), TempPrefix+filepath.Base(path)+"-*")
	if err != nil {
		return nil, err
	}
	return &File{File: f, path: path}, nil
}

// Commit flushes the file to the disk, closes it and gives it its name, which may replace an
// older file. If it returns nil, the file survives a loss of power. If it fails, nothing has
// changed under the name.
func (f *File) Commit() error {
	if f.done {
		return os.ErrClosed
	}
	f.done = true
	err := f.Chmod(0o644)
	if err == nil {
		err = f.Sync()
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Rename(f.Name(), f.path)
	}
	if err != nil {
		os.Remove(f.Name())
		return err
	}
	return syncDir(filepath.Dir(f.path))
}

// Discard deletes the unfinished file. After a Commit it does nothing, so it can be deferred.
func (f *File) Discard() {
	if f.done {
		return
	}
	f.done = true
	f.Close()
	os.Remove(f.Name())
}

// Write makes data the whole content of the file called path.
func Write(path string, data []byte) error {
	f, err := Create(path)
	if err != nil {
		return err
	}
	defer f.Discard()
	if _, err := f.Write(data); err != nil {
		return err
	}
	return f.Commit()
}

// syncDir makes a rename survive a loss of power. Systems whose directories cannot be synced
// do this by themselves.
func syncDir(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}
