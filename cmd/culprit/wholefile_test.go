package main

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// TestNewFilesAreWholeOrNotThere: whoever looks sees all of a new file or none, and so does who
// comes after a crash; one that is there stays.
func TestNewFilesAreWholeOrNotThere(t *testing.T) {
	dir := t.TempDir()
	text := bytes.Repeat([]byte("reading\n"), 1<<15)
	for i := range 20 {
		path := filepath.Join(dir, strconv.Itoa(i))
		done := make(chan error)
		go func() { done <- putNew(path, text) }()
		for running := true; running; {
			select {
			case err := <-done:
				if err != nil {
					t.Fatal(err)
				}
				running = false
			default:
			}
			if info, err := os.Stat(path); err == nil && info.Size() != int64(len(text)) {
				t.Fatalf("there is a file of %d bytes", info.Size())
			}
		}
	}
	if err := putNew(filepath.Join(dir, "0"), nil); !errors.Is(err, fs.ErrExist) {
		t.Errorf("a file that is there: %v", err)
	}
	gone := filepath.Join(dir, "gone", "job")
	for _, err := range []error{putNew(gone, nil), putWhole(gone, nil, 0o600)} {
		var of *fs.PathError
		if !errors.As(err, &of) || of.Path != gone {
			t.Errorf("a folder that is not there: %v", err)
		}
	}
	if found, err := os.ReadDir(dir); len(found) != 20 || err != nil {
		t.Errorf("%d files, %v", len(found), err)
	}
}
