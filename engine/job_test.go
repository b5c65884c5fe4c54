package engine

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestRefusedJobs holds what a pack says of a job whose form is right.
func TestRefusedJobs(t *testing.T) {
	p := shipped(t)
	fresh := reasons(t)
	for _, c := range []struct{ because, text, want string }{
		{"an unknown reading, with the nearest", `{"readings": {"valve_dutty": 15}}`, lines(
			`job.json:1:15: readings.valve_dutty: there is no reading "valve_dutty"`,
			`    {"readings": {"valve_dutty": 15}}`,
			`                  ^^^^^^^^^^^^^`,
			`    did you mean "valve_duty"?`)},
		{"an unknown reading with a dot in its name", `{"readings": {"a.b": 15}}`, lines(
			`job.json:1:15: readings.a.b: there is no reading "a.b"`,
			`    {"readings": {"a.b": 15}}`,
			`                  ^^^^^`)},
		{"an unknown reading is unknown even where it was not taken", `{"readings": {"valve_dutty": null}}`, lines(
			`job.json:1:15: readings.valve_dutty: there is no reading "valve_dutty"`,
			`    {"readings": {"valve_dutty": null}}`,
			`                  ^^^^^^^^^^^^^`,
			`    did you mean "valve_duty"?`)},
		{"an unknown vehicle, with the nearest", `{"vehicle": "brakenby-1800", "readings": {}}`, lines(
			`job.json:1:13: vehicle: there is no vehicle "brakenby-1800" in this pack`,
			`    {"vehicle": "brakenby-1800", "readings": {}}`,
			`                ^^^^^^^^^^^^^^^`,
			`    did you mean "brackenby-1800"?`)},
		{"a unit of another dimension", `{"readings": {"co": "1.9 bar"}}`, lines(
			`job.json:1:21: readings.co: "1.9 bar" is a pressure; here a fraction is wanted: %, ppm, deg dwell4, deg dwell6, deg dwell8`,
			`    {"readings": {"co": "1.9 bar"}}`,
			`                        ^^^^^^^^^`)},
		{"a unit that does not exist", `{"readings": {"system_pressure": {"value": 5, "unit": "barr"}}}`, lines(
			`job.json:1:34: readings.system_pressure: unknown unit "barr"`,
			`    {"readings": {"system_pressure": {"value": 5, "unit": "barr"}}}`,
			`                                     ^`,
			`    did you mean "bar"?`)},
		{"a decimal comma", `{"readings": {"co": "1,9"}}`, lines(
			`job.json:1:21: readings.co: decimal comma in "1,9"`,
			`    {"readings": {"co": "1,9"}}`,
			`                        ^^^^^`,
			`    write 1.9 with a point`)},
		{"an empty text for a number", `{"readings": {"co": ""}}`, lines(
			`job.json:1:21: readings.co: no number given`,
			`    {"readings": {"co": ""}}`,
			`                        ^^`)},
		{"yes for a number", `{"readings": {"idle_speed": true}}`, lines(
			`job.json:1:29: readings.idle_speed: "idle_speed" is a number, not yes`,
			`    {"readings": {"idle_speed": true}}`,
			`                                ^^^^`,
			`    write a number in /min, or text with a unit`)},
		{"a number for yes or no", `{"readings": {"engine_warm": 1}}`, lines(
			`job.json:1:30: readings.engine_warm: "engine_warm" is yes or no, not the number 1`,
			`    {"readings": {"engine_warm": 1}}`,
			`                                 ^`,
			`    write yes or no (in JSON true or false)`)},
		{"a word that is not among the choices", `{"readings": {"complaint": "hardstart-hot"}}`, lines(
			`job.json:1:28: readings.complaint: "complaint" is never "hardstart-hot"`,
			`    {"readings": {"complaint": "hardstart-hot"}}`,
			`                               ^^^^^^^^^^^^^^^`,
			`    did you mean "hard-start-hot"?`)},
		{"a word near to no choice", `{"readings": {"idle_quality": "purple"}}`, lines(
			`job.json:1:31: readings.idle_quality: "idle_quality" is never "purple"`,
			`    {"readings": {"idle_quality": "purple"}}`,
			`                                  ^^^^^^^^`,
			`    it is one of steady, hunting, rough`)},
		{"a number for a choice", `{"readings": {"idle_quality": 2}}`, lines(
			`job.json:1:31: readings.idle_quality: "idle_quality" is a word, not the number 2`,
			`    {"readings": {"idle_quality": 2}}`,
			`                                  ^`,
			`    it is one of steady, hunting, rough`)},
		{"a number for a trace", `{"readings": {"sensor_trace": 0.5}}`, lines(
			`job.json:1:31: readings.sensor_trace: "sensor_trace" is a trace, not the number 0.5`,
			`    {"readings": {"sensor_trace": 0.5}}`,
			`                                  ^^^`,
			`    write {"every": "50 ms", "values": [0.1, 0.8, …]}`)},
		{"a trace for a number", `{"readings": {"co": {"every": 1, "values": [1, 2, 3]}}}`, lines(
			`job.json:1:21: readings.co: "co" is a number, not a trace`,
			`    {"readings": {"co": {"every": 1, "values": [1, 2, 3]}}}`,
			`                        ^`,
			`    write a number in %, or text with a unit`)},
		{"a trace whose interval is no time", `{"readings": {"sensor_trace": {"every": "50 mV", "values": [0, 0, 0]}}}`, lines(
			`job.json:1:31: readings.sensor_trace: every: "50 mV" is a voltage; here a time is wanted: s, ms, min`,
			`    {"readings": {"sensor_trace": {"every": "50 mV", "values": [0, 0, 0]}}}`,
			`                                  ^`)},
		{"a trace that is too short", `{"readings": {"sensor_trace": {"every": "50 ms", "values": [0, 1]}}}`, lines(
			`job.json:1:31: readings.sensor_trace: a trace needs at least 3 samples, not 2`,
			`    {"readings": {"sensor_trace": {"every": "50 ms", "values": [0, 1]}}}`,
			`                                  ^`)},
		{"limits below zero", `{"readings": {"co": {"value": 1.9, "within": -0.1}}}`, lines(
			`job.json:1:21: readings.co: within is -0.1`,
			`    {"readings": {"co": {"value": 1.9, "within": -0.1}}}`,
			`                        ^`,
			`    write the instrument's limits as a positive number`)},
		{"figures for an unknown reading", `{"spec": {"idle_sped": {"from": 800}}, "readings": {}}`, lines(
			`job.json:1:11: spec.idle_sped: there is no reading "idle_sped"`,
			`    {"spec": {"idle_sped": {"from": 800}}, "readings": {}}`,
			`              ^^^^^^^^^^^`,
			`    did you mean "idle_speed"?`)},
		{"figures for what is no number", `{"spec": {"engine_warm": {"from": 1}}, "readings": {}}`, lines(
			`job.json:1:11: spec.engine_warm: a spec is for a number, and the kind of "engine_warm" is yes/no`,
			`    {"spec": {"engine_warm": {"from": 1}}, "readings": {}}`,
			`              ^^^^^^^^^^^^^`)},
		{"no figures", `{"spec": {"co": {}}, "readings": {}}`, lines(
			`job.json:1:11: spec.co: no figures`,
			`    {"spec": {"co": {}}, "readings": {}}`,
			`              ^^^^`,
			`    write {from: …, to: …} or {reference: …, within: …}`)},
		{"figures the wrong way round", `{"spec": {"idle_speed": {"from": 900, "to": 800}}, "readings": {}}`, lines(
			`job.json:1:34: spec.idle_speed.from: "from" is not below "to"`,
			`    {"spec": {"idle_speed": {"from": 900, "to": 800}}, "readings": {}}`,
			`                                     ^^^`)},
		{"figures that are no quantities, and one with a wrong unit", `{"spec": {"co": {"from": "0,3", "to": "x"}, "hc": {"to": "2 bar"}}, "readings": {}}`, lines(
			`job.json:1:26: spec.co.from: decimal comma in "0,3"`,
			`    {"spec": {"co": {"from": "0,3", "to": "x"}, "hc": {"to": "2 bar"}}, "readi…`,
			`                             ^^^^^`,
			`    write 0.3 with a point`,
			`job.json:1:39: spec.co.to: no number at the start of "x"`,
			`    …"spec": {"co": {"from": "0,3", "to": "x"}, "hc": {"to": "2 bar"}}, "readin…`,
			`                                          ^^^`,
			`job.json:1:58: spec.hc.to: "2 bar" is a pressure; here a fraction is wanted: %, ppm, deg dwell4, deg dwell6, deg dwell8`,
			`    …{"co": {"from": "0,3", "to": "x"}, "hc": {"to": "2 bar"}}, "readings": {}}`,
			`                                                     ^^^^^^^`)},
		{"a reference that nobody says how far to trust", `{"spec": {"co": {"reference": 1}}, "readings": {}}`, lines(
			`job.json:1:31: spec.co.reference: "reference" alone does not say what is in order`,
			`    {"spec": {"co": {"reference": 1}}, "readings": {}}`,
			`                                  ^`,
			`    add within (or from and to): how far from it is still in order`)},
	} {
		fresh(c.because)
		t.Run(c.because, func(t *testing.T) {
			v, err := p.Diagnose(t.Context(), parse(t, c.text), Options{})
			if err == nil {
				t.Fatal("taken")
			}
			if v != nil {
				t.Error("a verdict came with the error")
			}
			if diff := cmp.Diff(c.want, formatted(err)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}
