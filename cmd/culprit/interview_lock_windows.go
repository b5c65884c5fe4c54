package main

import (
	"errors"
	"os"
	"syscall"
)

// fileLock is a file that others may read and not write as long as it is open. The
// system closes it when its process ends, however that ends.
type fileLock struct {
	file *os.File
}

const sharingViolation = syscall.Errno(32)

// lockFile locks, and makes the file for it; a heldError where somebody has it.
func lockFile(path string) (*fileLock, error) {
	name, err := syscall.UTF16PtrFromString(path)
	if err != nil {
		return nil, err
	}
	h, err := syscall.CreateFile(name, syscall.GENERIC_WRITE, syscall.FILE_SHARE_READ, nil, syscall.CREATE_ALWAYS, syscall.FILE_ATTRIBUTE_NORMAL, 0)
	if errors.Is(err, sharingViolation) {
		return nil, heldBy(path)
	}
	if err != nil {
		return nil, &os.PathError{Op: "lock", Path: path, Err: err}
	}
	f := os.NewFile(uintptr(h), path)
	f.WriteString(holder())
	return &fileLock{f}, nil
}

func (l *fileLock) release() {
	l.file.Close()
	os.Remove(l.file.Name())
}

// syncFolder does nothing: a folder cannot be flushed here.
func syncFolder(string) error { return nil }
