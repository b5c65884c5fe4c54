//go:build !(darwin || dragonfly || freebsd || linux || netbsd || openbsd || windows)

package main

import (
	"errors"
	"io/fs"
	"os"
)

// fileLock is a file that is there. Where the system has no lock that ends with its
// process, a crash leaves it behind: who holds it is told, and it can be removed.
type fileLock struct{ path string }

// lockFile makes the file; a heldError where it is there.
func lockFile(path string) (*fileLock, error) {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
	if errors.Is(err, fs.ErrExist) {
		held := heldBy(path)
		held.who += "; if that has ended, remove " + path
		return nil, held
	}
	if err != nil {
		return nil, err
	}
	f.WriteString(holder())
	return &fileLock{path}, f.Close()
}

func (l *fileLock) release() { os.Remove(l.path) }

// syncFolder does nothing: not every system can flush a folder.
func syncFolder(string) error { return nil }
