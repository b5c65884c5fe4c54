package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"culprit/engine"
)

var (
	longNumber = regexp.MustCompile(`-?\d+\.\d{4,}(e-\d+)?`)
	howFast    = regexp.MustCompile(`[0-9.]+ s, \d+ jobs a second`)
	jobLines   = regexp.MustCompile("(?s)`jobs\\.jsonl`:\n\n```json\n(.*?)```")
	commandRun = regexp.MustCompile("(?s)```console\n\\$ culprit ([^\n]*)\n.*?```")
)

// TestStreamGuide runs the commands of docs/stream.md on the lines that it shows, and
// holds the page to what they print; how fast is left open, and numbers are cut.
func TestStreamGuide(t *testing.T) {
	page, err := filepath.Abs("../../docs/stream.md")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	jobs := jobLines.FindSubmatch(text)
	if jobs == nil {
		t.Fatal("the page shows no jobs")
	}
	t.Chdir(t.TempDir())
	if err := os.WriteFile("jobs.jsonl", jobs[1], 0o644); err != nil {
		t.Fatal(err)
	}
	commands := 0
	now := commandRun.ReplaceAllFunc(text, func(block []byte) []byte {
		commands++
		line := string(commandRun.FindSubmatch(block)[1])
		printed, status := sitting(words(t, line))
		if status != exitNotInOrder {
			t.Errorf("%s: exit status %d", line, status)
		}
		printed = longNumber.ReplaceAllStringFunc(printed, func(number string) string {
			x, err := strconv.ParseFloat(number, 64)
			if err != nil {
				t.Fatal(err)
			}
			return strconv.FormatFloat(x, 'g', 4, 64)
		})
		printed = howFast.ReplaceAllLiteralString(printed, "0.01 s, 300 jobs a second")
		return []byte("```console\n$ culprit " + line + "\n" + printed + "```")
	})
	if commands != 2 {
		t.Errorf("the page shows %d commands", commands)
	}
	if !strings.Contains(string(text), "may have "+strconv.Itoa(engine.DefaultMaxLine)+" bytes") {
		t.Error("the page does not tell the limit of a line")
	}
	for _, kind := range []string{engine.LineBroken, engine.LineTooLong, engine.LineRefused, engine.LineImpossible, engine.LineTooWide, engine.LineProgram} {
		if !strings.Contains(string(text), "| `"+kind+"` |") {
			t.Errorf("the page does not tell of %q", kind)
		}
	}
	if *update {
		if err := os.WriteFile(page, now, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(string(now), string(text)); diff != "" {
		t.Errorf("the page differs from what the program prints (-program +page); run go test ./cmd/culprit -update:\n%s", diff)
	}
}
