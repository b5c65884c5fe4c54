package engine

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func lines(all ...string) string { return strings.Join(all, "\n") + "\n" }

// TestBrokenJobs holds what is said of every kind of job that is none: text,
// place, caret and hint.
func TestBrokenJobs(t *testing.T) {
	fresh := reasons(t)
	for _, c := range []struct{ because, text, want string }{
		{"no bytes at all", "", lines(
			`job.json: the job is empty`,
			`    a job is an object: {"readings": {…}}`)},
		{"white space only", " \n\t\r\n", lines(
			`job.json: the job is empty`,
			`    a job is an object: {"readings": {…}}`)},
		{"another notation", "readings:\n  co: 1.9\n", lines(
			`job.json:1:1: this is not JSON: invalid character 'r' looking for beginning of value`,
			`    readings:`,
			`    ^`)},
		{"cut off in an object", `{"readings": {"co": 1.9,`, lines(
			`job.json:1:25: the JSON ends too early`,
			`    {"readings": {"co": 1.9,`,
			`                            ^`)},
		{"cut off in a string", `{"readings": {"co`, lines(
			`job.json:1:18: the JSON ends too early`,
			`    {"readings": {"co`,
			`                     ^`)},
		{"cut off in a word", `{"readings": {"engine_warm": tru`, lines(
			`job.json:1:33: the JSON ends too early`,
			`    {"readings": {"engine_warm": tru`,
			`                                    ^`)},
		{"text behind the job", "{\"readings\": {}}\n{\"readings\": {}}", lines(
			`job.json:2:1: something follows the end of the job`,
			`    {"readings": {}}`,
			`    ^`,
			`    a job is one JSON value`)},
		{"a stray bracket behind the job", `{"readings": {}}]`, lines(
			`job.json:1:17: this is not JSON: invalid character ']' after top-level value`,
			`    {"readings": {}}]`,
			`                    ^`)},
		{"a comma before the end of an object", `{"readings": {"co": 1.9,}}`, lines(
			`job.json:1:25: this is not JSON: invalid character '}' looking for beginning of object key string`,
			`    {"readings": {"co": 1.9,}}`,
			`                            ^`)},
		{"a comma before the end of a list", `{"readings": {"t": {"every": 1, "values": [1,]}}}`, lines(
			`job.json:1:46: this is not JSON: invalid character ']' looking for beginning of value`,
			`    {"readings": {"t": {"every": 1, "values": [1,]}}}`,
			`                                                 ^`)},
		{"a key without quotes", `{"readings": {co: 1.9}}`, lines(
			`job.json:1:15: this is not JSON: invalid character 'c' looking for beginning of object key string`,
			`    {"readings": {co: 1.9}}`,
			`                  ^`)},
		{"NaN is no JSON", `{"readings": {"co": NaN}}`, lines(
			`job.json:1:21: this is not JSON: invalid character 'N' looking for beginning of value`,
			`    {"readings": {"co": NaN}}`,
			`                        ^`)},
		{"a number that no float holds", `{"readings": {"co": 1e999}}`, lines(
			`job.json:1:21: readings.co: the number is too large`,
			`    {"readings": {"co": 1e999}}`,
			`                        ^^^^^`)},
		{"a number that no float holds, in a trace", `{"readings": {"t": {"every": "50 ms", "values": [0, -1e999]}}}`, lines(
			`job.json:1:53: readings.t.values[1]: the number is too large`,
			`    {"readings": {"t": {"every": "50 ms", "values": [0, -1e999]}}}`,
			`                                                        ^^^^^^`)},
		{"not UTF-8", "{\"name\": \"\xff\", \"readings\": {}}", lines(
			`job.json: the job is not UTF-8 text`,
			`    save it as UTF-8`)},
		{"a list for a job", `[1, 2]`, lines(
			`job.json:1:1: the job is a list`,
			`    [1, 2]`,
			`    ^`,
			`    a job is an object: {"readings": {…}}`)},
		{"null for a job", `null`, lines(
			`job.json:1:1: the job is null`,
			`    null`,
			`    ^^^^`,
			`    a job is an object: {"readings": {…}}`)},
		{"no readings", `{"vehicle": "x"}`, lines(
			`job.json:1:1: the job has no readings`,
			`    {"vehicle": "x"}`,
			`    ^`,
			`    a job is an object: {"readings": {…}}`)},
		{"a key that a job has not, with the nearest", `{"vehicel": "x", "readings": {}}`, lines(
			`job.json:1:2: a job has no key "vehicel"`,
			`    {"vehicel": "x", "readings": {}}`,
			`     ^^^^^^^^^`,
			`    did you mean "vehicle"?`)},
		{"a key near to none", `{"zzzzzzzz": 1, "readings": {}}`, lines(
			`job.json:1:2: a job has no key "zzzzzzzz"`,
			`    {"zzzzzzzz": 1, "readings": {}}`,
			`     ^^^^^^^^^^`)},
		{"one key twice, both places", "{\n  \"readings\": {\"co\": 1,\n    \"o2\": 2, \"co\": 3}\n}", lines(
			`job.json:3:14: the key "co" stands here twice`,
			`        "o2": 2, "co": 3}`,
			`                 ^^^^`,
			`    also here: job.json:2:16`)},
		{"one key twice, written differently", `{"readings": {"co": 1, "\u0063o": 2}}`, lines(
			`job.json:1:24: the key "co" stands here twice`,
			`    {"readings": {"co": 1, "\u0063o": 2}}`,
			`                           ^^^^^^^^^`,
			`    also here: job.json:1:15`)},
		{"one key twice where nobody looks", `{"readings": {}, "truth": [{"a": 1, "a": 1}]}`, lines(
			`job.json:1:37: the key "a" stands here twice`,
			`    {"readings": {}, "truth": [{"a": 1, "a": 1}]}`,
			`                                        ^^^`,
			`    also here: job.json:1:29`)},
		{"texts that are none", `{"name": 7, "note": [], "vehicle": true, "readings": {}}`, lines(
			`job.json:1:10: name: this is a text, not a number`,
			`    {"name": 7, "note": [], "vehicle": true, "readings": {}}`,
			`             ^`,
			`job.json:1:21: note: this is a text, not a list`,
			`    {"name": 7, "note": [], "vehicle": true, "readings": {}}`,
			`                        ^`,
			`job.json:1:36: vehicle: this is a text, not true or false`,
			`    {"name": 7, "note": [], "vehicle": true, "readings": {}}`,
			`                                       ^^^^`)},
		{"readings and spec that are no objects", `{"readings": [], "spec": "800"}`, lines(
			`job.json:1:14: readings: this is an object by readings, not a list`,
			`    {"readings": [], "spec": "800"}`,
			`                 ^`,
			`    write {"idle_speed": …}`,
			`job.json:1:26: spec: this is an object by readings, not a text`,
			`    {"readings": [], "spec": "800"}`,
			`                             ^^^^^`,
			`    write {"idle_speed": …}`)},
		{"a list for a reading", `{"readings": {"co": [1.9]}}`, lines(
			`job.json:1:21: readings.co: a reading is not a list`,
			`    {"readings": {"co": [1.9]}}`,
			`                        ^`,
			`    write {"every": "50 ms", "values": […]} for a trace`)},
		{"a reading as an object without a value", `{"readings": {"co": {"unit": "%"}}}`, lines(
			`job.json:1:21: readings.co: the reading has no "value"`,
			`    {"readings": {"co": {"unit": "%"}}}`,
			`                        ^`)},
		{"a reading with a key that it has not", `{"readings": {"co": {"value": 1.9, "units": "%"}}}`, lines(
			`job.json:1:36: readings.co: a reading has no key "units"`,
			`    {"readings": {"co": {"value": 1.9, "units": "%"}}}`,
			`                                       ^^^^^^^`,
			`    did you mean "unit"?`)},
		{"the parts of a reading of wrong types", `{"readings": {"co": {"value": "1.9", "unit": 1, "within": true}}}`, lines(
			`job.json:1:31: readings.co.value: this is a number, not a text`,
			`    {"readings": {"co": {"value": "1.9", "unit": 1, "within": true}}}`,
			`                                  ^^^^^`,
			`job.json:1:46: readings.co.unit: this is a text, not a number`,
			`    {"readings": {"co": {"value": "1.9", "unit": 1, "within": true}}}`,
			`                                                 ^`,
			`job.json:1:59: readings.co.within: this is a number, not true or false`,
			`    {"readings": {"co": {"value": "1.9", "unit": 1, "within": true}}}`,
			`                                                              ^^^^`)},
		{"a trace without its interval", `{"readings": {"t": {"values": [1]}}}`, lines(
			`job.json:1:20: readings.t: the trace has no "every"`,
			`    {"readings": {"t": {"values": [1]}}}`,
			`                       ^`)},
		{"a trace with a unit", `{"readings": {"t": {"every": 1, "values": [1], "unit": "V"}}}`, lines(
			`job.json:1:48: readings.t: a trace has no key "unit"`,
			`    {"readings": {"t": {"every": 1, "values": [1], "unit": "V"}}}`,
			`                                                   ^^^^^^`,
			`    a trace has every and values, another reading value, unit and within`)},
		{"the parts of a trace of wrong types", `{"readings": {"t": {"every": {}, "values": 3}}}`, lines(
			`job.json:1:30: readings.t.every: the sampling interval is not an object`,
			`    {"readings": {"t": {"every": {}, "values": 3}}}`,
			`                                 ^`,
			`    write "50 ms"`,
			`job.json:1:44: readings.t.values: this is a list, not a number`,
			`    {"readings": {"t": {"every": {}, "values": 3}}}`,
			`                                               ^`,
			`    write a list of numbers, null for a sample that was lost`)},
		{"lists in a trace", `{"readings": {"t": {"every": 1, "values": [0, [1]]}}}`, lines(
			`job.json:1:47: readings.t.values[1]: this is a number, not a list`,
			`    {"readings": {"t": {"every": 1, "values": [0, [1]]}}}`,
			`                                                  ^`)},
		{"figures that are none", `{"spec": {"co": 1.2}, "readings": {}}`, lines(
			`job.json:1:17: spec.co: the figures are an object, not a number`,
			`    {"spec": {"co": 1.2}, "readings": {}}`,
			`                    ^^^`,
			`    write {"from": 800, "to": 900} or {"reference": 10, "within": 2}`)},
		{"figures with a key that they have not", `{"spec": {"co": {"frm": 1}}, "readings": {}}`, lines(
			`job.json:1:18: spec.co: figures have no key "frm"`,
			`    {"spec": {"co": {"frm": 1}}, "readings": {}}`,
			`                     ^^^^^`,
			`    did you mean "from"?`)},
		{"a figure of a wrong type", `{"spec": {"co": {"from": true, "source": 3}}, "readings": {}}`, lines(
			`job.json:1:26: spec.co.from: a figure is not true or false`,
			`    {"spec": {"co": {"from": true, "source": 3}}, "readings": {}}`,
			`                             ^^^^`,
			`    write a number, or text with a unit`,
			`job.json:1:42: spec.co.source: this is a text, not a number`,
			`    {"spec": {"co": {"from": true, "source": 3}}, "readings": {}}`,
			`                                             ^`)},
		{"columns count characters, not bytes", `{"name": "Öl für 3 €", "vehicel": "", "readings": {}}`, lines(
			`job.json:1:24: a job has no key "vehicel"`,
			`    {"name": "Öl für 3 €", "vehicel": "", "readings": {}}`,
			`                           ^^^^^^^^^`,
			`    did you mean "vehicle"?`)},
		{"a byte order mark and lines that end in CR LF", "\ufeff{\r\n  \"vehicel\": \"x\",\r\n  \"readings\": {}\r\n}\r\n", lines(
			`job.json:2:3: a job has no key "vehicel"`,
			`      "vehicel": "x",`,
			`      ^^^^^^^^^`,
			`    did you mean "vehicle"?`)},
		{"a quote inside a key", `{"a\"b": 1, "readings": {}}`, lines(
			`job.json:1:2: a job has no key "a\"b"`,
			`    {"a\"b": 1, "readings": {}}`,
			`     ^^^^^^`)},
		{"too deep", `{"readings": {}, "truth": ` + strings.Repeat("[", 20), lines(
			`job.json:1:42: lists and objects stand more than 16 deep in each other`,
			`    {"readings": {}, "truth": [[[[[[[[[[[[[[[[[[[[`,
			`                                             ^`)},
		{"a key of many letters", `{"readings": {"` + strings.Repeat("k", 201) + `": 1}}`, lines(
			`job.json:1:15: a key of 201 bytes; the limit is 200`,
			`    {"readings": {"`+strings.Repeat("k", 95)+`…`,
			`                  `+strings.Repeat("^", 96))},
	} {
		fresh(c.because)
		t.Run(c.because, func(t *testing.T) {
			j, err := ParseJob("job.json", []byte(c.text))
			if err == nil {
				t.Fatalf("taken: %+v", j)
			}
			if j != nil {
				t.Error("a job came with the error")
			}
			if diff := cmp.Diff(c.want, formatted(err)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

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
			`    {"spec": {"co": {"from": "0,3", "to": "x"}, "hc": {"to": "2 bar"}}, "readings": {}}`,
			`                             ^^^^^`,
			`    write 0.3 with a point`,
			`job.json:1:39: spec.co.to: no number at the start of "x"`,
			`    {"spec": {"co": {"from": "0,3", "to": "x"}, "hc": {"to": "2 bar"}}, "readings": {}}`,
			`                                          ^^^`,
			`job.json:1:58: spec.hc.to: "2 bar" is a pressure; here a fraction is wanted: %, ppm, deg dwell4, deg dwell6, deg dwell8`,
			`    {"spec": {"co": {"from": "0,3", "to": "x"}, "hc": {"to": "2 bar"}}, "readings": {}}`,
			`                                                             ^^^^^^^`)},
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
		{"unknown readings without end", `{"name": "é", "readings": {` + unknown(200_000) + `}}`, "there is more; only the first 200 mistakes found are listed"},
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
