package main

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
)

// putWhole puts a file with this text in the place of path, be there one or not:
// after a crash or a power cut there is the old one or the new one.
func putWhole(path string, text []byte, mode fs.FileMode) error {
	next, err := writeBeside(path, text, mode)
	if err != nil {
		return err
	}
	if err := os.Rename(next, path); err != nil {
		os.Remove(next)
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// putNew puts a file with this text at path, with what the system grants to a new
// file; where there is something already the error is fs.ErrExist. After a crash or
// a power cut there is the whole file or none.
func putNew(path string, text []byte) error {
	next, err := writeBeside(path, text, 0)
	if err != nil {
		return err
	}
	defer os.Remove(next)
	err = os.Link(next, path)
	if errors.Is(err, fs.ErrExist) {
		return &fs.PathError{Op: "create", Path: path, Err: fs.ErrExist}
	}
	if err != nil { // a file system without links
		err = reserveAndPut(path, next)
	}
	if err != nil {
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// reserveAndPut takes the name before it puts the file there, so that none is
// replaced that somebody has put there meanwhile. A crash in between leaves an empty one.
func reserveAndPut(path, next string) error {
	reserved, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
	if err != nil {
		return err
	}
	reserved.Close()
	if err := os.Rename(next, path); err != nil {
		os.Remove(path)
		return err
	}
	return nil
}

// writeBeside writes the text to a hidden file in the folder of path, and on to the
// disk. Mode 0 is what the system grants to a new file. Errors name path.
func writeBeside(path string, text []byte, mode fs.FileMode) (name string, err error) {
	defer func() {
		var of *fs.PathError
		if errors.As(err, &of) {
			of.Path = path
		}
	}()
	name = filepath.Join(filepath.Dir(path), fmt.Sprintf(".%s-%d.tmp", filepath.Base(path), rand.Uint64()))
	next, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
	if err != nil {
		return "", err
	}
	_, err = next.Write(text)
	if err == nil && mode != 0 {
		err = next.Chmod(mode)
	}
	if err == nil {
		err = next.Sync()
	}
	if e := next.Close(); err == nil {
		err = e
	}
	if err != nil {
		os.Remove(name)
	}
	return name, err
}
