package cases

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"culprit/engine"
)

func files(texts ...string) fstest.MapFS {
	m := fstest.MapFS{}
	for i, text := range texts {
		m[string(rune('a'+i))+".yaml"] = &fstest.MapFile{Data: []byte(text)}
	}
	return m
}

// TestBrokenCases: what is wrong with a case file is told with its place.
func TestBrokenCases(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range []struct{ because, text, want string }{
		{"a key that a case has not", "cases:\n  one: {readings: {co: 1}, expects: [{fault: x}], because: B}\n",
			`a.yaml:2:28: unknown key "expects"`},
		{"what is expected is refused, but said", "cases:\n  one: {readings: {co: 1}, expect: leak, because: B}\n",
			`a.yaml:2:36: "expect" wants a list of faults, not the text "leak"`},
		{"a case that expects nothing", "cases:\n  one: {readings: {co: 1}, because: B}\n",
			`a.yaml:2:3: case "one" expects nothing`},
		{"a case without a reason", "cases:\n  one: {readings: {co: 1}, not_leading: [x]}\n", `a.yaml:2:`},
		{"a case without readings", "cases:\n  one: {not_leading: [x], because: B}\n", `a.yaml:2:`},
		{"a probability above one", "cases:\n  one: {readings: {co: 1}, expect: [{fault: x, at_least: 1.5}], because: B}\n", `a.yaml:2:58: `},
		{"a rank of nought", "cases:\n  one: {readings: {co: 1}, expect: [{fault: x, rank: 0}], because: B}\n", `a.yaml:2:54: `},
		{"a trace without its interval", "cases:\n  one: {readings: {t: {values: [1, 2]}}, not_leading: [x], because: B}\n",
			`a.yaml:2:20: trace "t" has no "every"`},
		{"a trace that has a value too", "cases:\n  one: {readings: {t: {every: 1 s, values: [1, 2], value: 3}}, not_leading: [x], because: B}\n",
			`a.yaml:2:52: unknown key "value" in a trace`},
		{"a unit without a value", "cases:\n  one: {readings: {t: {unit: V}}, not_leading: [x], because: B}\n", `a.yaml:2:20: reading "t" has no "value"`},
		{"a list for a reading", "cases:\n  one: {readings: {t: [1]}, not_leading: [x], because: B}\n", `a.yaml:2:23: "t" wants a value, a value with its unit, or a trace, not a list`},
		{"a rank with a fraction", "cases:\n  one: {readings: {co: 1}, expect: [{fault: x, rank: 1.5}], because: B}\n", `a.yaml:2:54: "rank" wants a whole number from 1, not the number 1.5`},
		{"one id twice in a file", "cases:\n  one: {readings: {co: 1}, not_leading: [x], because: B}\n  one: {readings: {co: 1}, not_leading: [x], because: B}\n", `a.yaml:3:3: `},
		{"a rule file among the cases", "# mine\nrules:\n  one: {says: S, when: x, shows: {y: often}, otherwise: rarely}\n",
			"a.yaml:2:1: this is a rule file, and case files are wanted here\n    rules:\n    ^^^^^\n    culprit proofread reads rule files"},
		{"no cases at all", "cases: []\n", `a.yaml:1:8: `},
		{"not YAML", "cases: {\n", `a.yaml:`},
	} {
		if seen[c.because] {
			t.Fatalf("two rows say %q", c.because)
		}
		seen[c.because] = true
		all, err := Load(files(c.text))
		if err == nil || all != nil {
			t.Errorf("%s: taken", c.because)
		} else if got := explain(err); !strings.Contains(got, c.want) {
			t.Errorf("%s: %s\ndoes not say %q", c.because, got, c.want)
		}
	}
	const one = "cases: {one: {readings: {co: 1}, not_leading: [x], because: B}}\n"
	_, err := Load(files(one, one))
	if err == nil || !strings.Contains(explain(err), `b.yaml:1:9: there is another case "one"`) || !strings.Contains(explain(err), "also here: a.yaml:1:9") {
		t.Errorf("one id in two files: %v", err)
	}
}

// TestRunTellsWhy: a case that fails says what came instead, at its place; what
// the pack refuses is told where it stands in the case file.
func TestRunTellsWhy(t *testing.T) {
	p, _ := shipped(t)
	const leak = `readings: {engine_warm: yes, valve_duty: 15, regulator_current: 17, regulator_current_2500: 11}`
	seen := map[string]bool{}
	for _, c := range []struct{ because, text, want string }{
		{"a fault that ranks lower", "  one: {vehicle: brackenby-1800, " + leak + ", expect: [{fault: ignition-misfire, rank: 1}], because: B}",
			`"ignition-misfire" ranks `},
		{"a fault that is less probable", "  one: {vehicle: brackenby-1800, " + leak + ", expect: [{fault: unmeasured-air, at_least: 1}], because: B}",
			`"unmeasured-air" has probability 0.`},
		{"a fault that leads and must not", "  one: {vehicle: brackenby-1800, " + leak + ", not_leading: [unmeasured-air], because: B}",
			`"unmeasured-air" leads with 0.`},
		{"a set-up point that no pack has", "  one: {vehicle: brackenby-1800, " + leak + ", not_met: [engine_worm], because: B}",
			`a.yaml:2:141: there is no reading "engine_worm"`},
		{"a reading that is no set-up point", "  one: {vehicle: brackenby-1800, " + leak + ", not_met: [co], because: B}", `"co" is not on the set-up list`},
		{"a set-up point that is met", "  one: {vehicle: brackenby-1800, " + leak + ", not_met: [engine_warm], because: B}",
			`the set-up point "engine_warm" was not reported as not met`},
		{"a set-up point of which nobody spoke is not one that is not met", "  one: {vehicle: brackenby-1800, " + leak + ", not_met: [breather_vented], because: B}",
			`the set-up point "breather_vented" was not reported as not met`},
		{"a fault that the pack has not", "  one: {" + leak + ", expect: [{fault: unmeasured-aire}], because: B}",
			`a.yaml:2:123: there is no fault "unmeasured-aire"`},
		{"a fault that must not lead and that the pack has not", "  one:\n    readings: {co: 1}\n    not_leading: [unmeasured-air, lean-missfire]\n    because: B",
			`a.yaml:4:35: there is no fault "lean-missfire"`},
		{"all that is wrong, in the order of the file", "  one:\n    readings: {coo: 1}\n    expect: [{fault: unmeasured-aire}]\n    because: B",
			"a.yaml:4:22: there is no fault"},
		{"a reading that the pack has not", "  one:\n    readings:\n      valve_dutty: 15\n    not_leading: [unmeasured-air]\n    because: B",
			`a.yaml:4:7: readings.valve_dutty: there is no reading "valve_dutty"`},
		{"a unit that does not fit", "  one:\n    readings:\n      co: 1.9 bar\n    not_leading: [unmeasured-air]\n    because: B",
			`a.yaml:4:11: readings.co: "1.9 bar" is a pressure`},
		{"a vehicle that the pack has not", "  one:\n    vehicle: brakenby-1800\n    readings: {co: 1}\n    not_leading: [unmeasured-air]\n    because: B",
			`a.yaml:3:14: vehicle: there is no vehicle "brakenby-1800"`},
		{"a figure that is none", "  one:\n    spec:\n      co: {from: 2, to: 1}\n    readings: {co: 1}\n    not_leading: [unmeasured-air]\n    because: B",
			`a.yaml:4:7: spec.co.from: "from" is not below "to"`},
	} {
		if seen[c.because] {
			t.Fatalf("two rows say %q", c.because)
		}
		seen[c.because] = true
		all, err := Load(files("cases:\n" + c.text + "\n"))
		if err != nil {
			t.Errorf("%s: %s", c.because, explain(err))
			continue
		}
		r := all[0].Run(t.Context(), p)
		if len(r.Failures) == 0 {
			t.Errorf("%s: the case passes", c.because)
		} else if got := explain(r.Failures); !strings.Contains(got, c.want) {
			t.Errorf("%s: %s\ndoes not say %q", c.because, got, c.want)
		}
	}
}

// TestCaseIsJob: a case comes to the verdict of the same job as JSON, in every
// form that a reading can take.
func TestCaseIsJob(t *testing.T) {
	p, _ := shipped(t)
	all, err := Load(files(`cases:
  one:
    name: Same
    vehicle: brackenby-1800
    spec: {idle_speed: {reference: 850, within: 25 rpm}}
    readings:
      engine_warm: yes
      breather_vented: no
      idle_speed: 860
      idle_quality: hunting
      valve_duty: 14.4 deg dwell4
      co: {value: 1.9, unit: '%', within: 0.06}
      hc: {value: 300, unit: ppm}
      o2: null
      sensor_trace: {every: 400 ms, values: [0.1, 0.8, 0.1, 0.8, 0.1, 0.8, 0.1, 0.8, 0.1, 0.8, 0.1, 0.8]}
    not_leading: [ignition-misfire]
    because: Every form.
`))
	if err != nil {
		t.Fatal(explain(err))
	}
	job, err := engine.ParseJob("job.json", []byte(`{"name": "Same", "vehicle": "brackenby-1800",
		"spec": {"idle_speed": {"reference": "850", "within": "25 rpm"}},
		"readings": {"engine_warm": true, "breather_vented": false, "idle_speed": 860, "idle_quality": "hunting", "valve_duty": "14.4 deg dwell4",
			"co": {"value": 1.9, "unit": "%", "within": 0.06}, "hc": {"value": 300, "unit": "ppm"}, "o2": null,
			"sensor_trace": {"every": "400 ms", "values": [0.1, 0.8, 0.1, 0.8, 0.1, 0.8, 0.1, 0.8, 0.1, 0.8, 0.1, 0.8]}}}`))
	if err != nil {
		t.Fatal(explain(err))
	}
	want, err := p.Diagnose(t.Context(), job, engine.Options{})
	if err != nil {
		t.Fatal(explain(err))
	}
	r := all[0].Run(t.Context(), p)
	if len(r.Failures) > 0 {
		t.Fatal(explain(r.Failures))
	}
	if diff := cmp.Diff(want, r.Verdict); diff != "" {
		t.Errorf("(-JSON +case):\n%s", diff)
	}
}
