package proof

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"culprit/engine/rulefile"
)

// Whatever loads can be read: every finding is of a known kind and at a place that is there, and reading
// again gives the same.
func FuzzRead(f *testing.F) {
	files, err := filepath.Glob("testdata/*/*.yaml")
	if err != nil || len(files) == 0 {
		f.Fatal("no seeds")
	}
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	base, err := os.ReadFile("testdata/base.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, err := rulefile.Load(rulefile.Folder{FS: fstest.MapFS{"base.yaml": {Data: base}, "mine.yaml": {Data: []byte(text)}}})
		if err != nil {
			return
		}
		findings := Read(p)
		for _, x := range findings {
			line := x.Pos.File.Line(x.Pos.Line)
			if !slices.Contains(IDs(), x.Kind) || x.Text == "" || x.Hint == "" || x.Pos.Line < 1 || x.Pos.Column < 1 || x.Pos.Column > len([]rune(line)) {
				t.Errorf("%s at %s: %s", x.Kind, x.Pos, x.Text)
			}
		}
		if a, b := report(findings), report(Read(p)); a != b {
			t.Errorf("read again:\n%s\nand before:\n%s", b, a)
		}
		if strings.Contains(report(findings), "e-324") {
			t.Error("a limit shows how it was computed")
		}
	})
}
