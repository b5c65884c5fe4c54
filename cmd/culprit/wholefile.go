package main

import (
	"io/fs"
	"os"
	"path/filepath"
)

// putWhole puts a file with this text in the place of path, be there one or not:
// after a crash or a power cut there is the old one or the new one.
func putWhole(path string, text []byte, mode fs.FileMode) error {
	next, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*.tmp")
	if err != nil {
		return err
	}
	_, err = next.Write(text)
	if err == nil {
		err = next.Chmod(mode)
	}
	if err == nil {
		err = next.Sync()
	}
	if e := next.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(next.Name(), path)
	}
	if err != nil {
		os.Remove(next.Name())
		return err
	}
	return syncFolder(filepath.Dir(path))
}
