package engine

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"

	"culprit/engine/truth"
)

// randomJob makes a job with about n readings of a pack: numbers near the
// edges of what is in order, so that rules hold, do not hold and lie between.
func randomJob(rng *rand.Rand, p *Pack, n int) *Job {
	j := &Job{Vehicle: p.rules.Vehicles[rng.IntN(len(p.rules.Vehicles))].ID, Readings: map[string]Value{}}
	car := p.rules.Vehicle(j.Vehicle)
	for _, r := range p.rules.Readings {
		switch {
		case rng.Float64() > float64(n)/float64(len(p.rules.Readings)):
		case r.Kind == truth.YesNo:
			j.Readings[r.ID] = YesNo(rng.Float64() < 0.7)
		case r.Kind == truth.Choice:
			j.Readings[r.ID] = Text(r.Among[rng.IntN(len(r.Among))])
		case r.Kind == truth.Trace:
			samples := make([]float64, 40)
			for i := range samples {
				samples[i] = 0.45 + 0.4*math.Sin(float64(i))*rng.Float64()
			}
			j.Readings[r.ID] = Trace("300 ms", samples)
		default:
			low, high := 0.0, 10.0
			if spec, ok := car.Spec(r.Index); ok {
				low, high = spec.From, spec.To
				if !spec.HasFrom {
					low = high / 2
				}
				if !spec.HasTo {
					high = 2 * low
				}
			}
			x := low + (high-low)*(3*rng.Float64()-1)
			if p := r.Plausible; p != nil {
				x = max(p.From, min(x, p.To))
			}
			j.Readings[r.ID] = Number(x)
		}
	}
	return j
}

// randomJobs calls do with many random jobs of the shipped pack. A job that the
// rules hold to be impossible counts for nothing; too many of them are a mistake.
func randomJobs(t *testing.T, p *Pack, n int, do func(t *testing.T, rng *rand.Rand, j *Job, v *Verdict)) {
	t.Helper()
	rng := rand.New(rand.NewPCG(1, 20260101))
	if testing.Short() {
		n = max(1, n/5)
	}
	for i := range n {
		j := randomJob(rng, p, 5+rng.IntN(30))
		t.Run(fmt.Sprint(i), func(t *testing.T) { do(t, rng, j, diagnose(t, p, j)) })
	}
}

// sameVerdict compares all numbers of two verdicts that come from one pack in
// whatever order.
func sameVerdict(t *testing.T, a, b *Verdict) {
	t.Helper()
	near := func(what string, x, y float64) {
		if math.Abs(x-y) > 1e-12*max(1, math.Abs(x)) {
			t.Errorf("%s: %v and %v", what, x, y)
		}
	}
	near("no fault", a.NoFault, b.NoFault)
	near("conflict", a.Conflict.Measure, b.Conflict.Measure)
	near("log evidence", a.LogEvidence, b.LogEvidence)
	for _, f := range a.Faults {
		near(f.Fault, f.Probability, b.fault(t, f.Fault).Probability)
	}
	for _, c := range a.Conditions {
		i := slices.IndexFunc(b.Conditions, func(d Condition) bool { return d.Condition == c.Condition })
		for _, s := range c.States {
			k := slices.IndexFunc(b.Conditions[i].States, func(u State) bool { return u.State == s.State })
			near(c.Condition+"."+s.State, s.Probability, b.Conditions[i].States[k].Probability)
		}
	}
	for _, r := range a.Rules {
		if s := b.rule(t, r.Rule).Status; s != r.Status {
			t.Errorf("%s %s, and %s", r.Rule, r.Status, s)
		}
	}
}

// TestRandomJobs: whatever the readings, a verdict is one.
func TestRandomJobs(t *testing.T) {
	randomJobs(t, shipped(t), 200, func(t *testing.T, _ *rand.Rand, _ *Job, v *Verdict) { checkVerdict(t, v) })
}

// TestOrderDoesNotMatter: the files of a pack, the sections of a file and the
// things of a section may stand in any order.
func TestOrderDoesNotMatter(t *testing.T) {
	p := shipped(t)
	rng := rand.New(rand.NewPCG(2, 3))
	var shuffled []*Pack
	for range 3 {
		files := map[string]string{}
		for name, text := range shippedFiles(t) {
			files[fmt.Sprintf("%04d-%s", rng.IntN(10000), name)] = shuffleYAML(t, rng, text)
		}
		shuffled = append(shuffled, join(t, files))
	}
	if a, b := p.Faults(), shuffled[0].Faults(); slices.Equal(a, b) {
		t.Fatal("nothing was shuffled")
	}
	randomJobs(t, p, 25, func(t *testing.T, _ *rand.Rand, j *Job, v *Verdict) {
		for _, other := range shuffled {
			sameVerdict(t, v, diagnose(t, other, j))
		}
	})
}

// shuffleYAML puts the sections of a file, the things in them, the links of
// faults and what rules show into another order.
func shuffleYAML(t *testing.T, rng *rand.Rand, text string) string {
	t.Helper()
	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(text), &doc); err != nil {
		t.Fatal(err)
	}
	top := doc.Content[0]
	for i := 1; i < len(top.Content); i += 2 {
		section := top.Content[i]
		for k := 1; k < len(section.Content); k += 2 {
			thing := section.Content[k]
			for m := 1; m < len(thing.Content); m += 2 {
				switch value := thing.Content[m]; {
				case thing.Content[m-1].Value == "brings":
					rng.Shuffle(len(value.Content), func(a, b int) { value.Content[a], value.Content[b] = value.Content[b], value.Content[a] })
				case value.Kind == yaml.MappingNode:
					shufflePairs(rng, value)
				}
			}
		}
		shufflePairs(rng, section)
	}
	shufflePairs(rng, top)
	out, err := yaml.Marshal(&doc)
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

func shufflePairs(rng *rand.Rand, n *yaml.Node) {
	if n.Kind != yaml.MappingNode {
		return
	}
	rng.Shuffle(len(n.Content)/2, func(a, b int) {
		for k := range 2 {
			n.Content[2*a+k], n.Content[2*b+k] = n.Content[2*b+k], n.Content[2*a+k]
		}
	})
}

// TestUnusedReadingChangesNothing: a reading that no rule asks for, added in a
// folder of one's own.
func TestUnusedReadingChangesNothing(t *testing.T) {
	p := shipped(t)
	more := join(t, shippedFiles(t), map[string]string{"mine.yaml": "readings: {paint_gloss: {label: Gloss of the paint, unit: '%'}}\n"})
	randomJobs(t, p, 25, func(t *testing.T, rng *rand.Rand, j *Job, v *Verdict) {
		with := &Job{Vehicle: j.Vehicle, Readings: maps.Clone(j.Readings)}
		with.Readings["paint_gloss"] = Number(100 * rng.Float64())
		got := diagnose(t, more, with)
		sameVerdict(t, v, got)
		if len(got.Readings) != len(v.Readings)+1 {
			t.Errorf("%d readings told, and %d without it", len(got.Readings), len(v.Readings))
		}
	})
}

// TestUnknownReadingChangesNothing: null for a reading is like no word of it.
func TestUnknownReadingChangesNothing(t *testing.T) {
	p := shipped(t)
	randomJobs(t, p, 25, func(t *testing.T, _ *rand.Rand, j *Job, v *Verdict) {
		with := &Job{Vehicle: j.Vehicle, Readings: maps.Clone(j.Readings)}
		for _, r := range p.rules.Readings {
			if _, there := with.Readings[r.ID]; !there {
				with.Readings[r.ID] = Value{}
			}
		}
		sameVerdict(t, v, diagnose(t, p, with))
	})
}

// TestKeyOrderChangesNothing: JSON objects have no order.
func TestKeyOrderChangesNothing(t *testing.T) {
	p := shipped(t)
	rng := rand.New(rand.NewPCG(4, 5))
	want := diagnose(t, p, parse(t, twentyReadings))
	body := twentyReadings[strings.LastIndexByte(twentyReadings, '{')+1 : strings.IndexByte(twentyReadings, '}')]
	parts := strings.Split(body, ",")
	if len(parts) != 20 {
		t.Fatalf("%d readings", len(parts))
	}
	for range 10 {
		rng.Shuffle(len(parts), func(a, b int) { parts[a], parts[b] = parts[b], parts[a] })
		sameVerdict(t, want, diagnose(t, p, parse(t, `{"readings": {`+strings.Join(parts, ",")+`}, "vehicle": "brackenby-1800"}`)))
	}
}

// TestUnitChangesNothing: a value says the same in any unit that it can be
// given in.
func TestUnitChangesNothing(t *testing.T) {
	p := shipped(t)
	plain := diagnose(t, p, job(map[string]Value{"engine_warm": YesNo(true), "system_pressure": Number(5), "valve_duty": Number(20)}))
	for _, v := range []Value{Text("500 kPa"), Text("5000 mbar"), InUnit(500, "kPa"), Text("5.0 bar")} {
		// 20 % on a four-cylinder dwell scale: 20 * 3.6 / 4 (quantity's own tests hold the factor to its source).
		sameVerdict(t, plain, diagnose(t, p, job(map[string]Value{"engine_warm": YesNo(true), "system_pressure": v, "valve_duty": Text("18 deg dwell4")})))
	}
}
