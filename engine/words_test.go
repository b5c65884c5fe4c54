package engine

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestWords(t *testing.T) {
	fresh := reasons(t)
	for _, c := range []struct {
		because string
		words   []string
		want    map[string]Value // the job had co=7 before
	}{
		{"a number beside what the job has", []string{"idle_speed=850"}, map[string]Value{"co": Number(7), "idle_speed": Text("850")}},
		{"a value with a unit, and an equals sign in it", []string{"valve_duty=25.2 deg dwell4", "x=a=b"},
			map[string]Value{"co": Number(7), "valve_duty": Text("25.2 deg dwell4"), "x": Text("a=b")}},
		{"white space round name and value; the word wins", []string{" co = 1.9 % "}, map[string]Value{"co": Text("1.9 %")}},
		{"null means not taken, and wins too", []string{"co=null", "o2= null"}, map[string]Value{"co": {}, "o2": {}}},
		{"no words", nil, map[string]Value{"co": Number(7)}},
	} {
		fresh(c.because)
		j := job(map[string]Value{"co": Number(7)})
		if err := j.AddWords(c.words); err != nil {
			t.Errorf("%s: %v", c.because, err)
		}
		if got, want := fmt.Sprint(j.Readings), fmt.Sprint(c.want); got != want {
			t.Errorf("%s: %s, want %s", c.because, got, want)
		}
	}
}

func TestBrokenWords(t *testing.T) {
	p := shipped(t)
	fresh := reasons(t)
	for _, c := range []struct {
		because string
		words   []string
		want    string
	}{
		{"no equals sign", []string{"co=1", "idle_speed 850"}, lines(
			`words:2:1: a reading is written name=value`,
			`    idle_speed 850`,
			`    ^^^^^^^^^^^^^^`,
			`    for example idle_speed=850, or co="1.9 %"`)},
		{"no name", []string{"=850"}, lines(
			`words:1:1: a reading is written name=value`,
			`    =850`,
			`    ^^^^`,
			`    for example idle_speed=850, or co="1.9 %"`)},
		{"no value, which might be a slip", []string{"co=", "idle_speed=850"}, lines(
			`words:1:1: "co" has no value`,
			`    co=`,
			`    ^^^`,
			`    write co=null where it was not taken`)},
		{"one reading twice", []string{"co=1", "o2=1", "co=2"}, lines(
			`words:3:1: the reading "co" stands here twice`,
			`    co=2`,
			`    ^^`,
			`    also here: words:1:1`)},
		{"a line break, which would move the places", []string{"co=1\n2"}, lines(
			`words: a word holds a line break`)},
		{"an unknown reading, by its place among the words", []string{"co=1", "valve_dutty=15"}, lines(
			`words:2:1: readings.valve_dutty: there is no reading "valve_dutty"`,
			`    valve_dutty=15`,
			`    ^^^^^^^^^^^`,
			`    did you mean "valve_duty"?`)},
		{"a wrong value, at the value", []string{"engine_warm=perhaps"}, lines(
			`words:1:13: readings.engine_warm: "engine_warm" is yes or no, not "perhaps"`,
			`    engine_warm=perhaps`,
			`                ^^^^^^^`,
			`    write yes or no (in JSON true or false)`)},
	} {
		fresh(c.because)
		j := &Job{}
		err := j.AddWords(c.words)
		if err == nil {
			_, err = p.Diagnose(t.Context(), j, Options{})
		}
		if err == nil {
			t.Errorf("%s: taken", c.because)
			continue
		}
		if diff := cmp.Diff(c.want, formatted(err)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.because, diff)
		}
	}
}

// TestPlaces: a mistake is told where the part of the job came from.
func TestPlaces(t *testing.T) {
	p := shipped(t)
	refuse := func(j *Job) string {
		_, err := p.Diagnose(t.Context(), j, Options{})
		if err == nil {
			t.Fatal("taken")
		}
		return err.Error()
	}
	fresh := reasons(t)
	for _, c := range []struct {
		because string
		change  func(j *Job) error
		want    string
	}{
		{"in the file", func(*Job) error { return nil }, `job.json:1:21: readings.co: "1 bar" is a pressure; here a fraction is wanted: %, ppm, deg dwell4, deg dwell6, deg dwell8`},
		{"in a word that wins over the file", func(j *Job) error { return j.AddWords([]string{"co=2 bar"}) },
			`words:1:4: readings.co: "2 bar" is a pressure; here a fraction is wanted: %, ppm, deg dwell4, deg dwell6, deg dwell8`},
		{"in the vehicle that somebody chose instead", func(j *Job) error { j.Readings = nil; j.UseVehicle("x", "--vehicle"); return nil },
			`--vehicle:1:1: vehicle: there is no vehicle "x" in this pack`},
		{"in nothing that has a place", func(j *Job) error { *j = Job{Vehicle: "x"}; return nil }, `job: vehicle: there is no vehicle "x" in this pack`},
		{"in what a program put in by hand, as near as can be", func(j *Job) error { j.Readings = map[string]Value{"zzz": Number(1)}; return nil },
			`job.json:1:2: readings.zzz: there is no reading "zzz"`},
	} {
		fresh(c.because)
		j := parse(t, `{"readings": {"co": "1 bar"}}`)
		if err := c.change(j); err != nil {
			t.Fatal(err)
		}
		if got := refuse(j); got != c.want {
			t.Errorf("%s: %s, want %s", c.because, got, c.want)
		}
	}
}
