package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// jobFile is the file in which an interview keeps its job. It is locked as long as
// it is open.
type jobFile struct {
	path  string // as people are told
	to    string // the file itself, where path is a link
	ours  bool   // the name is ours to choose
	saved bool   // the job is in it
	lock  *fileLock
}

// openJobFile finds and locks the file for a job: one to go on with, one to begin,
// or, without a name, a new one of our own. That the folder can be written is found
// out here, before anybody has answered anything.
func openJobFile(name, resume string) (*jobFile, error) {
	switch {
	case resume != "":
		to, err := filepath.EvalSymlinks(resume)
		if err != nil {
			return nil, err
		}
		if err := writable(to, resume); err != nil {
			return nil, err
		}
		f := &jobFile{path: resume, to: to, saved: true}
		return f, f.take()
	case name != "":
		if _, err := os.Lstat(name); err == nil {
			return nil, usageError{fmt.Sprintf("there is a file %q already", name), fmt.Sprintf("to go on with it: culprit interview --resume %s", name), "interview"}
		}
		f := &jobFile{path: name, to: name}
		return f, f.take()
	}
	f := &jobFile{ours: true}
	return f, f.choose()
}

// writable refuses a file that is no plain one, or that may not be written.
func writable(to, name string) error {
	info, err := os.Stat(to)
	if err != nil {
		return err
	}
	if !info.Mode().IsRegular() {
		return usageError{fmt.Sprintf("%q is not a plain file, so no job can be kept in it", name), "", "interview"}
	}
	f, err := os.OpenFile(to, os.O_WRONLY, 0)
	if err != nil {
		return fmt.Errorf("the job cannot be kept: %w", err)
	}
	return f.Close()
}

// take locks the file.
func (f *jobFile) take() error {
	var err error
	f.lock, err = lockFile(f.lockPath())
	var held heldError
	if errors.As(err, &held) {
		return usageError{fmt.Sprintf("%q is in another interview: %s", f.path, held.who), "finish that one, or take another file", ""}
	}
	if err != nil {
		return fmt.Errorf("no job can be kept in this folder: %w", err)
	}
	return nil
}

// lockPath is a hidden file beside the job: the job itself is replaced with every
// answer, so a lock on it would not last.
func (f *jobFile) lockPath() string {
	return filepath.Join(filepath.Dir(f.to), "."+filepath.Base(f.to)+".lock")
}

// choose takes the first name of our own that nobody has.
func (f *jobFile) choose() error {
	f.release()
	for n := 1; ; n++ {
		f.path = fmt.Sprintf("job-%s-%d.json", time.Now().Format(time.DateOnly), n)
		f.to = f.path
		if _, err := os.Lstat(f.path); err == nil {
			continue
		}
		lock, err := lockFile(f.lockPath())
		if errors.As(err, new(heldError)) {
			continue
		}
		if err != nil {
			return fmt.Errorf("no job can be kept in this folder: %w", err)
		}
		f.lock = lock
		return nil
	}
}

// save replaces the file by one with this text: after a crash or a power cut it has
// either the old text or the new one.
func (f *jobFile) save(text []byte) error {
	for !f.saved {
		// The first time no file is replaced that somebody put there meanwhile.
		err := putNew(f.to, text)
		switch {
		case err == nil:
			f.saved = true
			return nil
		case errors.Is(err, fs.ErrExist) && f.ours:
			if err := f.choose(); err != nil {
				return err
			}
		default:
			return err
		}
	}
	mode := fs.FileMode(0o666)
	switch info, err := os.Stat(f.to); {
	case err == nil:
		mode = info.Mode().Perm()
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	return putWhole(f.to, text, mode)
}

// release gives the lock back.
func (f *jobFile) release() {
	if f.lock != nil {
		f.lock.release()
		f.lock = nil
	}
}

func (f *jobFile) close() { f.release() }

// heldError says that somebody else has the lock.
type heldError struct{ who string }

func (e heldError) Error() string { return "locked: " + e.who }

// holder says who holds a lock, for the lock file.
func holder() string {
	host, err := os.Hostname()
	if err != nil {
		host = "this machine"
	}
	return fmt.Sprintf("process %d on %s since %s\n", os.Getpid(), host, time.Now().Format("2006-01-02 15:04"))
}

// heldBy reads who holds a lock.
func heldBy(path string) heldError {
	text, err := os.ReadFile(path)
	who := strings.TrimSpace(clean(string(text[:min(len(text), 200)])))
	if err != nil || who == "" {
		who = "by a process that did not leave its name"
	}
	return heldError{who}
}
