package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// bench is a terminal with somebody at it who answers when asked. What is typed
// shows on the screen, as it does on a terminal.
type bench struct {
	mutex   sync.Mutex
	screen  bytes.Buffer
	asked   chan bool
	answers []string
}

func (b *bench) Write(text []byte) (int, error) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	if bytes.HasSuffix(text, []byte("] > ")) {
		defer func() { b.asked <- true }()
	}
	return b.screen.Write(text)
}

func (b *bench) Read(into []byte) (int, error) {
	<-b.asked
	b.mutex.Lock()
	defer b.mutex.Unlock()
	if len(b.answers) == 0 {
		return 0, io.EOF
	}
	answer := b.answers[0] + "\n"
	b.answers = b.answers[1:]
	b.screen.WriteString(answer)
	return copy(into, answer), nil
}

// TestInterviewDoc gives the answers that docs/interview.md shows behind its prompts, and holds
// the page to what then stands on a terminal of 80 columns.
func TestInterviewDoc(t *testing.T) {
	page, err := filepath.Abs("../../docs/interview.md")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	const open, end = "```console\n$ culprit ", "\n```\n"
	before, rest, found := strings.Cut(string(text), open)
	block, after, ended := strings.Cut(rest, end)
	if !found || !ended {
		t.Fatal("the page shows no interview")
	}
	line, shown, _ := strings.Cut(block, "\n")
	b := &bench{asked: make(chan bool, 1)}
	for _, l := range strings.Split(shown, "\n") {
		if _, answer, ok := strings.Cut(l+" ", "] > "); ok {
			b.answers = append(b.answers, strings.TrimSpace(answer))
		} else if strings.HasSuffix(l, "] >") {
			b.answers = append(b.answers, "")
		}
	}
	s := &stdio{in: b, out: b, err: b, flush: func() error { return nil }, width: 80}
	if status := run(s, words(t, line)); status != exitDone {
		t.Errorf("exit status %d", status)
	}
	var printed strings.Builder
	for _, l := range strings.Split(strings.TrimRight(b.screen.String(), "\n"), "\n") {
		printed.WriteString("\n" + strings.TrimRight(l, " "))
	}
	now := before + open + line + printed.String() + end + after
	if len(b.answers) > 0 {
		t.Errorf("nobody asked for %q", b.answers)
	}
	if !strings.Contains(printed.String(), "In order: every setting") {
		t.Fatalf("the answers of the page no longer fit what is asked, for the car does not come to be in order; put them behind the prompts that they belong to:%s", printed.String())
	}
	if *update {
		if err := os.WriteFile(page, []byte(now), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(now, string(text)); diff != "" {
		t.Errorf("the page differs from what the program prints (-program +page); run go test ./cmd/culprit -update:\n%s", diff)
	}
}
