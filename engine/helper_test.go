package engine

import (
	"errors"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"culprit/engine/rulefile"
)

// reasons gives the check that every row of a table test has a reason of its own.
func reasons(t *testing.T) func(reason string) {
	seen := map[string]bool{}
	return func(reason string) {
		t.Helper()
		if reason == "" || seen[reason] {
			t.Fatalf("a row whose reason is %q: every row has one of its own", reason)
		}
		seen[reason] = true
	}
}

// tiny makes a pack of one file.
func tiny(t testing.TB, text string) *Pack {
	t.Helper()
	return join(t, map[string]string{"rules.yaml": text})
}

// join makes a pack of folders, each being files by name.
func join(t testing.TB, folders ...map[string]string) *Pack {
	t.Helper()
	var all []rulefile.Folder
	for _, files := range folders {
		m := fstest.MapFS{}
		for name, text := range files {
			m[name] = &fstest.MapFile{Data: []byte(text)}
		}
		all = append(all, rulefile.Folder{FS: m})
	}
	p, err := load("test", all)
	if err != nil {
		t.Fatal(formatted(err))
	}
	return p
}

// formatted gives an error as a person sees it.
func formatted(err error) string {
	var problems Problems
	if !errors.As(err, &problems) {
		return err.Error() + "\n"
	}
	var b strings.Builder
	problems.Format(&b)
	return b.String()
}

func diagnose(t testing.TB, p *Pack, j *Job) *Verdict {
	t.Helper()
	v, err := p.Diagnose(t.Context(), j, Options{Most: 1000})
	if err != nil {
		t.Fatal(formatted(err))
	}
	return v
}

// job makes a job of readings.
func job(readings map[string]Value) *Job { return &Job{Readings: readings} }

// fault finds a fault in a verdict.
func (v *Verdict) fault(t testing.TB, id string) *Fault {
	t.Helper()
	for i := range v.Faults {
		if v.Faults[i].Fault == id {
			return &v.Faults[i]
		}
	}
	t.Fatalf("the verdict has no fault %q", id)
	return nil
}

// rule finds a rule in a verdict.
func (v *Verdict) rule(t testing.TB, id string) *Rule {
	t.Helper()
	for i := range v.Rules {
		if v.Rules[i].Rule == id {
			return &v.Rules[i]
		}
	}
	t.Fatalf("the verdict has no rule %q", id)
	return nil
}

func around(t testing.TB, what string, got, want, by float64) {
	t.Helper()
	if !(math.Abs(got-want) <= by) {
		t.Errorf("%s: got %v, want %v within %v", what, got, want, by)
	}
}
