package engine

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// TestJobForms: all forms of one reading come to the same.
func TestJobForms(t *testing.T) {
	fresh := reasons(t)
	for _, c := range []struct {
		because, text string
		want          *Job
	}{
		{"a number", `{"readings": {"co": 1.9}}`, job(map[string]Value{"co": Number(1.9)})},
		{"a text", `{"readings": {"co": "1.9 %"}}`, job(map[string]Value{"co": Text("1.9 %")})},
		{"yes and no", `{"readings": {"a": true, "b": false}}`, job(map[string]Value{"a": YesNo(true), "b": YesNo(false)})},
		{"null is a reading not taken", `{"readings": {"co": null}}`, job(map[string]Value{"co": {}})},
		{"a value of null, too", `{"readings": {"co": {"value": null, "unit": "%"}}}`, job(map[string]Value{"co": {}})},
		{"a value with its unit", `{"readings": {"co": {"value": 1.9, "unit": "%"}}}`, job(map[string]Value{"co": InUnit(1.9, "%")})},
		{"a value with its limits", `{"readings": {"co": {"value": 1.9, "unit": "%", "within": 0.06}}}`, job(map[string]Value{"co": Measured(1.9, "%", 0.06)})},
		{"null beside a value counts as not written", `{"readings": {"co": {"value": 1.9, "unit": null, "within": null}}}`, job(map[string]Value{"co": InUnit(1.9, "")})},
		{"a trace with a lost sample", `{"readings": {"t": {"every": "50 ms", "values": [0.1, null, 0.8]}}}`,
			job(map[string]Value{"t": Trace("50 ms", []float64{0.1, math.NaN(), 0.8})})},
		{"an interval in seconds", `{"readings": {"t": {"every": 0.05, "values": [0.1]}}}`, job(map[string]Value{"t": Trace("0.05", []float64{0.1})})},
		{"names and figures", `{"name": "A", "note": "B", "vehicle": "c", "spec": {"co": {"from": 0.3, "to": "1.2 %", "source": "manual"}}, "readings": {}}`,
			&Job{Name: "A", Note: "B", Vehicle: "c", Spec: map[string]Figures{"co": {From: "0.3", To: "1.2 %"}}}},
		{"null for what is not given", `{"name": null, "note": null, "vehicle": null, "spec": null, "readings": null}`, &Job{}},
		{"null for figures, and for one of them", `{"spec": {"co": null, "o2": {"from": null, "to": 1}}, "readings": {}}`,
			&Job{Spec: map[string]Figures{"o2": {To: "1"}}}},
		{"what was really wrong is skipped", `{"truth": {"faults": ["x"], "other": [1, {"y": null}]}, "readings": {}}`, &Job{}},
		{"a byte order mark and CR LF", "\ufeff{\r\n\"readings\": {\"co\": 1}\r\n}\r\n", job(map[string]Value{"co": Number(1)})},
		{"a number too small for a float is nought", `{"readings": {"co": 1e-999}}`, job(map[string]Value{"co": Number(0)})},
	} {
		fresh(c.because)
		got := parse(t, c.text)
		if got.Name != c.want.Name || got.Note != c.want.Note || got.Vehicle != c.want.Vehicle {
			t.Errorf("%s: %q, %q, %q", c.because, got.Name, got.Note, got.Vehicle)
		}
		if got, want := fmt.Sprint(got.Spec), fmt.Sprint(c.want.Spec); got != want {
			t.Errorf("%s: spec %s, want %s", c.because, got, want)
		}
		if got, want := fmt.Sprint(got.Readings), fmt.Sprint(c.want.Readings); got != want {
			t.Errorf("%s: readings %s, want %s", c.because, got, want)
		}
	}
}

// TestHostileJobs: what is wrong a million times is told some hundreds of times,
// and quickly.
func TestHostileJobs(t *testing.T) {
	fresh := reasons(t)
	many := func(n int, item string) string { return strings.TrimSuffix(strings.Repeat(item+",", n), ",") }
	unknown := func(n int) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, `,"no_reading_%d": 1`, i)
		}
		return b.String()[1:]
	}
	p := shipped(t)
	for _, c := range []struct{ because, text, want string }{
		{"more bytes than a job may have", strings.Repeat(" ", MaxJobBytes+1), "job.json: the job has more than 16777216 bytes"},
		{"more values than a job may have", `{"readings": {"t": {"every": 1, "values": [` + many(maxJobValues, "0") + `]}}}`, "the job has more than 1048576 values"},
		{"wrong values without end", `{"readings": {"t": {"every": 1, "values": [` + many(300_000, `"x"`) + `]}}}`, "there is more; only the first 200 mistakes found are listed"},
		{"one key without end, far along a line that is not plain ASCII", `{"name": "é", "readings": {` + many(300_000, `"co": 1`) + `}}`, "there is more; only the first 200 mistakes found are listed"},
		{"unknown readings, more than anybody reads of", `{"name": "é", "readings": {` + unknown(30_000) + `}}`, "there is more; only the first 200 mistakes found are listed"},
		{"unknown readings without end", `{"name": "é", "readings": {` + unknown(1_000_000/2) + `}}`, "the object has more than 32768 keys"},
		{"brackets without end", strings.Repeat("[", 1<<20), "lists and objects stand more than 16 deep in each other"},
		{"a number of a million digits", `{"readings": {"co": ` + strings.Repeat("9", 1<<20) + `}}`, "readings.co: the number is too large"},
		{"a word of a million letters", `{"readings": {"idle_quality": "` + strings.Repeat("é", 1<<20) + `"}}`, `"idle_quality" is never "ééé`},
		{"a vehicle of a million letters", `{"vehicle": "` + strings.Repeat("x", 1<<20) + `", "readings": {}}`, `there is no vehicle "xxx`},
		{"more samples than a trace may have", `{"readings": {"sensor_trace": {"every": 1, "values": [` + many(200_000, "0") + `]}}}`, "a trace takes at most 100000 samples"},
	} {
		fresh(c.because)
		t.Run(c.because, func(t *testing.T) {
			j, err := ParseJob("job.json", []byte(c.text))
			if err == nil {
				_, err = p.Diagnose(t.Context(), j, Options{})
			}
			if err == nil {
				t.Fatal("taken")
			}
			problems, ok := err.(Problems)
			if !ok || len(problems) > maxMistakes+1 {
				t.Fatalf("%T of %d", err, len(problems))
			}
			if last := problems[len(problems)-1].Error(); !strings.Contains(last, c.want) || len(last) > 1000 {
				t.Errorf("%.1000q does not say %q", last, c.want)
			}
		})
	}
}
