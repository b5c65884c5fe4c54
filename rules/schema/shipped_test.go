package schema

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
)

// shipped are the files that come with the program, and those that documents and tests show as right: text by name.
func shipped(t testing.TB, kind string) map[string]string {
	t.Helper()
	found := map[string]string{}
	read := func(glob string) {
		names, err := filepath.Glob(glob)
		if err != nil || len(names) == 0 {
			t.Fatalf("%s: no files: %v", glob, err)
		}
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			found[name] = string(text)
		}
	}
	blocks := func(file, pattern string) {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		all := regexp.MustCompile(pattern).FindAllStringSubmatch(string(text), -1)
		if len(all) == 0 {
			t.Fatalf("%s: no examples", file)
		}
		for _, m := range all {
			found[file+": "+m[1][:min(len(m[1]), 40)]] = m[1]
		}
	}
	switch kind {
	case "rules":
		read("../*/*.yaml")
		blocks("../../docs/rule-files.md", "(?ms)^```yaml\n(# [a-z-]+\\.yaml\n.*?)^```\n")
	case "cases":
		read("../../cases/*.yaml")
		read("../../cases/*/*.yaml")
		blocks("../../docs/rule-files.md", "(?ms)^```yaml\n((?:#[^\n]*\n)*cases:\n.*?)^```\n")
	case "job":
		read("../../cases/*.json")
		blocks("../../docs/json.md", "(?s)The job\n\n```json\n(.*?)```")
	}
	return found
}

// TestShipped: whatever comes with the program is right by its schema.
func TestShipped(t *testing.T) {
	for _, k := range kinds {
		for name, text := range shipped(t, k.name) {
			v, ok := value(k.name, text)
			if !ok {
				t.Errorf("%s cannot be read", name)
			} else if err := validate(t, k.name, v); err != nil {
				t.Errorf("%s: %.500v", name, err)
			}
			if err := form(k.name, text); err != nil {
				t.Errorf("%s: the program refuses it: %s", name, told(err))
			}
		}
	}
}

// TestElsewhere: of all files that tests and documents hold, right ones and wrong ones, the schema takes those whose form the
// program takes.
func TestElsewhere(t *testing.T) {
	taken := map[string]int{}
	try := func(name, kind, text string) {
		v, ok := value(kind, text)
		if !ok || form(kind, text) != nil {
			return
		}
		taken[kind]++
		if err := validate(t, kind, v); err != nil && (kind == "rules" || whole(t, open(t), kind, text) == nil) {
			t.Errorf("%s: the program takes it as %s, and the schema says %.500v", name, kind, err)
		}
	}
	for _, glob := range []string{"../../engine/rulefile/testdata/*/*.yaml", "../../engine/proof/testdata/*/*.yaml"} {
		names, err := filepath.Glob(glob)
		if err != nil || len(names) == 0 {
			t.Fatalf("%s: no files: %v", glob, err)
		}
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			try(name, "rules", string(text))
		}
	}
	scripts, err := filepath.Glob("../../cmd/culprit/testdata/script/*.txtar")
	if err != nil || len(scripts) == 0 {
		t.Fatal("no scripts: ", err)
	}
	for _, name := range scripts {
		archive, err := txtar.ParseFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range archive.Files {
			switch filepath.Ext(f.Name) {
			case ".json":
				try(name+" "+f.Name, "job", string(f.Data))
			case ".yaml", ".yml":
				try(name+" "+f.Name, "rules", string(f.Data))
				try(name+" "+f.Name, "cases", string(f.Data))
			}
		}
	}
	pages, err := filepath.Glob("../../docs/*.md")
	if err != nil || len(pages) == 0 {
		t.Fatal("no pages: ", err)
	}
	for _, name := range append(pages, "../../README.md") {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile("(?ms)^```(yaml|json)\n(.*?)^```$").FindAllStringSubmatch(string(text), -1) {
			if m[1] == "json" {
				try(name, "job", m[2])
				continue
			}
			try(name, "rules", m[2])
			try(name, "cases", m[2])
		}
	}
	for _, k := range kinds {
		if taken[k.name] == 0 {
			t.Errorf("%s: nothing was taken", k.name)
		}
	}
	t.Log(taken)
}

// TestEditorLine: the remark of the docs that tells an editor of a schema does not disturb the reading.
func TestEditorLine(t *testing.T) {
	docs, err := os.ReadFile("../../docs/rule-files.md")
	if err != nil {
		t.Fatal(err)
	}
	line := regexp.MustCompile(`(?m)^# .*\$schema=rules\.schema\.json\n`).FindString(string(docs))
	if line == "" {
		t.Fatal("the docs have no such line")
	}
	for _, k := range kinds[:2] {
		for name, text := range shipped(t, k.name) {
			if err := form(k.name, strings.Replace(line, "rules", k.name, 1)+text); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
}
