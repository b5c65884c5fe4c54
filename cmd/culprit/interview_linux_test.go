package main

import (
	"bufio"
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// sat is an interview that runs by itself, with somebody to answer it.
type sat struct {
	*exec.Cmd
	answers io.WriteCloser
	screen  *bufio.Reader
	errs    bytes.Buffer
}

// sit starts an interview in a folder.
func sit(t *testing.T, culprit, dir string, args ...string) *sat {
	t.Helper()
	s := &sat{Cmd: exec.Command(culprit, append([]string{"interview"}, args...)...)}
	s.Dir, s.Stderr = dir, &s.errs
	s.Env = append(os.Environ(), "COLUMNS=80")
	var err error
	if s.answers, err = s.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	out, err := s.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	s.screen = bufio.NewReader(out)
	if err := s.Start(); err != nil {
		t.Fatal(err)
	}
	timer := time.AfterFunc(mostTime, func() { s.Process.Kill() })
	t.Cleanup(func() { timer.Stop(); s.Process.Kill(); s.Wait() })
	return s
}

// until reads what the interview writes up to a line that holds a text.
func (s *sat) until(t *testing.T, text string) {
	t.Helper()
	for {
		line, err := s.screen.ReadString('\n')
		if strings.Contains(line, text) {
			return
		}
		if err != nil {
			t.Fatalf("never says %q: %v %s", text, err, &s.errs)
		}
	}
}

func (s *sat) say(t *testing.T, text string) {
	t.Helper()
	if _, err := io.WriteString(s.answers, text+"\n"); err != nil {
		t.Fatal(err)
	}
}

// status waits for the end.
func (s *sat) status() int {
	io.Copy(io.Discard, s.screen)
	s.Wait()
	return s.ProcessState.ExitCode()
}

// TestInterviewIsInterrupted: Ctrl-C loses nothing, says where the job is, and is told by the exit status.
func TestInterviewIsInterrupted(t *testing.T) {
	culprit, dir := program(t), common(t)
	s := sit(t, culprit, dir, "job.json")
	s.until(t, "Which car?")
	s.say(t, "brackenby-1800")
	s.until(t, "complains")
	s.Process.Signal(os.Interrupt)
	s.until(t, "Kept in job.json. To go on: culprit interview --resume job.json")
	if got := s.status(); got != 130 {
		t.Errorf("exit status %d: %s", got, &s.errs)
	}
	if text, err := os.ReadFile(filepath.Join(dir, "job.json")); err != nil || !strings.Contains(string(text), `"brackenby-1800"`) {
		t.Errorf("kept %s, %v", text, err)
	}
	alone(t, dir, "job.json")
}

// TestTwoInterviewsOnOneFile: the second is told of the first and touches nothing; a first one that was killed is in nobody's way.
func TestTwoInterviewsOnOneFile(t *testing.T) {
	culprit, dir := program(t), common(t)
	first := sit(t, culprit, dir, "job.json")
	first.until(t, "Which car?")
	first.say(t, "brackenby-1800")
	first.until(t, "complains")
	job := filepath.Join(dir, "job.json")
	before, err := os.ReadFile(job)
	if err != nil {
		t.Fatal(err)
	}
	second := sit(t, culprit, dir, "--resume", "job.json")
	if got := second.status(); got != exitBadInput {
		t.Errorf("exit status %d", got)
	}
	want := `"job.json" is in another interview: process ` + strconv.Itoa(first.Process.Pid) + " on "
	if !strings.Contains(second.errs.String(), want) {
		t.Errorf("says %q, not %q", &second.errs, want)
	}
	if now, err := os.ReadFile(job); err != nil || string(now) != string(before) {
		t.Errorf("the job is %s, %v", now, err)
	}
	// Another interview without a name takes another file.
	other := sit(t, culprit, dir)
	other.until(t, "Which car?")
	other.say(t, "")
	other.until(t, "complains")
	other.answers.Close()
	if got := other.status(); got != exitDone {
		t.Errorf("exit status %d: %s", got, &other.errs)
	}

	first.Process.Kill()
	first.status()
	third := sit(t, culprit, dir, "--resume", "job.json")
	third.until(t, "complains")
	third.say(t, "weak")
	third.until(t, "just set")
	third.answers.Close()
	if got := third.status(); got != exitDone {
		t.Errorf("exit status %d: %s", got, &third.errs)
	}
	alone(t, dir, "job-"+time.Now().Format(time.DateOnly)+"-1.json", "job.json")
}

// TestInterviewInAClosedFolder: that nothing can be kept is said before anybody has answered.
func TestInterviewInAClosedFolder(t *testing.T) {
	culprit, dir := program(t), common(t)
	if err := os.WriteFile(filepath.Join(dir, "job.json"), []byte(`{"readings": {}}`), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.Chmod(dir, 0o755) })
	for _, row := range []struct{ args, want string }{
		{"", "culprit: no job can be kept in this folder: open .job-"},
		{"new.json", "culprit: no job can be kept in this folder: open .new.json.lock: permission denied"},
		{"--resume job.json", "culprit: the job cannot be kept: open "},
	} {
		c := exec.Command(culprit, append([]string{"interview"}, strings.Fields(row.args)...)...)
		c.Dir = dir
		var errs bytes.Buffer
		c.Stderr = &errs
		if os.Geteuid() == 0 {
			c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
		}
		c.Run()
		if c.ProcessState == nil {
			t.Skip("this machine lets nobody become another user")
		}
		if got := c.ProcessState.ExitCode(); got != exitBadInput || !strings.HasPrefix(errs.String(), row.want) {
			t.Errorf("%q: exit status %d, %s", row.args, got, &errs)
		}
	}
}
