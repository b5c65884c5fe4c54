package main

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// TestStageInterrupted: a class that is broken off leaves nothing behind, least of all its key.
func TestStageInterrupted(t *testing.T) {
	dir := t.TempDir()
	r := start(t, program(t), "stage", "--class", "999", filepath.Join(dir, "class"))
	within := time.Now().Add(mostTime)
	for begun := false; !begun && time.Now().Before(within); time.Sleep(time.Millisecond) {
		found, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		begun = len(found) > 0
	}
	r.Process.Signal(syscall.SIGINT)
	if status := r.status(t); status != exitInterrupted {
		t.Errorf("exit status %d: %s", status, &r.err)
	}
	if found, err := os.ReadDir(dir); len(found) > 0 || err != nil {
		t.Errorf("left behind: %v, %v", found, err)
	}
}
