package engine

import (
	"io/fs"
	"strings"
	"testing"

	"culprit/engine/belief"
	"culprit/rules"
)

// twentyReadings is a job with twenty readings that a bench would take, on a
// car with a leak.
const twentyReadings = `{
	"vehicle": "brackenby-1800",
	"readings": {
		"engine_warm": true, "electrical_load_off": true, "breather_vented": true, "purge_disconnected": true,
		"sensor_connected": true, "current_just_set": false,
		"idle_speed": 850, "valve_duty": 16, "timing_idle": 10, "idle_quality": "steady",
		"regulator_current": 16.5, "regulator_current_2500": 11, "regulator_swing": 2.5,
		"co": 0.6, "co2": 14.4, "o2": 0.5, "hc": 165,
		"system_pressure": 5.4, "lower_pressure": 5.0, "complaint": "none"
	}
}`

func shipped(t testing.TB) *Pack {
	t.Helper()
	p, err := Open(Sources{})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func parse(t testing.TB, text string) *Job {
	t.Helper()
	j, err := ParseJob("job.json", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func BenchmarkOpen(b *testing.B) {
	for b.Loop() {
		if _, err := Open(Sources{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParseJob(b *testing.B) {
	text := []byte(twentyReadings)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ParseJob("job.json", text); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkHostileJob reads a job of nearly as many values as there may be: the bytes of
// memory are what counts.
func BenchmarkHostileJob(b *testing.B) {
	for _, c := range []struct{ name, value string }{{"numbers", "1"}, {"objects", "{}"}, {"texts", `"abcdefgh"`}} {
		b.Run(c.name, func(b *testing.B) {
			text := []byte(`{"readings": {}, "truth": [` + strings.Repeat(c.value+",", maxJobValues-10) + c.value + `]}`)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := ParseJob("job.json", text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkDiagnose is the whole verdict with its explanation: goal 5 ms.
func BenchmarkDiagnose(b *testing.B) {
	p, j := shipped(b), parse(b, twentyReadings)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := p.Diagnose(b.Context(), j, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkContradiction is the whole verdict where the findings contradict each
// other, so that it is worked out which readings to take again: a rich car, a
// lean lambda and a sensor that sees nothing.
func BenchmarkContradiction(b *testing.B) {
	p := shipped(b)
	j := parse(b, strings.NewReplacer(`"regulator_current": 16.5`, `"regulator_current": 2`, `"regulator_current_2500": 11`, `"regulator_current_2500": 12.5`,
		`"o2": 0.5`, `"o2": 3.5`, `"co": 0.6`, `"co": 0.1`).Replace(twentyReadings))
	b.ReportAllocs()
	for b.Loop() {
		v, err := p.Diagnose(b.Context(), j, Options{})
		if err != nil {
			b.Fatal(err)
		}
		if v.Conflict.Measure <= 0 {
			b.Fatal("no contradiction: ", v.Conflict.Measure)
		}
	}
}

// BenchmarkPosterior is the posterior of the shipped pack alone, the rules being
// answered: goal 100 µs and 10 kB.
func BenchmarkPosterior(b *testing.B) {
	p, j := shipped(b), parse(b, twentyReadings)
	s := p.scratch.Get().(*session)
	if err := p.prepare(s, j); err != nil {
		b.Fatal(err)
	}
	var post belief.Posterior
	b.ReportAllocs()
	for b.Loop() {
		if err := p.net.Posterior(s.evidence, &post); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(post.LiveBits), "live-bits")
	b.ReportMetric(float64(len(s.evidence.Seen)), "findings")
}

// BenchmarkRules answers all rules of the shipped pack.
func BenchmarkRules(b *testing.B) {
	p, j := shipped(b), parse(b, twentyReadings)
	s := p.scratch.Get().(*session)
	b.ReportAllocs()
	for b.Loop() {
		if err := p.prepare(s, j); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkExplain takes the parts of an explanation one by one.
func BenchmarkExplain(b *testing.B) {
	p, j := shipped(b), parse(b, twentyReadings)
	s := p.scratch.Get().(*session)
	if err := p.prepare(s, j); err != nil {
		b.Fatal(err)
	}
	left, err := p.net.LeaveOut(s.evidence)
	if err != nil {
		b.Fatal(err)
	}
	v := &Verdict{}
	for _, part := range []struct {
		name string
		do   func() error
	}{
		{"leave-out", func() error { _, err := p.net.LeaveOut(s.evidence); return err }},
		{"conditions", func() error { v.Conditions = nil; return p.describeConditions(v, s) }},
		{"together", func() error { return p.findTogether(v, s) }},
		{"conflict", func() error { return p.findConflict(v, s, left) }},
		{"rules", func() error { v.Rules = nil; p.describeRules(v, s); return nil }},
	} {
		b.Run(part.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := part.do(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// shippedFiles are the rule files of the shipped pack, by name.
func shippedFiles(t testing.TB) map[string]string {
	t.Helper()
	files := map[string]string{}
	entries, err := fs.ReadDir(rules.FS, DefaultPack)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		text, err := fs.ReadFile(rules.FS, DefaultPack+"/"+e.Name())
		if err != nil {
			t.Fatal(err)
		}
		files[e.Name()] = string(text)
	}
	return files
}
