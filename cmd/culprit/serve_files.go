package main

import (
	"errors"
	"io/fs"
	"os"

	"culprit/cmd/culprit/internal/benchpage"
)

// benchFiles keeps the jobs of the bench page as interviews keep theirs, so that
// neither takes from the other.
type benchFiles struct{}

func (benchFiles) Change(path string) (benchpage.Kept, error) {
	return benchFile(&jobFile{path: path, to: path, saved: true})
}

func (benchFiles) Create(path string) (benchpage.Kept, error) {
	if _, err := os.Lstat(path); err == nil {
		return nil, fs.ErrExist
	}
	f, err := benchFile(&jobFile{path: path, to: path})
	if errors.As(err, new(benchpage.HeldError)) {
		return nil, fs.ErrExist // somebody is just making it
	}
	return f, err
}

func benchFile(f *jobFile) (benchpage.Kept, error) {
	var err error
	f.lock, err = lockFile(f.lockPath())
	var held heldError
	if errors.As(err, &held) {
		return nil, benchpage.HeldError{Who: held.who}
	}
	if err != nil {
		return nil, err
	}
	return keptFile{f}, nil
}

// keptFile is a job that is locked.
type keptFile struct{ file *jobFile }

func (k keptFile) Save(text []byte) error { return k.file.save(text) }
func (k keptFile) Release()               { k.file.release() }
