package engine

import (
	"slices"
	"strings"
	"testing"
)

// The two jobs by which the whole is shown: a leak, and the same car whose
// current was set by hand just before it was read.
const (
	hiddenLeak = `{"vehicle": "brackenby-1800",
		"readings": {"engine_warm": true, "idle_speed": 850, "valve_duty": 15, "regulator_current": 17, "regulator_current_2500": 11}}`
	justSet = `{"vehicle": "brackenby-1800",
		"readings": {"engine_warm": true, "idle_speed": 850, "valve_duty": 15, "regulator_current": 17, "regulator_current_2500": 11,
			"current_just_set": true, "co": 1.95, "co2": 13.4, "o2": 1.3, "hc": 290}}`
)

func TestLeakLeads(t *testing.T) {
	v := diagnose(t, shipped(t), parse(t, hiddenLeak))
	if first := v.Faults[0]; first.Fault != "unmeasured-air" || first.Probability < 0.9 {
		t.Errorf("%s leads with %v", first.Fault, first.Probability)
	}
	if s := v.rule(t, "current-high").Status; s != Holds {
		t.Errorf("current-high %s", s)
	}
	// The speed is in order: that no idle fault shows in it is what misleads.
	in := v.Readings[slices.IndexFunc(v.Readings, func(r Reading) bool { return r.Reading == "idle_speed" })].InSpec
	if in == nil || in.Least < 0.99 {
		t.Errorf("idle speed in its limits: %v", in)
	}
}

func TestCurrentJustSetSaysNothing(t *testing.T) {
	v := diagnose(t, shipped(t), parse(t, justSet))
	if first := v.Faults[0]; !strings.HasPrefix(first.Fault, "injector-") {
		t.Errorf("%s leads", first.Fault)
	}
	at := slices.IndexFunc(v.SetUp, func(s SetUp) bool { return s.Reading == "current_just_set" })
	if at < 0 {
		t.Fatal("nobody is told that the current was just set")
	}
	if s := v.SetUp[at]; !s.Known || s.MustBe || !strings.Contains(s.Do, "says nothing") {
		t.Errorf("told: %+v", s)
	}
	for _, id := range []string{"current-high", "current-low", "trim-fades-at-speed", "trim-grows-at-speed"} {
		if s := v.rule(t, id).Status; s != DoesNotApply {
			t.Errorf("%s %s", id, s)
		}
	}
	everything, err := shipped(t).Diagnose(t.Context(), parse(t, justSet), Options{Most: len(v.Faults)})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range everything.Faults {
		for _, e := range slices.Concat(f.Detail.For, f.Detail.Against) {
			for _, a := range e.Asks {
				if slices.Contains(a.Readings, "regulator_current") {
					t.Errorf("the current speaks through %s about %s", e.Rule, f.Fault)
				}
			}
		}
	}
}
