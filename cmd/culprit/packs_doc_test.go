package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// jobName finds, at the end of the text before a block of JSON, the file it is.
var jobName = regexp.MustCompile("`([a-z-]+\\.json)`:\\s*$")

// TestGuides does what pages of docs tell their reader to do: it writes the files,
// rule files without a folder in their name into my-folder, runs each command beside
// them, and holds the page to what is printed at 80 columns.
func TestGuides(t *testing.T) {
	for _, name := range []string{"packs.md", "rehearsing.md", "showing.md", "follow-up.md", "next.md", "model-car.md", "performance.md"} {
		t.Run(name, func(t *testing.T) { holdGuide(t, name) })
	}
}

func holdGuide(t *testing.T, page string) {
	page, err := filepath.Abs("../../docs/" + page)
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	var now strings.Builder
	commands := 0
	before := ""
	for i, part := range strings.Split(string(text), "\n```") {
		if i > 0 {
			now.WriteString("\n```")
		}
		job := jobName.FindStringSubmatch(before)
		before = part
		switch {
		case strings.HasPrefix(part, "json\n") && job != nil:
			if err := os.WriteFile(job[1], []byte(strings.TrimPrefix(part, "json\n")+"\n"), 0o644); err != nil {
				t.Fatal(err)
			}
		case strings.HasPrefix(part, "yaml\n# "):
			name, _, _ := strings.Cut(strings.TrimPrefix(part, "yaml\n# "), "\n")
			rules := strings.TrimPrefix(part, "yaml\n") + "\n"
			if !strings.Contains(name, "/") {
				name = "my-folder/" + name
			}
			if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(name, []byte(rules), 0o644); err != nil {
				t.Fatal(err)
			}
		case strings.HasPrefix(part, "console\n$ culprit "):
			line, _, _ := strings.Cut(strings.TrimPrefix(part, "console\n"), "\n")
			printed := session(words(t, strings.TrimPrefix(line, "$ culprit ")))
			part = "console\n" + line + "\n" + strings.TrimSuffix(printed, "\n")
			commands++
		}
		now.WriteString(part)
	}
	if commands == 0 {
		t.Fatal("the page shows no command")
	}
	if *update {
		if err := os.WriteFile(page, []byte(now.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(now.String(), string(text)); diff != "" {
		t.Errorf("%s differs from what the program prints (-program +page); run go test ./cmd/culprit -update:\n%s", page, diff)
	}
}
