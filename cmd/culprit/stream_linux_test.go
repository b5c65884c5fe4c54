package main

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

const aJob = `{"readings": {"co": 1}}` + "\n"

// running is the real program with its pipes.
type running struct {
	*exec.Cmd
	in  io.WriteCloser
	out *bufio.Reader
	err bytes.Buffer
}

func start(t *testing.T, name string, args ...string) *running {
	t.Helper()
	r := &running{Cmd: exec.Command(name, args...)}
	r.Stderr = &r.err
	in, err := r.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := r.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	r.in, r.out = in, bufio.NewReader(out)
	if err := r.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.Process.Kill() })
	return r
}

// status waits for the end.
func (r *running) status(t *testing.T) int {
	t.Helper()
	late := time.AfterFunc(mostTime, func() { r.Process.Kill() })
	defer late.Stop()
	err := r.Wait()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return r.ProcessState.ExitCode()
}

// TestStreamAnswersEachLineAtOnce: who waits for the answer to a line before it
// writes the next one gets it.
func TestStreamAnswersEachLineAtOnce(t *testing.T) {
	r := start(t, program(t), "stream")
	for range 5 {
		if _, err := io.WriteString(r.in, aJob); err != nil {
			t.Fatal(err)
		}
		if line, err := r.out.ReadString('\n'); err != nil || !strings.Contains(line, `"no_fault"`) {
			t.Fatalf("%q, %v: %s", line, err, &r.err)
		}
	}
	r.in.Close()
	if status := r.status(t); status != 0 || !strings.HasPrefix(r.err.String(), "culprit: 5 jobs, 0 errors, ") {
		t.Errorf("exit status %d: %s", status, &r.err)
	}
}

// TestInterrupt: either signal ends a stream with what is in hand answered and told
// of, and with status 130, while its input stays open.
func TestInterrupt(t *testing.T) {
	name := program(t)
	for _, signal := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM} {
		r := start(t, name, "stream")
		io.WriteString(r.in, strings.Repeat(aJob, 100)+`{"readings"`)
		for range 100 {
			if _, err := r.out.ReadString('\n'); err != nil {
				t.Fatal(err)
			}
		}
		r.Process.Signal(signal)
		if rest, _ := io.ReadAll(r.out); len(rest) > 0 {
			t.Errorf("%v: then %q", signal, rest)
		}
		if status := r.status(t); status != 130 || !strings.HasPrefix(r.err.String(), "culprit: interrupted: 100 jobs, 0 errors, ") {
			t.Errorf("%v: exit status %d: %s", signal, status, &r.err)
		}
	}
}

// TestInterruptBeforeAnybodyWrites: it waits for a named pipe no longer than for another input.
func TestInterruptBeforeAnybodyWrites(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "jobs")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Skip(err)
	}
	r := start(t, program(t), "stream", "-", pipe)
	io.WriteString(r.in, aJob)
	r.in.Close()
	if _, err := r.out.ReadString('\n'); err != nil {
		t.Fatal(err)
	}
	time.Sleep(300 * time.Millisecond) // until it waits; where it does not yet, it is interrupted all the same
	r.Process.Signal(syscall.SIGINT)
	if status := r.status(t); status != 130 || !strings.HasPrefix(r.err.String(), "culprit: interrupted: 1 job, 0 errors, ") {
		t.Errorf("exit status %d: %s", status, &r.err)
	}
}

// TestInterruptInTheMiddle: of an input without end, what comes out is whole records
// of the first lines, and their number is told.
func TestInterruptInTheMiddle(t *testing.T) {
	r := start(t, program(t), "stream")
	go func() {
		for {
			if _, err := io.WriteString(r.in, strings.Repeat(aJob, 50)); err != nil {
				return
			}
		}
	}()
	if _, err := r.out.ReadString('\n'); err != nil {
		t.Fatal(err)
	}
	r.Process.Signal(syscall.SIGINT)
	records := 1
	for {
		line, err := r.out.ReadString('\n')
		if err != nil {
			if line != "" {
				t.Errorf("the last record is not whole: %q", line)
			}
			break
		}
		records++
	}
	if status := r.status(t); status != 130 || !strings.HasPrefix(r.err.String(), "culprit: interrupted: "+plural(records, "job")+", 0 errors") {
		t.Errorf("exit status %d after %d records: %s", status, records, &r.err)
	}
}

// TestSecondInterruptEndsAtOnce: also where nobody takes the output, so that what is
// in hand can never be finished.
func TestSecondInterruptEndsAtOnce(t *testing.T) {
	r := start(t, program(t), "stream", "--full")
	go io.WriteString(r.in, strings.Repeat(aJob, 5000))
	if _, err := r.out.Peek(1); err != nil {
		t.Fatal(err)
	}
	r.Process.Signal(syscall.SIGINT)
	time.Sleep(300 * time.Millisecond)
	if err := r.Process.Signal(syscall.Signal(0)); err != nil {
		t.Fatalf("the first interrupt ended it although its output is full: %v", err)
	}
	r.Process.Signal(syscall.SIGINT)
	if status := r.status(t); status != 130 {
		t.Errorf("exit status %d: %s", status, &r.err)
	}
}

// TestClosedPipe: a command whose reader has gone ends quietly with the status that
// a shell tells of other filters then.
func TestClosedPipe(t *testing.T) {
	name := program(t)
	cases, err := filepath.Abs("../../cases")
	if err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"stream"}, {"stream", "--full"}, {"rank", "co=1"}, {"rank", "--format", "json", "co=1"}, {"next", "co=1"}, {"next", "--format", "json", "co=1"},
		{"show", "leak-test"}, {"show", "--schema", "job"}, {"show", "--graph"}, {"proofread"}, {"rehearse", cases}, {"help", "rank"}, {"--version"},
	} {
		r, w, err := os.Pipe()
		if err != nil {
			t.Fatal(err)
		}
		r.Close() // before the first byte
		var said bytes.Buffer
		c := exec.Command(name, args...)
		c.Stdout, c.Stderr = w, &said
		c.Stdin = strings.NewReader(strings.Repeat(aJob, 100))
		c.Run()
		w.Close()
		if c.ProcessState.ExitCode() != 141 || said.Len() > 0 {
			t.Errorf("%v: %v: %s", args, c.ProcessState, &said)
		}
	}
}

// TestClosedMessages: that nobody reads the messages costs no results, and no status.
func TestClosedMessages(t *testing.T) {
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	r.Close()
	defer w.Close()
	c := exec.Command(program(t), "stream")
	c.Stderr = w
	c.Stdin = strings.NewReader(aJob + "broken\n")
	out, err := c.Output()
	if c.ProcessState.ExitCode() != 1 || bytes.Count(out, []byte("\n")) != 2 {
		t.Errorf("%v, %v: %s", c.ProcessState, err, out)
	}
}

// TestFullDisk: results that cannot be written are an error that says so.
func TestFullDisk(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip("no /dev/full")
	}
	defer full.Close()
	name := program(t)
	for _, args := range [][]string{{"stream"}, {"rank", "co=1"}} {
		var said bytes.Buffer
		c := exec.Command(name, args...)
		c.Stdout, c.Stderr, c.Stdin = full, &said, strings.NewReader(aJob)
		c.Run()
		if c.ProcessState.ExitCode() != 2 || strings.Count(said.String(), "no space left on device") != 1 {
			t.Errorf("%v: %v: %s", args, c.ProcessState, &said)
		}
	}
}
