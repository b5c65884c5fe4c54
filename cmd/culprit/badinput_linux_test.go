package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// What one command may take, whatever it is given. A program that does not end is killed after mostTime, so that none is
// left behind; that is no measure of speed.
const (
	mostTime   = 5 * time.Minute
	mostMemory = 384 << 10 // KiB resident; what this test itself takes may count too
	mostText   = 100_000   // bytes of messages
)

// nobody is a user without rights, to whom folders of others are closed.
const nobody = 65534

// program copies the test binary, which is the program under the name culprit, to where every user can run it.
func program(t *testing.T) string {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	from, err := os.Open(self)
	if err != nil {
		t.Fatal(err)
	}
	defer from.Close()
	name := filepath.Join(common(t), "culprit")
	to, err := os.OpenFile(name, os.O_CREATE|os.O_WRONLY, 0o755)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := io.Copy(to, from); err != nil {
		t.Fatal(err)
	}
	if err := to.Close(); err != nil {
		t.Fatal(err)
	}
	return name
}

// common is a folder that every user can read.
func common(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "culprit")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	return dir
}

// write makes a folder with one file.
func write(t *testing.T, name, text string) string {
	t.Helper()
	dir := common(t)
	if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return dir
}

// TestBadInput: whatever stands in a folder or a file, a command ends soon, in little memory, with what is wrong in one clear
// line, nothing on standard output where it could not run, and its exit status.
func TestBadInput(t *testing.T) {
	culprit := program(t)
	bomb := "&a [x,x,x,x,x,x,x,x,x]"
	for c := 'b'; c <= 'i'; c++ {
		bomb += fmt.Sprintf("\n%c: &%c [%s]", c, c, strings.TrimSuffix(strings.Repeat(fmt.Sprintf("*%c,", c-1), 9), ","))
	}
	for _, c := range []struct {
		what, text string
		want       string // of rule files, case files and added rules alike
		status     int    // of proofread: whether anything of the file could be read
	}{
		{"ten megabytes", strings.Repeat("cautions: {}\n", 800_000), ": the file has more than 1048576 bytes", exitBadInput},
		{"an alias bomb", "a: " + bomb + "\n", `:1:4: the anchor "&a": anchors are not used here`, exitNotInOrder},
		{"a binary file", "\x7fELF\x02\x01\x01\x00\x00\x00", ":1:1: the control character U+007F", exitNotInOrder},
		{"a file of NUL bytes", strings.Repeat("\x00", 100_000), ":1:1: a NUL byte: this is not a text file", exitNotInOrder},
		{"a deep file", strings.Repeat("[", 50_000), ":1:10001: lists and mappings more than 20 deep", exitNotInOrder},
		{"an empty file", "", ": the file is empty", exitBadInput},
	} {
		dir := write(t, "a.yaml", c.text)
		file := filepath.Join(dir, "a.yaml")
		t.Run("proofread "+c.what, func(t *testing.T) {
			out, errs := drive(t, 0, c.status, culprit, "proofread", dir)
			if !strings.Contains(out, file+c.want) || errs != "" {
				t.Errorf("%.500s%.500s", out, errs)
			}
		})
		t.Run("rank "+c.what, func(t *testing.T) {
			out, errs := drive(t, 0, exitBadInput, culprit, "rank", "--add", dir, "co=1")
			if !strings.Contains(errs, file+c.want) || out != "" {
				t.Errorf("%.500s%.500s", out, errs)
			}
		})
		t.Run("rehearse "+c.what, func(t *testing.T) {
			out, errs := drive(t, 0, exitBadInput, culprit, "rehearse", file)
			if !strings.Contains(errs, file+c.want) || out != "" {
				t.Errorf("%.500s%.500s", out, errs)
			}
		})
	}

	terms := write(t, "a.yaml", "readings: {volts: {label: Volts}}\nrules:\n  r: {says: S, when: volts"+strings.Repeat(" + volts", 10_000)+
		" > 1, shows: {f: often}, otherwise: rarely}\nfaults: {f: {label: F, per_1000: 1}}\n")
	const tooLong = "a.yaml:3:22: an expression of 80009 bytes; the limit is 8192"
	many := "cases: {one: {readings: {" + strings.Repeat("\n    a: 1,", 20_000) + "}, not_leading: [unmeasured-air], because: B}}\n"
	var unknown strings.Builder
	for i := range 20_000 {
		fmt.Fprintf(&unknown, "    reading_%d: 1\n", i)
	}
	empty, notes := common(t), write(t, "notes.txt", "hello")
	for _, c := range []struct {
		reason string
		status int
		args   []string
		want   string // in what it says
	}{
		{"a rule of ten thousand terms, proofread", exitNotInOrder, []string{"proofread", terms}, tooLong},
		{"a rule of ten thousand terms, joined", exitBadInput, []string{"rank", "--add", terms, "co=1"}, tooLong},
		{"an empty folder, proofread", exitBadInput, []string{"proofread", empty}, empty + ": no rule files in this folder"},
		{"an empty folder, joined", exitBadInput, []string{"rank", "--add", empty, "co=1"}, empty + ": no rule files in this folder"},
		{"an empty folder, rehearsed", exitNotInOrder, []string{"rehearse", empty}, "no case was run"},
		{"a folder of other files, proofread", exitBadInput, []string{"proofread", notes}, notes + ": no rule files in this folder"},
		{"a folder of other files, joined", exitBadInput, []string{"rank", "--add", notes, "co=1"}, notes + ": no rule files in this folder"},
		{"a folder that is not there, proofread", exitBadInput, []string{"proofread", "none/here"}, `"none/here" is neither a shipped pack nor a folder`},
		{"a folder that is not there, joined", exitBadInput, []string{"rank", "--add", "none/here", "co=1"}, "none/here: no such file or directory"},
		{"a folder that is not there, rehearsed", exitBadInput, []string{"rehearse", "none/here"}, "none/here: no such file or directory"},
		{"a file for a folder", exitBadInput, []string{"rank", "--add", filepath.Join(notes, "notes.txt"), "co=1"}, "is a file, not a folder of rule files"},
		{"a device for case files", exitBadInput, []string{"rehearse", "/dev/zero"}, `"/dev/zero" is neither a file nor a folder`},
		{"one reading twenty thousand times in a case", exitBadInput, []string{"rehearse", write(t, "a.yaml", many)}, `reading "a" is defined twice`},
		{"twenty thousand readings that nothing defines", exitNotInOrder,
			[]string{"rehearse", write(t, "a.yaml", "cases:\n  one:\n   not_leading: [unmeasured-air]\n   because: B\n   readings:\n"+unknown.String())}, `there is no reading "reading_0"`},
		{"a binary job", exitBadInput, []string{"rank", filepath.Join(write(t, "job.json", "\x7fELF\x02\x01\xff"), "job.json")}, "the job is not UTF-8 text"},
		{"a job of twenty megabytes", exitBadInput, []string{"rank", filepath.Join(write(t, "job.json", `{"readings": {`+strings.Repeat(`"a": 1,`, 3_000_000)+`}}`), "job.json")}, "the job has more than 16777216 bytes"},
		{"a deep job", exitBadInput, []string{"rank", filepath.Join(write(t, "job.json", strings.Repeat("[", 1_000_000)), "job.json")}, "more than 16 deep in each other"},
	} {
		t.Run(c.reason, func(t *testing.T) {
			out, errs := drive(t, 0, c.status, culprit, c.args...)
			if !strings.Contains(out+errs, c.want) {
				t.Errorf("%.1000s%.1000s\ndoes not say %q", out, errs, c.want)
			}
		})
	}
}

// TestClosedFolders: a folder or a file that the user may not read is told of, by its name.
func TestClosedFolders(t *testing.T) {
	culprit := program(t)
	uid := 0
	if os.Geteuid() == 0 {
		uid = nobody // to root nothing is closed
	}
	folder, file := write(t, "a.yaml", "cautions: {heat: Hot}\n"), write(t, "a.yaml", "cautions: {heat: Hot}\n")
	for name, mode := range map[string]os.FileMode{folder: 0o000, filepath.Join(file, "a.yaml"): 0o000} {
		if err := os.Chmod(name, mode); err != nil {
			t.Fatal(err)
		}
	}
	t.Cleanup(func() { os.Chmod(folder, 0o755) })
	for _, c := range []struct {
		reason string
		args   []string
		want   string
	}{
		{"a closed folder, proofread", []string{"proofread", folder}, folder + ": the folder cannot be read: permission denied"},
		{"a closed folder, joined", []string{"rank", "--add", folder, "co=1"}, folder + ": the folder cannot be read: permission denied"},
		{"a closed folder, rehearsed", []string{"rehearse", folder}, folder + ": permission denied"},
		{"a closed file, proofread", []string{"proofread", file}, filepath.Join(file, "a.yaml") + ": cannot be read: permission denied"},
		{"a closed file, joined", []string{"rank", "--add", file, "co=1"}, filepath.Join(file, "a.yaml") + ": cannot be read: permission denied"},
		{"a closed file, rehearsed", []string{"rehearse", file}, filepath.Join(file, "a.yaml") + ": permission denied"},
	} {
		t.Run(c.reason, func(t *testing.T) {
			out, errs := drive(t, uid, exitBadInput, culprit, c.args...)
			if !strings.Contains(out+errs, c.want) {
				t.Errorf("%.1000s%.1000s\ndoes not say %q", out, errs, c.want)
			}
		})
	}
}

// drive runs the program, as another user where uid is not 0, and holds it to the bounds and to its exit status.
func drive(t *testing.T, uid int, status int, name string, args ...string) (stdout, stderr string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), mostTime)
	defer cancel()
	c := exec.CommandContext(ctx, name, args...)
	c.Dir = "/"
	c.Env = append(os.Environ(), "COLUMNS=80")
	var out, errs bytes.Buffer
	c.Stdout, c.Stderr = &out, &errs
	if uid != 0 {
		c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(uid)}}
	}
	err := c.Run()
	var ended *exec.ExitError
	switch {
	case ctx.Err() != nil:
		t.Fatalf("still running after %v", mostTime)
	case errors.Is(err, syscall.EPERM):
		t.Skip("this machine lets nobody become another user: ", err)
	case err != nil && !errors.As(err, &ended):
		t.Fatal(err)
	}
	if got := c.ProcessState.ExitCode(); got != status {
		t.Errorf("exit status %d, want %d:\n%.1000s%.1000s", got, status, &out, &errs)
	}
	if used := c.ProcessState.SysUsage().(*syscall.Rusage).Maxrss; used > mostMemory {
		t.Errorf("%d MiB of memory", used>>10)
	}
	if n := out.Len() + errs.Len(); n > mostText {
		t.Errorf("%d bytes of messages", n)
	}
	return out.String(), errs.String()
}
