package engine

import (
	"context"
	"errors"
	"slices"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"culprit/engine/belief"
)

// bench is a pack that has a little of everything a verdict tells.
const bench = `
about: {label: Bench, notice: For tests}
readings:
  warm: {label: Engine warm, kind: yes/no, set_up: {must_be: yes, do: Warm it up.}}
  just_set: {label: Current just set, kind: yes/no, assume: no, set_up: {must_be: no, do: Read CO instead}}
  current: {label: Current, unit: mA, plausible: {from: -50, to: 50}, accuracy: {within: 1}}
  change: {label: Current less its reference, unit: mA, from: current - reference(current)}
  duty: {label: Duty, unit: '%', accuracy: {within: 1}}
  smoke: {label: Smoke seen, kind: yes/no}
  idle: {label: Idle, kind: choice, among: [steady, rough]}
conditions:
  trim: {label: Trim, states: {adding: adds fuel, taking: takes fuel}, of_itself: {adding: 0.02, taking: 0.02}}
  air: {label: Air, states: {spare: too much air}, of_itself: {spare: 0.01}}
faults:
  leak:
    label: Leak
    per_1000: 100
    brings:
      - {condition: trim, state: adding, how_often: 0.9, given: warm}
      - {condition: air, state: spare, how_often: 0.8}
    settle: smoke-test
    repair: {minutes: 40, do: Replace the hose., needs: [pliers], cautions: [hot]}
  rich: {label: Set rich, per_1000: 50, brings: [{condition: trim, state: taking, how_often: 0.9}]}
rules:
  high: {says: The current is high, given: warm and not just_set, when: high(current), shows: {trim.adding: 0.98}, otherwise: 0.02, alternatives: current, because: It adds.}
  low: {says: The current is low, given: warm and not just_set, when: low(current), shows: {trim.taking: 0.95}, otherwise: 0.02, alternatives: current}
  far: {says: The current is far off, given: warm, when: abs(change) > 8, shows: {leak: 0.3}, otherwise: 0.05}
  shut: {says: The valve is nearly shut., when: low(duty), shows: {air.spare: 0.9}, otherwise: 0.05}
  smoke: {says: Smoke comes out, when: smoke, shows: {leak: 0.9}, otherwise: 0.01}
  rough: {says: It idles roughly, when: idle == "rough", shows: {leak: 0.2}, otherwise: 0.1}
checks:
  smoke-test: {label: Smoke test, yields: [smoke], minutes: 20, needs: [smoke machine], do: [Close the inlet, Blow], cautions: [fire]}
cautions: {fire: No flame., hot: It is hot., other: Nobody names this.}
vehicles:
  car: {label: A car, demo: yes, source: invented, spec: {current: {reference: 10, within: 2}, duty: {from: 27, to: 29}}}
`

func benchJob(t testing.TB, readings string) *Job {
	return parse(t, `{"vehicle": "car", "readings": {`+readings+`}}`)
}

func TestStatuses(t *testing.T) {
	p := tiny(t, bench)
	fresh := reasons(t)
	for _, c := range []struct {
		because, readings string
		rule              string
		want              Status
		lacks             []Lack
	}{
		{"far above the limit", `"warm": true, "current": 20`, "high", Holds, nil},
		{"far inside the limits", `"warm": true, "current": 10`, "high", DoesNotHold, nil},
		{"nobody read the current", `"warm": true`, "high", CannotTell, []Lack{{Reading: "current"}}},
		{"nobody said whether it is warm: that comes first", `"current": 20`, "high", CannotTell, []Lack{{Reading: "warm"}}},
		{"it is known to be cold", `"warm": false, "current": 20`, "high", DoesNotApply, nil},
		{"cold, and the current does not matter then", `"warm": false`, "high", DoesNotApply, nil},
		{"what was taken for granted turns out otherwise", `"warm": true, "just_set": true, "current": 20`, "high", DoesNotApply, nil},
		{"a derived reading waits for what it comes from", `"warm": true`, "far", CannotTell, []Lack{{Reading: "current"}}},
		{"a word", `"idle": "rough"`, "rough", Holds, nil},
		{"another word", `"idle": "steady"`, "rough", DoesNotHold, nil},
		{"null is no word", `"idle": null`, "rough", CannotTell, []Lack{{Reading: "idle"}}},
	} {
		fresh(c.because)
		r := diagnose(t, p, benchJob(t, c.readings)).rule(t, c.rule)
		if r.Status != c.want {
			t.Errorf("%s: %s", c.because, r.Status)
		}
		if diff := cmp.Diff(c.lacks, r.Lacks); diff != "" {
			t.Errorf("%s: lacks (-want +got):\n%s", c.because, diff)
		}
	}
}

// TestMissingFigure: without a specification its rules cannot tell, and the
// figure is listed to be looked up; with one in the job they can.
func TestMissingFigure(t *testing.T) {
	p := tiny(t, bench)
	j := parse(t, `{"readings": {"warm": true, "current": 20, "duty": 20}}`)
	v := diagnose(t, p, j)
	if v.Vehicle != nil {
		t.Errorf("a vehicle: %+v", v.Vehicle)
	}
	want := []Missing{
		{Reading: "current", Label: "Current", Rules: []string{"high", "low", "far"}},
		{Reading: "duty", Label: "Duty", Rules: []string{"shut"}},
	}
	if diff := cmp.Diff(want, v.Figures); diff != "" {
		t.Errorf("figures (-want +got):\n%s", diff)
	}
	for _, id := range []string{"high", "low", "far", "shut"} {
		if r := v.rule(t, id); r.Status != CannotTell || len(r.Lacks) != 1 || !r.Lacks[0].Figure {
			t.Errorf("%+v", r)
		}
	}
	j.Spec = map[string]Figures{"current": {Reference: "10 mA", Within: "2"}}
	v = diagnose(t, p, j)
	if s := v.rule(t, "high").Status; s != Holds {
		t.Errorf("with figures, high %s", s)
	}
	if len(v.Figures) != 1 || v.Figures[0].Reading != "duty" {
		t.Errorf("figures still to look up: %+v", v.Figures)
	}
}

// TestOwnSpecWins: figures of the job win over the vehicle's, the others stay.
func TestOwnSpecWins(t *testing.T) {
	p := tiny(t, bench)
	j := benchJob(t, `"warm": true, "current": 20, "duty": 20`)
	j.Spec = map[string]Figures{"current": {From: "18", To: "22", Reference: "20"}}
	v := diagnose(t, p, j)
	if s := v.rule(t, "high").Status; s != DoesNotHold {
		t.Errorf("high %s", s)
	}
	if s := v.rule(t, "shut").Status; s != Holds {
		t.Errorf("shut %s", s)
	}
	current := v.Readings[slices.IndexFunc(v.Readings, func(r Reading) bool { return r.Reading == "current" })]
	if l := current.Limits; l == nil || *l.From != 18 || *l.To != 22 || *l.Reference != 20 || l.Text != "18-22 mA" {
		t.Errorf("limits: %+v", current.Limits)
	}
}

func TestSetUp(t *testing.T) {
	p := tiny(t, bench)
	warm := SetUp{Reading: "warm", Label: "Engine warm", MustBe: true, Do: "Warm it up"}
	set := SetUp{Reading: "just_set", Label: "Current just set", Known: true, Do: "Read CO instead"}
	cold := warm
	cold.Known = true
	assumed := []Assumed{{"just_set", "Current just set", false}}
	fresh := reasons(t)
	for _, c := range []struct {
		because, readings string
		setUp             []SetUp
		assumed           []Assumed
	}{
		{"all in order, one point taken for granted", `"warm": true`, []SetUp{}, assumed},
		{"nobody spoke of it", ``, []SetUp{warm}, assumed},
		{"cold", `"warm": false`, []SetUp{cold}, assumed},
		{"what is taken for granted is overridden, to the worse", `"warm": true, "just_set": true`, []SetUp{set}, []Assumed{}},
		{"what is taken for granted is said outright", `"warm": true, "just_set": false`, []SetUp{}, []Assumed{}},
	} {
		fresh(c.because)
		v := diagnose(t, p, benchJob(t, c.readings))
		if diff := cmp.Diff(c.setUp, v.SetUp); diff != "" {
			t.Errorf("%s: set-up (-want +got):\n%s", c.because, diff)
		}
		if diff := cmp.Diff(c.assumed, v.Assumed); diff != "" {
			t.Errorf("%s: assumed (-want +got):\n%s", c.because, diff)
		}
	}
}

func TestDoubtful(t *testing.T) {
	p := tiny(t, bench)
	if v := diagnose(t, p, benchJob(t, `"current": 50`)); len(v.Doubtful) != 0 {
		t.Errorf("on the edge: %+v", v.Doubtful)
	}
	v := diagnose(t, p, benchJob(t, `"current": 51`))
	want := []Doubt{{"current", "51.0 mA is hardly possible: -50 to 50 mA is expected; look at the unit and take it again"}}
	if diff := cmp.Diff(want, v.Doubtful); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestOptions(t *testing.T) {
	p := shipped(t)
	j := parse(t, hiddenLeak)
	details := func(o Options) (ids []string) {
		v, err := p.Diagnose(t.Context(), j, o)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range v.Faults {
			if f.Detail != nil {
				ids = append(ids, f.Fault)
			}
		}
		return ids
	}
	if got := details(Options{}); len(got) != defaultMost {
		t.Errorf("%d explained by default", len(got))
	}
	if got := details(Options{Most: 2, Why: []string{"fuel-in-oil"}}); len(got) != 3 || !slices.Contains(got, "fuel-in-oil") {
		t.Errorf("explained %v", got)
	}
	if got := details(Options{Most: -1}); len(got) != 0 {
		t.Errorf("explained %v", got)
	}
	_, err := p.Diagnose(t.Context(), j, Options{Why: []string{"fuel-in-oli"}})
	if err == nil || formatted(err) != "why: there is no fault \"fuel-in-oli\"\n    did you mean \"fuel-in-oil\"?\n" {
		t.Errorf("%v", err)
	}
}

// TestImpossible: rules that say never, against a reading that says so.
func TestImpossible(t *testing.T) {
	p := tiny(t, `
readings: {a: {label: A, kind: yes/no}, b: {label: B, kind: yes/no}}
faults: {f: {label: Fault, per_1000: 500}}
rules:
  ra: {says: A, when: a, shows: {f: 1}, otherwise: 0}
  rb: {says: B, when: b, shows: {f: 1}, otherwise: 0}
`)
	_, err := p.Diagnose(t.Context(), job(map[string]Value{"a": YesNo(true), "b": YesNo(false)}), Options{})
	if !errors.Is(err, belief.ErrImpossible) {
		t.Errorf("%v", err)
	}
	// The pack is none the worse for it.
	v := diagnose(t, p, job(map[string]Value{"a": YesNo(true)}))
	if f := v.Faults[0]; f.Probability != 1 || f.LogOdds != nil || f.Detail.For[0].Decibans != nil {
		t.Errorf("certain: %+v", f)
	}
}

// TestDone: a context that is done ends the work with its own error.
func TestDone(t *testing.T) {
	ctx, cancel := context.WithCancelCause(t.Context())
	cancel(errors.New("enough"))
	v, err := shipped(t).Diagnose(ctx, parse(t, twentyReadings), Options{})
	if v != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("%v, %v", v, err)
	}
}

// TestConcurrent: many at once come to what one after another comes to.
func TestConcurrent(t *testing.T) {
	p := shipped(t)
	var jobs []*Job
	var want []*Verdict
	for _, text := range []string{twentyReadings, hiddenLeak, justSet, `{"readings": {}}`} {
		j := parse(t, text)
		jobs, want = append(jobs, j), append(want, diagnose(t, p, j))
	}
	var wait sync.WaitGroup
	for worker := range 8 {
		wait.Go(func() {
			for i := range 10 {
				k := (worker + i) % len(jobs)
				if i%3 == 0 {
					p.Diagnose(context.Background(), &Job{Vehicle: "none"}, Options{}) // a refusal in between
				}
				v, err := p.Diagnose(context.Background(), jobs[k], Options{Most: 1000})
				if err != nil {
					t.Error(err)
				} else if diff := cmp.Diff(want[k], v); diff != "" {
					t.Errorf("job %d (-serial +concurrent):\n%s", k, diff)
				}
			}
		})
	}
	wait.Wait()
}
