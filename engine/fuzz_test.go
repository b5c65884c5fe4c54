package engine

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"
)

// FuzzParseJob: a job is taken or refused with problems that can be shown, and
// never both; what is taken is JSON, and can be diagnosed or is refused in the
// same way; a verdict is always JSON.
func FuzzParseJob(f *testing.F) {
	p := shipped(f)
	for _, seed := range []string{
		twentyReadings, hiddenLeak, justSet,
		``, `{}`, `[]`, `null`, `{"readings": {}}`, `{"readings": {"co": 1e999}}`, `{"readings": {"co": -1e308, "co2": 1e308, "o2": 1e308, "hc": 1e308}}`,
		`{"readings": {"co": 1, "co": 2}}`, `{"readings": {"co": "1,9"}}`, `{"readings": {"zz": null}} x`, "\ufeff{\r\n\"readings\": {}}",
		`{"spec": {"co": {"from": 0, "to": "1.2 %"}, "trim": {"reference": 0, "within": 1}}, "readings": {"co": {"value": 1.9, "unit": "%", "within": 0}}}`,
		`{"readings": {"sensor_trace": {"every": "50 ms", "values": [0.1, null, 0.8, 0.1, 0.9]}, "complaint": "smell-of-fuel", "current_just_set": "yes"}}`,
		`{"vehicle": "ostrel-2000", "readings": {"coolant_temp": "75 degC", "regulator_current": 1e300, "valve_duty": 0}}`,
		`{"vehicle": "brackenby-1800", "sets": [{"label": "before", "readings": {"engine_warm": true, "valve_duty": 15, "leak_found": true}},
			{"repaired": ["unmeasured-air"], "found": "boot split", "note": "", "readings": {"engine_warm": true, "valve_duty": "28 %"}}]}`,
		`{"vehicle": "brackenby-1800", "sets": [{"readings": {"co": 1.9, "o2": 1.3, "hc": 290}}, {"repaired": ["injector-leaking", "mixture-set-rich"], "readings": {"co": 1.9}},
			{"repaired": ["injector-leaking"], "readings": {"co": 0.5, "complaint": "none", "sensor_trace": {"every": "50 ms", "values": [0.1, 0.8, 0.1, 0.9]}}}]}`,
		`{"sets": []}`, `{"sets": [[]], "readings": {}}`, `{"sets": [{"repaired": [null, "x", "x"], "readings": null}, {"label": "set 1", "readings": {"zz": 1}}]}`,
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		j, err := ParseJob("job.json", text)
		if (j == nil) == (err == nil) {
			t.Fatal("a job and an error, or neither")
		}
		if all, more := p.ParseJob("job.json", text); (all == nil) != (j == nil) || (more == nil) != (err == nil) {
			t.Fatalf("the pack takes %v, %v where the form is %v", all, more, err)
		} else if err != nil && len(err.(Problems)) > len(more.(Problems)) {
			t.Fatalf("the pack leaves out some of %v", err)
		}
		if err != nil {
			checkProblems(t, err)
			return
		}
		if !json.Valid([]byte(strings.TrimPrefix(string(text), "\ufeff"))) {
			t.Fatal("taken, but it is no JSON")
		}
		v, err := p.Diagnose(t.Context(), j, Options{})
		if (v == nil) == (err == nil) {
			t.Fatal("a verdict and an error, or neither")
		}
		if err != nil {
			checkProblems(t, err)
			return
		}
		if _, err := json.Marshal(v); err != nil {
			t.Fatal(err)
		}
		checkVerdict(t, v)
	})
}

func checkProblems(t *testing.T, err error) {
	t.Helper()
	var problems Problems
	if !errors.As(err, &problems) || len(problems) == 0 {
		t.Fatalf("an error without problems: %v", err)
	}
	for _, p := range problems {
		if p.Pos.File == nil || p.Width < 1 || p.Text == "" {
			t.Fatalf("a problem without place or text: %+v", p)
		}
	}
	if formatted(err) == "" {
		t.Fatal("nothing to show")
	}
}

// checkVerdict holds a verdict to what is true of all.
func checkVerdict(t testing.TB, v *Verdict) {
	t.Helper()
	probability := func(what string, p float64) {
		if !(p >= 0 && p <= 1) {
			t.Errorf("%s has probability %v", what, p)
		}
	}
	probability("no fault", v.NoFault)
	for i, f := range v.Faults {
		probability(f.Fault, f.Probability)
		if i > 0 && likelier(f.Probability, v.Faults[i-1].Probability) < 0 {
			t.Errorf("%s is more probable than what is before it", f.Fault)
		}
		// No fault at all, and this fault: one excludes the other.
		if f.Probability+v.NoFault > 1+1e-9 {
			t.Errorf("%s has %v, beside no fault with %v", f.Fault, f.Probability, v.NoFault)
		}
	}
	for _, c := range v.Conditions {
		sum := 0.0
		for _, s := range c.States {
			probability(c.Condition+"."+s.State, s.Probability)
			sum += s.Probability
		}
		if sum > 1+1e-9 {
			t.Errorf("the states of %s add up to %v", c.Condition, sum)
		}
	}
	sum := 0.0
	for _, s := range v.Together {
		probability(strings.Join(s.Faults, " and "), s.Probability)
		sum += s.Probability
		for _, id := range s.Faults {
			if p := v.fault(t, id).Probability; s.Probability > p+1e-9 {
				t.Errorf("%v together have %v, more than %s by itself, %v", s.Faults, s.Probability, id, p)
			}
		}
	}
	if sum > 1+1e-9 {
		t.Errorf("sets of exactly these faults add up to %v", sum)
	}
	for _, r := range v.Rules {
		if !(0 <= r.Given.Least && r.Given.Least <= r.Given.Most && r.Given.Most <= 1) {
			t.Errorf("%s: given %v", r.Rule, r.Given)
		}
		if r.Truth != nil && !(0 <= r.Truth.Least && r.Truth.Least <= r.Truth.Most && r.Truth.Most <= 1) {
			t.Errorf("%s: truth %v", r.Rule, *r.Truth)
		}
		if (r.Status == CannotTell) != (len(r.Lacks) > 0) {
			t.Errorf("%s %s, and lacks %v", r.Rule, r.Status, r.Lacks)
		}
	}
}
