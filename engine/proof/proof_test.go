package proof

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"culprit/engine/rulefile"
	"culprit/engine/source"
	"culprit/rules"
)

var update = flag.Bool("update", false, "write the reports of testdata/wrong and the table of the docs anew")

// joined is the base pack of the examples with one file more.
func joined(t *testing.T, text string) (*rulefile.Pack, error) {
	t.Helper()
	base, err := os.ReadFile("testdata/base.yaml")
	if err != nil {
		t.Fatal(err)
	}
	fs := fstest.MapFS{"base.yaml": {Data: base}}
	if text != "" {
		fs["mine.yaml"] = &fstest.MapFile{Data: []byte(text)}
	}
	return rulefile.Load(rulefile.Folder{FS: fs})
}

func loaded(t *testing.T, text string) *rulefile.Pack {
	t.Helper()
	p, err := joined(t, text)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return p
}

func report(findings []Finding) string {
	var b strings.Builder
	for _, f := range findings {
		b.WriteString(f.Kind + "\n")
		source.Problems{f.Problem}.Format(&b)
	}
	return b.String()
}

func TestBaseIsClean(t *testing.T) {
	if got := report(Read(loaded(t, ""))); got != "" {
		t.Error(got)
	}
}

// Every shipped pack is in order, or says why it is not.
func TestShippedPacksAreClean(t *testing.T) {
	entries, err := rules.FS.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		dir := os.DirFS(filepath.Join("../../rules", e.Name()))
		p, err := rulefile.Load(rulefile.Folder{Name: e.Name(), FS: dir})
		if err != nil {
			t.Fatal(err)
		}
		if got := report(Read(p)); got != "" {
			t.Errorf("%s:\n%s", e.Name(), got)
		}
	}
}

// The bad example of a kind is found to be that and nothing else, and the good one is in order.
func TestExamplesOfKinds(t *testing.T) {
	for _, k := range Kinds() {
		t.Run(k.ID, func(t *testing.T) {
			if k.ID != Refused && k.ID != Unreadable {
				got := Read(loaded(t, k.Bad))
				if len(got) != 1 || got[0].Kind != k.ID {
					t.Errorf("the bad example:\n%s\n%s", k.Bad, report(got))
				}
			} else if _, err := joined(t, k.Bad); err == nil {
				t.Error("the bad example loads")
			}
			if k.ID == Unreadable {
				return // its good example is one file and not a rule by itself
			}
			if got := report(Read(loaded(t, k.Good))); got != "" {
				t.Errorf("the good example:\n%s\n%s", k.Good, got)
			}
		})
	}
}

// A file in testdata/wrong is full of findings of the kind that it is named after, beside the exact report of them; the file of
// the same name in testdata/excused has the same with excuses, and is in order.
func TestWrongFiles(t *testing.T) {
	for _, k := range Kinds() {
		t.Run(k.ID, func(t *testing.T) {
			text, err := os.ReadFile("testdata/wrong/" + k.ID + ".yaml")
			if err != nil {
				t.Fatal(err)
			}
			got := ""
			if p, err := joined(t, string(text)); err == nil {
				findings := Read(p)
				for _, f := range findings {
					if f.Kind != k.ID {
						t.Errorf("found %s too", f.Kind)
					}
				}
				got = report(findings)
			} else if problems, ok := errors.AsType[source.Problems](err); ok && (k.ID == Refused || k.ID == Unreadable) {
				var b strings.Builder
				problems.Format(&b)
				got = b.String()
			} else {
				t.Fatal(err)
			}
			golden(t, "testdata/wrong/"+k.ID+".txt", got)

			switch k.ID {
			case Refused, Unreadable, "idle-excuse":
				return // cannot be excused
			}
			text, err = os.ReadFile("testdata/excused/" + k.ID + ".yaml")
			if err != nil {
				t.Fatal(err)
			}
			if n, m := strings.Count(string(text), k.ID+":"), strings.Count(got, k.ID+"\n"); n == 0 || m == 0 {
				t.Errorf("%d excuses for %d findings", n, m)
			}
			if got := report(Read(loaded(t, string(text)))); got != "" {
				t.Errorf("excused, and still:\n%s", got)
			}
		})
	}
}

func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("the report differs (-want +got):\n%s", diff)
	}
}
