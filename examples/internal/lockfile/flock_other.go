//go:build !(darwin || dragonfly || freebsd || linux || netbsd || openbsd)

package lockfile

import "errors"

// acquireAdvisory has no advisory lock to take on this system.
func acquireAdvisory(string) (*Lock, error) { return nil, errors.ErrUnsupported }
