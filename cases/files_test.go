package cases

import (
	"errors"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"culprit/engine"
)

const oneCase = "cases: {one: {readings: {co: 1}, not_leading: [x], because: B}}\n"

func TestLoadPaths(t *testing.T) {
	dir := write(t, map[string]string{"a.yaml": oneCase, "b.yml": strings.Replace(oneCase, "one", "two", 1),
		".hidden.yaml": "nonsense", "notes.txt": "nonsense"})
	all, err := LoadPaths(dir)
	if err != nil {
		t.Fatal(explain(err))
	}
	if len(all) != 2 || all[0].ID != "one" || all[1].ID != "two" || all[1].At.String() != filepath.Join(dir, "b.yml")+":1:9" {
		t.Errorf("%d cases, %+v", len(all), all)
	}
	a := filepath.Join(dir, "a.yaml")
	if _, err := LoadPaths(a, a); err == nil || !strings.Contains(explain(err), `there is another case "one"`) {
		t.Errorf("a file twice: %v", err)
	}
	if all, err := LoadPaths(write(t, nil)); err != nil || len(all) != 0 {
		t.Errorf("an empty folder: %d cases, %v", len(all), err)
	}
	if _, err := LoadPaths(filepath.Join(dir, "nowhere")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a folder that is not there: %v", err)
	}
	if _, err := LoadPaths("/dev/zero"); err == nil || !strings.Contains(err.Error(), "neither a file nor a folder") {
		t.Errorf("a device: %v", err)
	}
	large := write(t, map[string]string{"large.yaml": strings.Repeat("# 0123456789\n", 200_000)})
	if _, err := LoadPaths(large); err == nil || !strings.Contains(explain(err), "more than") {
		t.Errorf("a file that is too large: %v", err)
	}
}

// TestLoadNamed: the cases that come with the pack are named among others by a word.
func TestLoadNamed(t *testing.T) {
	own := filepath.Join(write(t, map[string]string{"a.yaml": oneCase}), "a.yaml")
	shipped, err := Shipped(engine.DefaultPack)
	if err != nil {
		t.Fatal(err)
	}
	for _, names := range [][]string{{"shipped", own}, {own, "shipped"}} {
		all, err := LoadNamed(engine.DefaultPack, names...)
		if err != nil || len(all) != len(shipped)+1 {
			t.Errorf("%v: %d cases, %v; want one more than %d", names, len(all), err, len(shipped))
		}
	}
	if _, err := LoadNamed(engine.DefaultPack, "shipped", "shipped"); err == nil || !strings.Contains(explain(err), "there is another case") {
		t.Errorf("named twice: %v", err)
	}
	if _, err := LoadNamed("my-folder", "shipped"); !errors.Is(err, ErrNoShipped) {
		t.Errorf("a pack without cases: %v", err)
	}
	if all, err := LoadNamed("my-folder", own); err != nil || len(all) != 1 {
		t.Errorf("own cases alone: %d, %v", len(all), err)
	}
}

func TestShipped(t *testing.T) {
	for _, name := range engine.ShippedPacks() {
		all, err := Shipped(name)
		if err != nil || len(all) == 0 || !strings.HasPrefix(all[0].At.String(), "cases/") {
			t.Errorf("%s: %d cases, %v", name, len(all), err)
		}
	}
	for _, name := range []string{"no-such-pack", ".", "..", "/tmp"} {
		if _, err := Shipped(name); !errors.Is(err, ErrNoShipped) {
			t.Errorf("%q: %v", name, err)
		}
	}
}

// TestExplain: what is told of a failure is what the verdict holds of the fault
// that leads and of the one that should have.
func TestExplain(t *testing.T) {
	p, _ := shipped(t)
	const leak = `vehicle: brackenby-1800, readings: {engine_warm: yes, valve_duty: 15, regulator_current: 17, regulator_current_2500: 11}`
	seen := map[string]bool{}
	for _, c := range []struct {
		because, text string
		wrong, right  string
		nothing       bool
	}{
		{because: "another fault leads", text: "expect: [{fault: idle-screw-in, rank: 1}]", wrong: "unmeasured-air", right: "idle-screw-in"},
		{because: "the right fault leads and is not probable enough", text: "expect: [{fault: unmeasured-air, at_least: 1}]", right: "unmeasured-air"},
		{because: "a fault leads that must not, and none is named instead", text: "not_leading: [unmeasured-air]", wrong: "unmeasured-air"},
		{because: "only the second of two is wrong", text: "expect: [{fault: unmeasured-air, rank: 1}, {fault: idle-screw-in, at_least: 0.9}]", wrong: "unmeasured-air", right: "idle-screw-in"},
		{because: "not the ranking failed", text: "not_met: [engine_warm]", nothing: true},
		{because: "nothing failed", text: "expect: [{fault: unmeasured-air, rank: 1}]", nothing: true},
		{because: "the job was refused", text: "spec: {co: {from: 2, to: 1}}, expect: [{fault: unmeasured-air, rank: 1}]", nothing: true},
	} {
		if seen[c.because] {
			t.Fatalf("two rows say %q", c.because)
		}
		seen[c.because] = true
		all, err := Load(files("cases:\n  one: {" + leak + ", " + c.text + ", because: B}\n"))
		if err != nil {
			t.Fatalf("%s: %s", c.because, explain(err))
		}
		e := all[0].Explain(all[0].Run(t.Context(), p))
		if c.nothing {
			if e != nil {
				t.Errorf("%s: %+v", c.because, e)
			}
			continue
		}
		if e == nil || e.Wrong != c.wrong || e.Right != c.right {
			t.Errorf("%s: %+v", c.because, e)
			continue
		}
		if (len(e.ForWrong) > 0) != (c.wrong != "") || e.Ranking[0].Fault != "unmeasured-air" || e.Ranking[0].Rank != 1 {
			t.Errorf("%s: %+v", c.because, e)
		}
		short := c.wrong == "" // it leads, with too little
		if (len(e.Rivals) > 0) != short || short && len(e.ForRight) == 0 {
			t.Errorf("%s: for the right one %d rules, %d rivals", c.because, len(e.ForRight), len(e.Rivals))
		}
		for i, x := range e.Rivals {
			if x.Fault == e.Right || x.Probability < leastRivals || i > 0 && x.Probability > e.Rivals[i-1].Probability || i >= mostRivals || x.For == nil {
				t.Errorf("%s: a rival %+v", c.because, x)
			}
		}
		if c.right == "idle-screw-in" && (len(e.AgainstRight) == 0 || len(e.AgainstRight[0].Asks) == 0) {
			t.Errorf("%s: nothing against the right one: %+v", c.because, e)
		}
	}
}
