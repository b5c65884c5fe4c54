package engine

import (
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
			`job.json:1:24: a comma stands before the end of an object`,
			`    {"readings": {"co": 1.9,}}`,
			`                           ^`,
			`    take it out`)},
		{"a comma before the end of a list", `{"readings": {"t": {"every": 1, "values": [1,]}}}`, lines(
			`job.json:1:45: a comma stands before the end of a list`,
			`    {"readings": {"t": {"every": 1, "values": [1,]}}}`,
			`                                                ^`,
			`    take it out`)},
		{"commas too many, and other mistakes before and behind them", `{"readings": {"co": 1e999, }, "name": 7, }`, lines(
			`job.json:1:21: readings.co: the number is too large`,
			`    {"readings": {"co": 1e999, }, "name": 7, }`,
			`                        ^^^^^`,
			`job.json:1:26: a comma stands before the end of an object`,
			`    {"readings": {"co": 1e999, }, "name": 7, }`,
			`                             ^`,
			`    take it out`,
			`job.json:1:39: name: must be a text, not a number`,
			`    {"readings": {"co": 1e999, }, "name": 7, }`,
			`                                          ^`,
			`job.json:1:40: a comma stands before the end of an object`,
			`    {"readings": {"co": 1e999, }, "name": 7, }`,
			`                                           ^`,
			`    take it out`)},
		{"a comma too many, and something that is no JSON behind it", `{"readings": {"co": 1,}, x}`, lines(
			`job.json:1:22: a comma stands before the end of an object`,
			`    {"readings": {"co": 1,}, x}`,
			`                         ^`,
			`    take it out`,
			`job.json:1:26: this is not JSON: invalid character 'x' looking for beginning of object key string`,
			`    {"readings": {"co": 1,}, x}`,
			`                             ^`)},
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
			`job.json:1:11: the job is not UTF-8 text`,
			"    {\"name\": \"\ufffd\", \"readings\": {}}",
			`              ^`,
			`    save it as UTF-8`)},
		{"a blank that is none of JSON's", "{\"readings\":\u00a0{}}", lines(
			`job.json:1:13: this is not JSON: invalid character '\u00a0' looking for beginning of value`,
			"    {\"readings\":\u00a0{}}",
			`                ^`)},
		{"quotes that a word processor has made round", `{“readings”: {}}`, lines(
			`job.json:1:2: this is not JSON: invalid character '“' looking for beginning of object key string`,
			`    {“readings”: {}}`,
			`     ^`)},
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
			`job.json:1:10: name: must be a text, not a number`,
			`    {"name": 7, "note": [], "vehicle": true, "readings": {}}`,
			`             ^`,
			`job.json:1:21: note: must be a text, not a list`,
			`    {"name": 7, "note": [], "vehicle": true, "readings": {}}`,
			`                        ^`,
			`job.json:1:36: vehicle: must be a text, not true or false`,
			`    {"name": 7, "note": [], "vehicle": true, "readings": {}}`,
			`                                       ^^^^`)},
		{"readings and spec that are no objects", `{"readings": [], "spec": "800"}`, lines(
			`job.json:1:14: readings: must be an object by readings, not a list`,
			`    {"readings": [], "spec": "800"}`,
			`                 ^`,
			`    write {"idle_speed": …}`,
			`job.json:1:26: spec: must be an object by readings, not a text`,
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
			`job.json:1:31: readings.co.value: must be a number, not a text`,
			`    {"readings": {"co": {"value": "1.9", "unit": 1, "within": true}}}`,
			`                                  ^^^^^`,
			`job.json:1:46: readings.co.unit: must be a text, not a number`,
			`    {"readings": {"co": {"value": "1.9", "unit": 1, "within": true}}}`,
			`                                                 ^`,
			`job.json:1:59: readings.co.within: must be a number, not true or false`,
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
			`job.json:1:44: readings.t.values: must be a list, not a number`,
			`    {"readings": {"t": {"every": {}, "values": 3}}}`,
			`                                               ^`,
			`    write a list of numbers, null for a sample that was lost`)},
		{"lists in a trace", `{"readings": {"t": {"every": 1, "values": [0, [1]]}}}`, lines(
			`job.json:1:47: readings.t.values[1]: must be a number, not a list`,
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
			`job.json:1:42: spec.co.source: must be a text, not a number`,
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
			`    {"readings": {"`+strings.Repeat("k", 59)+`…`,
			`                  `+strings.Repeat("^", 60))},
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
