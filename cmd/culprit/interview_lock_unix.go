//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package main

import (
	"errors"
	"os"
	"syscall"
)

// fileLock is a lock of the system on a file of its own. The system gives it back
// when its process ends, however that ends, so that a crash locks nothing for ever.
// A file that is merely there would have to be judged by the process it names, and
// numbers of processes come again.
type fileLock struct{ file *os.File }

// lockFile locks, and makes the file for it; a heldError where somebody has it.
func lockFile(path string) (*fileLock, error) {
	for {
		f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o666)
		if err != nil {
			return nil, err
		}
		if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
			f.Close()
			if errors.Is(err, syscall.EWOULDBLOCK) {
				return nil, heldBy(path)
			}
			return nil, &os.PathError{Op: "lock", Path: path, Err: err}
		}
		// Who held it may have taken the file away between opening and locking.
		mine, err1 := f.Stat()
		there, err2 := os.Stat(path)
		if err1 != nil || err2 != nil || !os.SameFile(mine, there) {
			f.Close()
			continue
		}
		f.Truncate(0)
		f.WriteAt([]byte(holder()), 0)
		return &fileLock{f}, nil
	}
}

func (l *fileLock) release() {
	os.Remove(l.file.Name())
	l.file.Close()
}

// syncFolder makes a renaming last.
func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil && !errors.Is(err, syscall.EINVAL) { // some file systems cannot
		return err
	}
	return nil
}
