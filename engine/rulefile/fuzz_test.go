package rulefile

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"culprit/engine/source"
)

// Laws: loading never panics and gives either a pack or problems; problems are sorted and stand in the files; a pack is whole.
func FuzzLoad(f *testing.F) {
	f.Add(everyKey, "cautions: {steam: Stand back.}\n")
	seeds, err := filepath.Glob("testdata/broken/*.yaml")
	if err != nil || len(seeds) == 0 {
		f.Fatal("no seeds: ", err)
	}
	for _, name := range seeds {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text), everyKey)
		f.Add("", string(text))
	}
	f.Fuzz(func(t *testing.T, a, b string) {
		pack, err := Load(folder("one", "a.yaml", a), folder("two", "b.yaml", b))
		if err == nil {
			checkWhole(t, pack)
			return
		}
		if pack != nil {
			t.Fatal("a pack came with the problems")
		}
		var problems source.Problems
		if !errors.As(err, &problems) || len(problems) == 0 {
			t.Fatalf("an error without problems: %v", err)
		}
		var out strings.Builder
		if err := problems.Format(&out); err != nil {
			t.Fatal(err)
		}
		sorted := slices.Clone(problems)
		sorted.Sort()
		for i, p := range problems {
			if p.Error() != sorted[i].Error() {
				t.Fatalf("not sorted:\n%v", err)
			}
			if p.Text == "" || p.Pos.File == nil {
				t.Errorf("a problem says %q at %v", p.Text, p.Pos)
			}
			if line := []rune(p.Pos.File.Line(p.Pos.Line)); p.Pos.Line > 0 && (p.Pos.Column < 1 || p.Pos.Column > len(line)+1) {
				t.Errorf("%v is past the end of %q", p.Pos, string(line))
			}
		}
	})
}

// checkWhole checks that everything a pack names is in it.
func checkWhole(t *testing.T, p *Pack) {
	t.Helper()
	if p.Scope.Len() != len(p.Readings) {
		t.Errorf("%d readings, %d in the scope", len(p.Readings), p.Scope.Len())
	}
	for i, r := range p.Readings {
		if r.Index != i || p.Reading(r.ID) != r || (r.FromText != "") != (r.From != nil) || r.Label == "" {
			t.Errorf("reading %+v", r)
		}
	}
	for i, f := range p.Faults {
		if f.Index != i || p.Fault(f.ID) != f || f.Per1000 <= 0 || f.Per1000 >= 1000 {
			t.Errorf("fault %+v", f)
		}
		for _, l := range f.Brings {
			if p.Condition(l.Condition.ID) != l.Condition || l.Strength < l.Condition.States[l.State].OfItself || l.Strength > 1 || (l.GivenText != "") != (l.Given != nil) {
				t.Errorf("link %+v of %s", l, f.ID)
			}
		}
	}
	for i, r := range p.Rules {
		if r.Index != i || p.Rule(r.ID) != r || r.When == nil || r.Both == nil || r.Otherwise < 0 || r.Otherwise >= 1 || len(r.Shows) == 0 {
			t.Errorf("rule %+v", r)
		}
		for _, s := range r.Shows {
			if (s.Fault == nil) == (s.Condition == nil) || s.Strength < 0 || s.Strength > 1 || s.Fault != nil && s.Strength < r.Otherwise {
				t.Errorf("rule %s shows %+v", r.ID, s)
			}
		}
	}
	for i, v := range p.Vehicles {
		if v.Index != i || p.Vehicle(v.ID) != v {
			t.Errorf("vehicle %+v", v)
		}
		for _, s := range v.Specs {
			if !s.Spec.HasFrom && !s.Spec.HasTo || s.Spec.HasFrom && s.Spec.HasTo && s.Spec.From >= s.Spec.To {
				t.Errorf("vehicle %s: %+v", v.ID, s)
			}
		}
	}
}
