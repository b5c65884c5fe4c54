package engine

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestBrokenSets holds what is said of sets of readings that are none, each with
// place and caret, in one go.
func TestBrokenSets(t *testing.T) {
	p := shipped(t)
	fresh := reasons(t)
	for _, c := range []struct{ because, text, want string }{
		{"readings and sets", `{"readings": {"co": 1}, "sets": [{"readings": {}}]}`, lines(
			`job.json:1:2: readings: a job has either readings or sets, not both`,
			`    {"readings": {"co": 1}, "sets": [{"readings": {}}]}`,
			`     ^^^^^^^^^^`,
			`    put them into one of the sets`)},
		{"no sets in the list", `{"sets": []}`, lines(
			`job.json:1:10: sets: there is no set of readings`,
			`    {"sets": []}`,
			`             ^`,
			`    write {"label": "before", "readings": {…}} for each, or "readings" instead`,
			`    of "sets"`)},
		{"null for the sets is no job", `{"sets": null}`, lines(
			`job.json:1:1: the job has no readings`,
			`    {"sets": null}`,
			`    ^`,
			`    a job is an object: {"readings": {…}}`)},
		{"sets by name", `{"sets": {"before": {}}}`, lines(
			`job.json:1:10: sets: must be a list of sets of readings, not an object`,
			`    {"sets": {"before": {}}}`,
			`             ^`,
			`    write [{"label": "before", "readings": {…}}, …]`)},
		{"a set that is none", `{"sets": ["before"]}`, lines(
			`job.json:1:11: sets[0]: a set of readings is an object, not a text`,
			`    {"sets": ["before"]}`,
			`              ^^^^^^^^`,
			`    write {"label": "before", "readings": {…}}`)},
		{"a set without readings", `{"sets": [{"label": "before"}]}`, lines(
			`job.json:1:11: sets[0]: the set has no readings`,
			`    {"sets": [{"label": "before"}]}`,
			`              ^`,
			`    where none was taken yet, write "readings": {}`)},
		{"a key that a set has not", `{"sets": [{"labl": "before", "readings": {}}]}`, lines(
			`job.json:1:12: sets[0]: a set of readings has no key "labl"`,
			`    {"sets": [{"labl": "before", "readings": {}}]}`,
			`               ^^^^^^`,
			`    did you mean "label"?`)},
		{"a repair in the first set", `{"sets": [{"repaired": ["unmeasured-air"], "readings": {}}]}`, lines(
			`job.json:1:12: sets[0].repaired: the first set is of before any repair`,
			`    {"sets": [{"repaired": ["unmeasured-air"], "readings": {}}]}`,
			`               ^^^^^^^^^^`,
			`    put the readings of before into a set of their own, and this one behind it`)},
		{"an unknown fault, with the nearest", `{"sets": [{"readings": {}}, {"repaired": ["unmesured-air"], "readings": {}}]}`, lines(
			`job.json:1:43: sets[1].repaired[0]: there is no fault "unmesured-air"`,
			`    …ets": [{"readings": {}}, {"repaired": ["unmesured-air"], "readings": {}}]}`,
			`                                            ^^^^^^^^^^^^^^^`,
			`    did you mean "unmeasured-air"?`)},
		{"one fault twice", `{"sets": [{"readings": {}}, {"repaired": ["timing-late", "timing-late"], "readings": {}}]}`, lines(
			`job.json:1:58: sets[1].repaired[1]: the fault "timing-late" stands here twice`,
			`    …ings": {}}, {"repaired": ["timing-late", "timing-late"], "readings": {}}]}`,
			`                                              ^^^^^^^^^^^^^`,
			`    also here: job.json:1:43`)},
		{"repairs that are no list, and one that is no name", `{"sets": [{"readings": {}}, {"repaired": "timing-late", "readings": {}}, {"repaired": [7], "found": 3, "readings": {}}]}`, lines(
			`job.json:1:42: sets[1].repaired: must be a list of faults, not a text`,
			`    …ts": [{"readings": {}}, {"repaired": "timing-late", "readings": {}}, {"rep…`,
			`                                          ^^^^^^^^^^^^^`,
			`    write ["unmeasured-air"]`,
			`job.json:1:88: sets[2].repaired[0]: this is the id of a fault, not a number`,
			`    …ng-late", "readings": {}}, {"repaired": [7], "found": 3, "readings": {}}]}`,
			`                                              ^`,
			`job.json:1:101: sets[2].found: must be a text, not a number`,
			`    …ng-late", "readings": {}}, {"repaired": [7], "found": 3, "readings": {}}]}`,
			`                                                           ^`)},
		{"one label twice", `{"sets": [{"label": "a", "readings": {}}, {"label": "a", "readings": {}}]}`, lines(
			`job.json:1:53: sets[1].label: another set is called "a", too`,
			`    {"sets": [{"label": "a", "readings": {}}, {"label": "a", "readings": {}}]}`,
			`                                                        ^^^`,
			`    also here: job.json:1:21`)},
		{"an unknown reading and a wrong value, each in its set", `{"sets": [{"readings": {"cco": 1}}, {"readings": {"co": "1 bar"}}]}`, lines(
			`job.json:1:25: sets[0].readings.cco: there is no reading "cco"`,
			`    {"sets": [{"readings": {"cco": 1}}, {"readings": {"co": "1 bar"}}]}`,
			`                            ^^^^^`,
			`    did you mean "co"?`,
			`job.json:1:57: sets[1].readings.co: "1 bar" is a pressure; here a fraction is wanted: %, ppm, deg dwell4, deg dwell6, deg dwell8`,
			`    {"sets": [{"readings": {"cco": 1}}, {"readings": {"co": "1 bar"}}]}`,
			`                                                            ^^^^^^^`)},
		{"form and content in one go, nothing twice", `{"vehicle": "x", "spec": {"co": {"from": []}}, "readings": {"cco": [], "o2": "1 bar", "co": {"value": "x"}}}`, lines(
			`job.json:1:13: vehicle: there is no vehicle "x" in this pack`,
			`    {"vehicle": "x", "spec": {"co": {"from": []}}, "readings": {"cco": [], "o2…`,
			`                ^^^`,
			`job.json:1:42: spec.co.from: a figure is not a list`,
			`    …hicle": "x", "spec": {"co": {"from": []}}, "readings": {"cco": [], "o2": "…`,
			`                                          ^`,
			`    write a number, or text with a unit`,
			`job.json:1:61: readings.cco: there is no reading "cco"`,
			`    …: {"co": {"from": []}}, "readings": {"cco": [], "o2": "1 bar", "co": {"val…`,
			`                                          ^^^^^`,
			`    did you mean "co"?`,
			`job.json:1:68: readings.cco: a reading is not a list`,
			`    …: {"from": []}}, "readings": {"cco": [], "o2": "1 bar", "co": {"value": "x…`,
			`                                          ^`,
			`    write {"every": "50 ms", "values": […]} for a trace`,
			`job.json:1:78: readings.o2: "1 bar" is a pressure; here a fraction is wanted: %, ppm, deg dwell4, deg dwell6, deg dwell8`,
			`    …from": []}}, "readings": {"cco": [], "o2": "1 bar", "co": {"value": "x"}}}`,
			`                                                ^^^^^^^`,
			`job.json:1:103: readings.co.value: must be a number, not a text`,
			`    …from": []}}, "readings": {"cco": [], "o2": "1 bar", "co": {"value": "x"}}}`,
			`                                                                         ^^^`)},
	} {
		fresh(c.because)
		t.Run(c.because, func(t *testing.T) {
			j, err := p.ParseJob("job.json", []byte(c.text))
			if err == nil {
				_, err = p.Diagnose(t.Context(), j, Options{})
			}
			if err == nil {
				t.Fatal("taken")
			}
			if diff := cmp.Diff(c.want, formatted(err)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

// TestSetsByHand: a program that fills a Job wrongly is told so, too.
func TestSetsByHand(t *testing.T) {
	p := shipped(t)
	fresh := reasons(t)
	many := make([]JobSet, MaxSets+1)
	for _, c := range []struct {
		because string
		job     *Job
		want    string
	}{
		{"both forms", &Job{Readings: map[string]Value{"co": Number(1)}, Sets: []JobSet{{}}}, "job: readings: a job has either readings or sets, not both"},
		{"no set", &Job{Sets: []JobSet{}}, "job: sets: there is no set of readings"},
		{"too many sets", &Job{Sets: many}, fmt.Sprintf("job: sets: a job has at most %d sets of readings, not %d", MaxSets, MaxSets+1)},
		{"a set called as another is by its number", &Job{Sets: []JobSet{{Label: "set 2"}, {}}}, `job: sets[1].label: another set is called "set 2", too`},
	} {
		fresh(c.because)
		if _, err := p.Diagnose(t.Context(), c.job, Options{}); err == nil || err.Error() != c.want {
			t.Errorf("%s: %v, want %s", c.because, err, c.want)
		}
	}
}

// TestAfterRepair: words go into the last set, and mistakes in them and in the
// repair have their places; what stood in the job keeps its own.
func TestAfterRepair(t *testing.T) {
	p := shipped(t)
	j := parse(t, `{"readings": {"co": "2 bar", "o2": 1}}`)
	j.AfterRepair([]string{"timing-lat"}, "--repaired")
	if err := j.AddWords([]string{"hc=many", "co=0.8"}); err != nil {
		t.Fatal(err)
	}
	if got, want := fmt.Sprint(j.InSets()[1].Readings), fmt.Sprint(map[string]Value{"hc": Text("many"), "co": Text("0.8")}); got != want {
		t.Errorf("%s, want %s", got, want)
	}
	var places []string
	for line := range strings.Lines(formatted(p.Check(j))) {
		if !strings.HasPrefix(line, " ") {
			places = append(places, strings.TrimSpace(line[:strings.Index(line, ": ")+2+strings.Index(line[strings.Index(line, ": ")+2:], ":")]))
		}
	}
	want := []string{"--repaired:1:1: sets[1].repaired[0]", "job.json:1:21: readings.co", "words:1:4: sets[1].readings.hc"}
	if diff := cmp.Diff(want, places); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	j.AfterRepair(nil, "--repaired")
	if got := j.Sets[2].Label; got != "after repair 2" {
		t.Errorf("the third set is called %q", got)
	}
}
