package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestPacksGuide does what docs/packs.md tells its reader to do: it writes the rule
// file into my-folder, runs each command beside it, and holds the page to what is
// printed at 80 columns.
func TestPacksGuide(t *testing.T) {
	page, err := filepath.Abs("../../docs/packs.md")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	if err := os.Mkdir("my-folder", 0o755); err != nil {
		t.Fatal(err)
	}
	var now strings.Builder
	commands := 0
	for i, part := range strings.Split(string(text), "\n```") {
		if i > 0 {
			now.WriteString("\n```")
		}
		switch {
		case strings.HasPrefix(part, "yaml\n# "):
			name, _, _ := strings.Cut(strings.TrimPrefix(part, "yaml\n# "), "\n")
			rules := strings.TrimPrefix(part, "yaml\n") + "\n"
			if err := os.WriteFile(filepath.Join("my-folder", name), []byte(rules), 0o644); err != nil {
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
		t.Errorf("docs/packs.md differs from what the program prints (-program +page); run go test ./cmd/culprit -update:\n%s", diff)
	}
}
