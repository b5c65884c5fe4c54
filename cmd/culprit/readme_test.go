package main

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestReadme runs the commands of the README's tour, and holds the README to
// what they print at 80 columns.
func TestReadme(t *testing.T) {
	t.Chdir("../..")
	text, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	const open, end = "```console\n", "```\n"
	var now strings.Builder
	rest, blocks := string(text), 0
	for {
		before, after, found := strings.Cut(rest, open)
		now.WriteString(before)
		if !found {
			break
		}
		block, tail, found := strings.Cut(after, end)
		if !found {
			t.Fatal("a console block has no end")
		}
		line, _, _ := strings.Cut(block, "\n")
		args := words(t, strings.TrimPrefix(line, "$ culprit "))
		now.WriteString(open + line + "\n" + session(args) + end)
		rest = tail
		blocks++
	}
	if blocks == 0 {
		t.Fatal("the README shows no command")
	}
	if *update {
		if err := os.WriteFile("README.md", []byte(now.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(now.String(), string(text)); diff != "" {
		t.Errorf("the README differs from what the program prints (-program +README); run go test ./cmd/culprit -update:\n%s", diff)
	}
}

// session is what a person sees of one run on a terminal of 80 columns.
func session(args []string) string {
	printed, _ := sitting(args)
	return printed
}

// sitting is a session with the exit status that it ends in.
func sitting(args []string) (printed string, status int) {
	var screen bytes.Buffer
	s := &stdio{in: strings.NewReader(""), out: &screen, err: &screen, flush: func() error { return nil }, width: 80}
	status = run(s, args)
	return screen.String(), status
}

// words splits a command line at spaces outside double quotes.
func words(t *testing.T, line string) []string {
	t.Helper()
	var out []string
	quoted := false
	for _, part := range strings.FieldsFunc(line, func(r rune) bool {
		if r == '"' {
			quoted = !quoted
		}
		return r == ' ' && !quoted
	}) {
		out = append(out, strings.ReplaceAll(part, `"`, ""))
	}
	if quoted {
		t.Fatalf("a quote is open in %q", line)
	}
	return out
}
