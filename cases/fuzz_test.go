package cases

import (
	"errors"
	"io/fs"
	"strings"
	"testing"

	"culprit/engine/source"
)

// FuzzLoad: reading case files never panics and gives either cases or problems; problems are sorted, stand in the file and say
// something; cases are whole and have an id each.
func FuzzLoad(f *testing.F) {
	names, err := fs.Glob(FS, "*.yaml")
	if err != nil || len(names) == 0 {
		f.Fatal("no seeds: ", err)
	}
	for _, name := range names {
		text, err := fs.ReadFile(FS, name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text[:min(len(text), 800)]))
	}
	f.Add(oneCase)
	f.Add("cases: {one: {readings: {a: {every: 1 s, values: [1, 2]}, b: {value: 3, unit: V, within: 1}, c: null, d: yes}, expect: [{fault: x, rank: 2, at_least: 0.5}], because: B}}\n")
	f.Add("cases: {one: {vehicle: v, spec: {a: {from: 1, to: 2 bar}, b: {reference: 3, within: 1}}, readings: {a: [1]}, not_met: [a], because: B}}\n")
	f.Add("cases: &a {one: *a}\n")
	f.Fuzz(func(t *testing.T, text string) {
		all, err := Load(files(text))
		if err == nil {
			whole(t, all)
			return
		}
		var problems source.Problems
		if all != nil || !errors.As(err, &problems) || len(problems) == 0 {
			t.Fatalf("%d cases, %v", len(all), err)
		}
		var out strings.Builder
		if err := problems.Format(&out); err != nil {
			t.Fatal(err)
		}
		for i, p := range problems {
			if p.Text == "" || p.Pos.File == nil {
				t.Errorf("a problem says %q at %v", p.Text, p.Pos)
			}
			if line := []rune(p.Pos.File.Line(p.Pos.Line)); p.Pos.Line > 0 && (p.Pos.Column < 1 || p.Pos.Column > len(line)+1) {
				t.Errorf("%v is past the end of %q", p.Pos, string(line))
			}
			if i > 0 && (p.Pos.Line < problems[i-1].Pos.Line) {
				t.Errorf("not sorted:\n%v", err)
			}
		}
	})
}

// whole checks cases that were taken.
func whole(t *testing.T, all []*Case) {
	ids := map[string]bool{}
	for _, c := range all {
		switch {
		case c.ID == "" || ids[c.ID]:
			t.Errorf("an id that is missing or taken: %q", c.ID)
		case c.Because == "" || c.At.Line < 1:
			t.Errorf("%s: because %q at %v", c.ID, c.Because, c.At)
		case len(c.Expect)+len(c.NotLeading)+len(c.NotMet) == 0:
			t.Errorf("%s expects nothing", c.ID)
		}
		ids[c.ID] = true
		for _, e := range c.Expect {
			if e.Fault.ID == "" || e.Fault.At.Line < 1 || e.Rank < 0 || !(e.AtLeast >= 0 && e.AtLeast <= 1) {
				t.Errorf("%s expects %+v", c.ID, e)
			}
		}
	}
}
