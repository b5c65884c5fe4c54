package cases

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"culprit/engine"
)

// write makes a folder of files.
func write(t testing.TB, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func openFolder(t testing.TB, text string) *engine.Pack {
	t.Helper()
	p, err := engine.Open(engine.Sources{Pack: write(t, map[string]string{"rules.yaml": text})})
	if err != nil {
		t.Fatal(explain(err))
	}
	return p
}

// TestShippedPacksAreCovered: in the cases of every shipped pack each rule is seen
// to hold and seen not to hold, each fault leads and each check is made.
func TestShippedPacksAreCovered(t *testing.T) {
	for _, name := range engine.ShippedPacks() {
		p, err := engine.Open(engine.Sources{Pack: name})
		if err != nil {
			t.Fatal(explain(err))
		}
		all, err := Shipped(name)
		if err != nil {
			t.Fatal(explain(err))
		}
		c := NewCounter(p)
		for _, x := range all {
			c.Add(x.ID, x.Run(t.Context(), p))
		}
		bears := map[string]bool{}
		for _, k := range p.CheckOutlines() {
			bears[k.Check] = len(k.Rules) > 0
		}
		cov := c.Coverage()
		for _, r := range cov.Rules {
			if r.Held == 0 || r.NotHeld == 0 {
				t.Errorf("%s: %s held in %d cases and did not in %d: %v", name, r.Rule, r.Held, r.NotHeld, r.Gaps)
			}
			if n := r.Held + r.NotHeld + r.CannotTell + r.DoesNotApply; n != len(all) {
				t.Errorf("%s: %s came out %d times in %d cases", name, r.Rule, n, len(all))
			}
		}
		for _, f := range cov.Faults {
			if f.Led == 0 {
				t.Errorf("%s: %s: %v", name, f.Fault, f.Gaps)
			}
		}
		for _, k := range cov.Checks {
			if k.Given+k.InPart == 0 {
				t.Errorf("%s: %+v", name, k)
			}
			if bears[k.Check] && (k.RulesHeld == 0 || k.RulesNotHeld == 0) {
				t.Errorf("%s: the rules that %s bears on: %+v", name, k.Check, k)
			}
			if n := k.Given + k.InPart + k.NotGiven; n != len(all) {
				t.Errorf("%s: %s came out %d times in %d cases", name, k.Check, n, len(all))
			}
		}
		if cov.Cases != len(all) || cov.Seen != cov.Wanted || cov.Percent != 100 {
			t.Errorf("%s: %d of %d in %d cases", name, cov.Seen, cov.Wanted, cov.Cases)
		}
	}
}

const gappy = `
readings:
  ready: {label: R, kind: yes/no}
  volts: {label: V, unit: V}
  ohms: {label: O, unit: ohm}
  amps: {label: A, unit: A}
faults: {weak: {label: Weak, per_1000: 10}, dead: {label: Dead, per_1000: 5}}
rules:
  both-ways: {says: S, when: volts < 10, shows: {weak: 0.9}, otherwise: 0.1, because: B}
  one-way: {says: S, when: volts < 5, shows: {dead: 0.9}, otherwise: 0.1, because: B}
  never-measured: {says: S, when: ohms > 100, shows: {dead: 0.9}, otherwise: 0.1, because: B}
  never-applies: {says: S, given: ready, when: volts < 11, shows: {dead: 0.5}, otherwise: 0.1, because: B}
  no-figure: {says: S, when: high(volts), shows: {dead: 0.5}, otherwise: 0.1, because: B}
  never-together: {says: S, when: volts * amps > 100, shows: {dead: 0.5}, otherwise: 0.1, because: B}
checks:
  meter: {label: M, yields: [volts, amps], minutes: 1}
  bridge: {label: M, yields: [ohms], minutes: 1}
`

// TestGaps: what no case shows is told with the reason.
func TestGaps(t *testing.T) {
	p := openFolder(t, gappy)
	dir := write(t, map[string]string{"cases.yml": `
cases:
  low: {readings: {volts: 9, ready: no}, expect: [{fault: weak, rank: 1}], because: B}
  sound: {readings: {volts: 13, ready: no}, not_leading: [dead], because: B}
  current: {readings: {amps: 3, ready: no}, not_leading: [dead], because: B}
  refused: {readings: {volts: 3 bar}, not_leading: [dead], because: B}
`})
	all, err := LoadPaths(dir)
	if err != nil {
		t.Fatal(explain(err))
	}
	c := NewCounter(p)
	for _, x := range all {
		c.Add(x.ID, x.Run(t.Context(), p))
	}
	cov := c.Coverage()
	got := map[string][]Gap{}
	for _, r := range cov.Rules {
		got[r.Rule] = r.Gaps
	}
	for _, f := range cov.Faults {
		got[f.Fault] = f.Gaps
	}
	for _, k := range cov.Checks {
		got[k.Check] = k.Gaps
	}
	both := func(why string) []Gap { return []Gap{{"held", why}, {"did not hold", why}} }
	want := map[string][]Gap{
		"both-ways":      {},
		"one-way":        {{"held", "it could tell in 2 cases, always on the same side of its limit; it asks for volts"}},
		"never-measured": both("no case gives ohms"),
		"never-applies":  both("in 3 cases its given is not met, which asks for ready"),
		"no-figure":      both("no case has the figures of volts"),
		"never-together": both("no case gives all that it asks for; most often it waits for amps"),
		"weak":           {},
		"dead":           {{"led", "at best it ranks 2, behind weak in case low"}},
		"meter":          {},
		"bridge":         {{"given", "no case gives ohms"}},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if cov.Cases != 3 || cov.Seen != 2+1+1+1 || cov.Wanted != 12+2+2 {
		t.Errorf("%d cases, %d of %d", cov.Cases, cov.Seen, cov.Wanted)
	}
	if k := cov.Checks[0]; k.InPart != 3 || k.RulesHeld != 1 || k.RulesNotHeld != 3 {
		t.Errorf("the meter: %+v", k)
	}
}
