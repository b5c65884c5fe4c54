package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"

	"culprit/cases/modelcar"
	"culprit/engine"
	"culprit/rules"
)

// hands gives a stagehand for these checks.
func hands(t *testing.T, vehicle, checks string, with ...string) *stagehand {
	t.Helper()
	o := &stageOptions{vehicle: vehicle, checks: checks, with: with}
	o.pack = engine.DefaultPack
	b, err := o.stagehand()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// verdictOn ranks a staged job as rank would.
func verdictOn(t *testing.T, b *stagehand, text []byte) *engine.Verdict {
	t.Helper()
	job, err := b.pack.ParseJob("job.json", text)
	if err != nil {
		t.Fatal(err)
	}
	v, err := b.pack.Diagnose(context.Background(), job, engine.Options{})
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return v
}

// The model's meters are those of the pack: the same limits of error, the same units.
func TestStageMetersAreThePacks(t *testing.T) {
	var pack struct {
		Readings map[string]struct {
			Unit     string
			Kind     string
			From     string
			Accuracy struct{ Within, Percent float64 }
		}
	}
	for _, name := range []string{"fuel", "idle", "mixture", "sensing", "setup"} {
		text, err := rules.FS.ReadFile("continuous-injection/readings-" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		if err := yaml.Unmarshal(text, &pack); err != nil {
			t.Fatal(err)
		}
	}
	for _, id := range modelcar.ReadingIDs() {
		m, unit, isNumber := modelcar.MeterOf(id)
		r, ok := pack.Readings[id]
		if !ok {
			t.Errorf("the pack has no reading %s", id)
			continue
		}
		if isNumber != (r.Kind == "") {
			t.Errorf("%s is a number of the model only, or of the pack only", id)
		}
		if isNumber && (m.Within != r.Accuracy.Within || m.Percent != r.Accuracy.Percent || unit != r.Unit) {
			t.Errorf("%s: the model has %v and %v %% in %q, the pack %+v in %q", id, m.Within, m.Percent, unit, r.Accuracy, r.Unit)
		}
	}
}

// The model gives every reading that a check of the pack yields, has every fault of the pack, and every vehicle.
func TestStageCoversThePack(t *testing.T) {
	b := hands(t, "brackenby-1800", "all")
	for _, c := range b.pack.CheckOutlines() {
		for _, r := range c.Yields {
			if !slices.Contains(modelcar.ReadingIDs(), r) {
				t.Errorf("check %s yields %s, which the model does not give", c.Check, r)
			}
		}
	}
	for _, f := range b.pack.Faults() {
		if _, ok := modelcar.Kind(f); !ok {
			t.Errorf("fault %s cannot be staged", f)
		}
	}
	for _, k := range modelcar.FaultKinds {
		if !slices.Contains(b.pack.Faults(), k.ID) {
			t.Errorf("fault %s is not in the pack", k.ID)
		}
	}
	vehicles := 0
	for _, card := range b.pack.List() {
		if card.Kind == "vehicle" {
			vehicles++
			if !slices.ContainsFunc(modelcar.Designs, func(d *modelcar.Design) bool { return d.ID == card.ID && d.Label == card.Label }) {
				t.Errorf("vehicle %s has no model", card.ID)
			}
		}
	}
	if vehicles != len(modelcar.Designs) {
		t.Errorf("%d vehicles in the pack, %d models", vehicles, len(modelcar.Designs))
	}
}

// Jobs of every fault are taken, with nothing in them that rank finds implausible or at odds with itself, and the
// truth changes nothing in the verdict.
func TestStagedJobsAreTaken(t *testing.T) {
	for i, k := range modelcar.FaultKinds {
		vehicle := modelcar.Designs[i%len(modelcar.Designs)].ID
		others := [][]string{{"breather", "purge"}, {"sensor-unplugged"}, {"just-set"}, {"cold", "consumers"}}
		for _, with := range [][]string{nil, others[i%len(others)]} {
			b := hands(t, vehicle, "all", with...)
			it, err := b.draw(uint64(i), []string{k.ID})
			if err != nil {
				t.Fatal(err)
			}
			text, err := b.job(it, false)
			if err != nil {
				t.Fatal(err)
			}
			v := verdictOn(t, b, text)
			if len(v.Doubtful) > 0 {
				t.Errorf("%s, %v: %s %s", k.ID, with, v.Doubtful[0].Reading, v.Doubtful[0].Text)
			}
			var job map[string]json.RawMessage
			if err := json.Unmarshal(text, &job); err != nil {
				t.Fatal(err)
			}
			if len(job["truth"]) == 0 {
				t.Errorf("%s: no truth", k.ID)
			}
			if with != nil {
				continue
			}
			delete(job, "truth")
			bare, _ := json.Marshal(job)
			if w := verdictOn(t, b, bare); w.NoFault != v.NoFault || w.Faults[0].Fault != v.Faults[0].Fault {
				t.Errorf("%s: the truth is looked at", k.ID)
			}
		}
	}
}

// A sound car is found sound: of 60, none of the faults is more probable than that there is none in 57 at least, 95
// in 100, and that has more than one half in as many.
func TestStagedSoundCarIsFoundSound(t *testing.T) {
	for _, checks := range []string{"first-five", "all"} {
		sound := 0
		const cars = 60
		b := hands(t, "brackenby-1800", checks)
		for seed := range uint64(cars) {
			it, err := b.draw(seed, []string{noFault})
			if err != nil {
				t.Fatal(err)
			}
			text, err := b.job(it, false)
			if err != nil {
				t.Fatal(err)
			}
			if v := verdictOn(t, b, text); v.NoFault > 0.5 && v.NoFault > v.Faults[0].Probability {
				sound++
			}
		}
		if sound < 57 {
			t.Errorf("%s: %d of %d sound cars are found sound", checks, sound, cars)
		}
	}
}

// A ticket comes back as what it was made of; whatever is typed, nothing panics, and a slip of one letter is found.
func TestTickets(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 500 {
		it := &staged{seed: r.Uint64() >> r.IntN(64), vehicle: modelcar.Designs[r.IntN(2)].ID}
		for i := range states {
			if r.IntN(3) == 0 {
				it.states = append(it.states, i)
			}
		}
		for _, i := range r.Perm(len(modelcar.FaultKinds))[:r.IntN(4)] {
			it.faults = append(it.faults, modelcar.Fault{ID: modelcar.FaultKinds[i].ID, Severity: float64(r.IntN(1001)) / 1000})
		}
		text := ticket(it)
		back, err := readTicket(strings.ToUpper(text))
		if err != nil || back.command() != it.command() {
			t.Fatalf("%s: %v\n%s\n%s", text, err, it.command(), back.command())
		}
		for _, f := range it.faults {
			if strings.Contains(text, f.ID) {
				t.Errorf("%s shows the fault", text)
			}
		}
		at := r.IntN(len(text))
		letter := "0123456789abcdefghjkmnpqrstvwxyz"[r.IntN(32)]
		if text[at] == '-' || text[at] == letter {
			continue
		}
		slip := text[:at] + string(letter) + text[at+1:]
		if _, err := readTicket(slip); err == nil {
			t.Errorf("%s is taken for %s", slip, text)
		}
	}
}

func FuzzTicket(f *testing.F) {
	f.Add(ticket(&staged{seed: 7, vehicle: "ostrel-2000", faults: []modelcar.Fault{{ID: "purge-open", Severity: 0.5}}}))
	f.Add("")
	f.Add("00000-00000-00000")
	f.Fuzz(func(t *testing.T, text string) {
		it, err := readTicket(text)
		if err == nil && ticket(it) == "" {
			t.Error("a ticket is empty")
		}
	})
}

// Sizes of faults as people type them.
func TestSizes(t *testing.T) {
	leak, _ := modelcar.Kind("unmeasured-air")
	gap, _ := modelcar.Kind("throttle-gummed")
	drip, _ := modelcar.Kind("injector-leaking")
	for _, row := range []struct {
		k    modelcar.FaultKind
		text string
		want float64 // NaN: refused
	}{
		{leak, "0.4", 0.4}, {leak, "1", 1}, {leak, "1.5mm", 0.5}, {leak, "1.5 mm", 0.5}, {leak, "3mm", 1}, {leak, "0.12345", 0.123},
		{gap, "1mm2", 0.5}, {gap, "1 mm²", 0.5}, {drip, "10mg/s", 0.4},
		{leak, "3.1mm", math.NaN()}, {leak, "1.2", math.NaN()}, {leak, "-0.1", math.NaN()}, {leak, "1bar", math.NaN()},
		{leak, "", math.NaN()}, {leak, "mm", math.NaN()}, {leak, "nan", math.NaN()}, {leak, "inf", math.NaN()}, {leak, "0x1", math.NaN()},
		{leak, "1_0mm", math.NaN()},
	} {
		got, err := size(row.k, row.text)
		if math.IsNaN(row.want) != (err != nil) || err == nil && math.Abs(got-row.want) > 1e-12 {
			t.Errorf("%s=%s is %v, %v; want %v", row.k.ID, row.text, got, err, row.want)
		}
	}
}

// In every twelve cars of a class one is sound and two have two faults, and another seed has them elsewhere.
func TestClassCounts(t *testing.T) {
	places := map[string]bool{}
	for seed := range uint64(30) {
		of := map[int]int{}
		for i, n := range classCounts(24, seed) {
			of[n]++
			if n == 0 && i < 12 {
				places[fmt.Sprint(i)] = true
			}
		}
		if of[0] != 2 || of[1] != 18 || of[2] != 4 {
			t.Errorf("seed %d: %v", seed, of)
		}
	}
	if len(places) < 6 {
		t.Errorf("the sound car stands only in the places %v", places)
	}
}
