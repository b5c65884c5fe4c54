package engine

import (
	"context"
	"errors"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// met is the set-up list in order.
var met = []string{"engine_warm=yes", "electrical_load_off=yes", "sensor_connected=yes", "purge_disconnected=yes", "breather_vented=yes", "current_just_set=no"}

func shippedPack(t testing.TB) *Pack {
	t.Helper()
	p, err := Open(Sources{})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func jobOf(t testing.TB, words ...string) *Job {
	t.Helper()
	j := &Job{Vehicle: "brackenby-1800"}
	if err := j.AddWords(words); err != nil {
		t.Fatal(formatted(err))
	}
	return j
}

func next(t testing.TB, p *Pack, j *Job, o NextOptions) *Next {
	t.Helper()
	n, err := p.Next(context.Background(), j, o)
	if err != nil {
		t.Fatal(formatted(err))
	}
	return n
}

func (n *Next) find(id string) *NextCheck {
	if i := slices.IndexFunc(n.Checks, func(c NextCheck) bool { return c.Check.Check == id }); i >= 0 {
		return &n.Checks[i]
	}
	return nil
}

func TestNextKeepsItsPromises(t *testing.T) {
	p := shippedPack(t)
	for _, words := range [][]string{
		nil,
		{"complaint=stalls"},
		{"complaint=thirsty", "co=3.5", "o2=1.9", "regulator_current=10"},
		append([]string{"valve_duty=15", "idle_speed=850", "regulator_current=22"}, met...),
	} {
		j := jobOf(t, words...)
		before := diagnose(t, p, j)
		n := next(t, p, j, NextOptions{Most: 50})
		for i, c := range n.Checks {
			if i > 0 && c.WithNext > n.Checks[i-1].WithNext {
				t.Errorf("%v: %s saves more than the one before it", words, c.Check.Check)
			}
			if c.Saves > c.AtMost || c.Saves > c.WithNext || c.Saves+c.AsThingsAre > n.Repair.Minutes-n.Perfect+1e-9 {
				t.Errorf("%v: %s saves %v, at most %v, with the next %v, all that can be saved is %v", words, c.Check.Check, c.Saves, c.AtMost, c.WithNext, n.Repair.Minutes-n.Perfect)
			}
			sum := 0.0
			for _, o := range c.Outcomes {
				sum += o.Probability
			}
			if len(c.Outcomes) < 2 || sum < 1-1e-9 || sum > 1+1e-9 {
				t.Errorf("%v: the outcomes of %s add up to %v: %+v", words, c.Check.Check, sum, c.Outcomes)
			}
			if len(c.Gives) == 0 || !slices.ContainsFunc(c.Gives, func(g Gives) bool { return !g.Taken }) {
				t.Errorf("%v: %s gives nothing new", words, c.Check.Check)
			}
		}
		if after := diagnose(t, p, j); !reflect.DeepEqual(before, after) {
			t.Errorf("%v: the advice changed the verdict", words)
		}
		if again := next(t, p, j, NextOptions{Most: 50}); !reflect.DeepEqual(n, again) {
			t.Errorf("%v: the same job gets another advice", words)
		}
	}
}

// TestMinutesAsThingsStand: what has been prepared is not made twice, and what
// the set-up needs is counted and told. Minutes are the pack's own.
func TestMinutesAsThingsStand(t *testing.T) {
	p := shippedPack(t)
	cold := next(t, p, jobOf(t, append([]string{"engine_warm=no"}, met[1:]...)...), NextOptions{})
	warm := next(t, p, jobOf(t, met...), NextOptions{})
	open := next(t, p, jobOf(t), NextOptions{})
	const id = "current-at-idle"
	usual := p.rules.Check(id).Minutes
	if c := warm.find(id); c.AsThingsAre != usual {
		t.Errorf("in order: %v minutes, not %v", c.AsThingsAre, usual)
	}
	point := p.rules.Reading("engine_warm").SetUp
	if c := cold.find(id); c.AsThingsAre != usual+point.Minutes || !slices.ContainsFunc(c.First, func(f First) bool { return f.Reading == "engine_warm" && f.Do == point.Do }) {
		t.Errorf("engine cold: %v minutes, first %+v", c.AsThingsAre, c.First)
	}
	if c := open.find(id); c.AsThingsAre != usual+p.rules.Check("set-up-list").Minutes || !slices.ContainsFunc(c.First, func(f First) bool { return f.Check == "set-up-list" }) {
		t.Errorf("nobody said: %v minutes, first %+v", c.AsThingsAre, c.First)
	}
	fitted := next(t, p, jobOf(t, append([]string{"co=0.7", "co2=14", "o2=0.8", "hc=150"}, met...)...), NextOptions{})
	before, after := warm.find("gases-at-speed"), fitted.find("gases-at-speed")
	if after.AsThingsAre >= before.AsThingsAre || len(after.First) >= len(before.First) {
		t.Errorf("with the analyser warm %v minutes, without %v", after.AsThingsAre, before.AsThingsAre)
	}
	if fitted.find("gases-at-idle") != nil {
		t.Error("a check that has been made is offered")
	}
}

func TestNextSaysWhatToDo(t *testing.T) {
	p := shippedPack(t)
	for _, row := range []struct {
		why   string
		words []string
		do    string
		first string // of the plan, where to repair
	}{
		{"little is known", met, DoCheck, ""},
		{"readings wait for the set-up list", []string{"regulator_current=22", "valve_duty=15", "co=0.5"}, DoSetUp, ""},
		{"the leak has been found", append([]string{"complaint=stalls", "regulator_current=22", "valve_duty=15", "idle_speed=850", "leak_found=yes", "co=0.7", "regulator_current_2500=12"}, met...), DoRepair, "unmeasured-air"},
	} {
		n := next(t, p, jobOf(t, row.words...), NextOptions{})
		if n.Do != row.do {
			t.Errorf("%s: %s, not %s; %+v", row.why, n.Do, row.do, n.Faults)
		}
		if row.first != "" && (n.Repair.Steps[0].Check != nil || n.Repair.Steps[0].Faults[0].Fault != row.first) {
			t.Errorf("%s: begins with %+v", row.why, n.Repair.Steps[0])
		}
	}
}

func TestNextWithoutATool(t *testing.T) {
	p := shippedPack(t)
	const tool = "smoke machine or test gas"
	n := next(t, p, jobOf(t, met...), NextOptions{Without: []string{tool}})
	for _, c := range n.Checks {
		if slices.Contains(c.Needs, tool) {
			t.Errorf("%s needs a %s", c.Check.Check, tool)
		}
	}
	if !slices.ContainsFunc(n.Barred, func(b Barred) bool { return b.Check == "leak-test" && slices.Equal(b.Needs, []string{tool}) }) {
		t.Errorf("barred: %+v", n.Barred)
	}
	for _, s := range n.Repair.Steps {
		if s.Check != nil && s.Check.Check == "leak-test" {
			t.Error("the plan proves by a check that cannot be made")
		}
	}
	_, err := p.Next(context.Background(), jobOf(t), NextOptions{Without: []string{"smoke machine or test gass"}})
	var problems Problems
	if !errors.As(err, &problems) || !strings.Contains(problems[0].Hint, tool) {
		t.Errorf("an unknown tool gives %v", err)
	}
	if _, err := p.Next(context.Background(), jobOf(t), NextOptions{Done: []string{"leak-tset"}}); !errors.As(err, &problems) || !strings.Contains(problems[0].Hint, "leak-test") {
		t.Errorf("an unknown check gives %v", err)
	}
	if n := next(t, p, jobOf(t, met...), NextOptions{Done: []string{"leak-test"}}); n.find("leak-test") != nil {
		t.Error("a check that counts as made is offered")
	}
}

// TestRuleWhoseFigureIsMissingDecidesNothing: without a vehicle nothing is high or low.
func TestRuleWhoseFigureIsMissingDecidesNothing(t *testing.T) {
	p := shippedPack(t)
	bare := jobOf(t, met...)
	bare.Vehicle = ""
	with, without := next(t, p, jobOf(t, met...), NextOptions{}), next(t, p, bare, NextOptions{})
	if c := with.find("current-at-idle"); c == nil || len(c.Outcomes) == 0 && c.Bits == 0 {
		t.Fatal("the current decides nothing on a car with figures")
	}
	if a, b := with.find("current-at-idle"), without.find("current-at-idle"); b != nil && b.Saves >= a.Saves {
		t.Errorf("without the car's figures the current saves %v, with them %v", b.Saves, a.Saves)
	}
}

func TestNextAtOnce(t *testing.T) {
	p := shippedPack(t)
	j := jobOf(t, append([]string{"complaint=weak", "co=3"}, met...)...)
	want := next(t, p, j, NextOptions{Quick: true})
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			for range 3 {
				got, err := p.Next(context.Background(), j, NextOptions{Quick: true})
				if err != nil || !reflect.DeepEqual(got, want) {
					t.Errorf("asked at once: %v", err)
				}
			}
		})
	}
	wait.Wait()
}

func TestNextStopsWhenItsContextIsDone(t *testing.T) {
	done, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := shippedPack(t).Next(done, jobOf(t), NextOptions{}); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}

func BenchmarkNext(b *testing.B) {
	p := shippedPack(b)
	j := jobOf(b, append([]string{"complaint=thirsty", "idle_speed=850", "valve_duty=28", "co=1.7", "regulator_current=10", "timing_idle=10"}, met...)...)
	for _, row := range []struct {
		name  string
		quick bool
	}{{"12 readings", false}, {"12 readings, no look ahead", true}} {
		b.Run(row.name, func(b *testing.B) {
			for b.Loop() {
				next(b, p, j, NextOptions{Quick: row.quick})
			}
		})
	}
}

// TestPointThatStaysKeepsItsRulesOut: nobody can unset a screw on the spot, so what
// needs it unset is not foreseen.
func TestPointThatStaysKeepsItsRulesOut(t *testing.T) {
	p := shippedPack(t)
	set := slices.Concat(met[:5], []string{"current_just_set=yes"})
	free, stays := next(t, p, jobOf(t, met...), NextOptions{Most: 50}), next(t, p, jobOf(t, set...), NextOptions{Most: 50})
	speaks := func(n *Next, rule string) bool {
		return slices.ContainsFunc(n.Checks, func(c NextCheck) bool {
			return slices.ContainsFunc(c.Outcomes, func(o Prospect) bool {
				return slices.ContainsFunc(o.Says, func(s Said) bool { return s.Rule == rule })
			})
		})
	}
	const rule = "current-high"
	if !speaks(free, rule) || speaks(stays, rule) {
		t.Errorf("%s is foreseen: %v where the screw was left alone, %v where it was just set", rule, speaks(free, rule), speaks(stays, rule))
	}
	for _, c := range stays.Checks {
		if slices.ContainsFunc(c.First, func(f First) bool { return f.Reading == "current_just_set" }) {
			t.Errorf("%s begins with what cannot be put right", c.Check.Check)
		}
	}
}

// TestNextOnOneCore: on one core the same comes out.
func TestNextOnOneCore(t *testing.T) {
	p := shipped(t)
	j := &Job{Vehicle: "brackenby-1800", Readings: map[string]Value{"engine_warm": YesNo(true), "idle_speed": Number(850), "valve_duty": Number(16)}}
	var both [2]*Next
	for i := range both {
		var err error
		if both[i], err = p.Next(t.Context(), j, NextOptions{Quick: true, OneCore: i == 1}); err != nil {
			t.Fatal(formatted(err))
		}
	}
	if diff := cmp.Diff(both[0], both[1]); diff != "" {
		t.Errorf("(-all cores +one)\n%s", diff)
	}
}
