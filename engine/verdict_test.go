package engine

import (
	"context"
	"errors"
	"fmt"
	"math"
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

// TestWeights: the weight of a rule is the change of the log odds when the pack
// lacks its reading, worked out by asking again without it.
func TestWeights(t *testing.T) {
	p := tiny(t, bench)
	all := map[string]Value{"warm": YesNo(true), "current": Number(14), "duty": Number(26.5), "smoke": YesNo(true), "idle": Text("rough")}
	with := &Job{Vehicle: "car", Readings: all}
	v := diagnose(t, p, with)
	of := map[string]string{"high": "current", "shut": "duty", "smoke": "smoke", "rough": "idle"}
	told := 0
	for _, f := range v.Faults {
		for _, e := range slices.Concat(f.Detail.For, f.Detail.Against) {
			reading, ok := of[e.Rule]
			if !ok || reading == "current" { // far reads it too
				continue
			}
			told++
			less := &Job{Vehicle: "car", Readings: map[string]Value{}}
			for id, x := range all {
				if id != reading {
					less.Readings[id] = x
				}
			}
			before := *diagnose(t, p, less).fault(t, f.Fault).LogOdds
			around(t, f.Fault+" by "+e.Rule, *e.Decibans, 10/math.Ln10*(*f.LogOdds-before), 1e-9)
		}
	}
	if told < 3 {
		t.Errorf("only %d weights were compared", told)
	}
}

// TestDetail holds what explains one fault: chains, questions, check, repair,
// cautions.
func TestDetail(t *testing.T) {
	p := tiny(t, bench)
	v := diagnose(t, p, benchJob(t, `"warm": true, "current": 20, "duty": 20, "smoke": false`))
	d := v.fault(t, "leak").Detail
	at := slices.IndexFunc(d.For, func(e Evidence) bool { return e.Rule == "high" })
	if at < 0 {
		t.Fatalf("nothing said of the current: %+v", d.For)
	}
	e := d.For[at]
	e.Decibans = nil
	number, from := 20.0, 12.0
	want := Evidence{
		Rule: "high", Says: "The current is high", Status: Holds, Truth: 1, Because: "It adds.",
		Chains: []Chain{{Condition: "trim", State: "adding", StateLabel: "adds fuel", Brings: 0.9, Shows: 0.98, Otherwise: 0.02}},
		Asks: []Asked{{Text: "high(current)", Readings: []string{"current"}, Value: "20.0 mA", Limit: "in order: 8-12 mA",
			Number: &number, From: &from, Truth: Graded{1, 1}}},
	}
	if diff := cmp.Diff(want, e); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if i := slices.IndexFunc(d.For, func(e Evidence) bool { return e.Rule == "shut" }); i < 0 || d.For[i].Says != "The valve is nearly shut" {
		t.Errorf("the valve is not told, or with a full stop: %+v", d.For)
	}
	if i := slices.IndexFunc(d.Against, func(e Evidence) bool { return e.Rule == "smoke" }); i < 0 ||
		!cmp.Equal(d.Against[i].Chains, []Chain{{Shows: 0.9, Otherwise: 0.01}}) || d.Against[i].Status != DoesNotHold {
		t.Errorf("no smoke is not told against a leak: %+v", d.Against)
	}
	if diff := cmp.Diff(&Check{Check: "smoke-test", Label: "Smoke test", Minutes: 20, Yields: []string{"smoke"},
		Needs: []string{"smoke machine"}, Do: []string{"Close the inlet", "Blow"}, Cautions: []string{"fire"}}, d.Settle); diff != "" {
		t.Errorf("check (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(&Repair{Do: "Replace the hose", Minutes: 40, Needs: []string{"pliers"}, Cautions: []string{"hot"}}, d.Repair); diff != "" {
		t.Errorf("repair (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]Caution{{"fire", "No flame."}, {"hot", "It is hot."}}, v.Cautions); diff != "" {
		t.Errorf("cautions (-want +got):\n%s", diff)
	}
	// A cold engine: the link from leak to trim does not act, so no chain goes there.
	v = diagnose(t, p, benchJob(t, `"warm": false, "duty": 20`))
	for _, e := range v.fault(t, "leak").Detail.For {
		for _, c := range e.Chains {
			if c.Condition == "trim" {
				t.Errorf("a chain through the trim of a cold engine: %+v", e)
			}
		}
	}
}

// TestGroupSpeaksOnce: of rules that exclude each other the one that holds is
// named, else the one that the fault would lead to.
func TestGroupSpeaksOnce(t *testing.T) {
	p := tiny(t, bench)
	named := func(readings, fault string) string {
		d := diagnose(t, p, benchJob(t, readings)).fault(t, fault).Detail
		for _, e := range slices.Concat(d.For, d.Against) {
			if e.Rule == "high" || e.Rule == "low" {
				return fmt.Sprint(e.Rule, " ", e.Status)
			}
		}
		return ""
	}
	fresh := reasons(t)
	for _, c := range []struct{ because, readings, fault, want string }{
		{"the one that holds, for what it points at", `"warm": true, "current": 20`, "leak", "high holds"},
		{"the one that holds, against what it does not", `"warm": true, "current": 20`, "rich", "high holds"},
		{"neither holds: the one that a leak would bring", `"warm": true, "current": 10`, "leak", "high does not hold"},
		{"neither holds: the one that a rich setting would bring", `"warm": true, "current": 10`, "rich", "low does not hold"},
	} {
		fresh(c.because)
		if got := named(c.readings, c.fault); got != c.want {
			t.Errorf("%s: %q", c.because, got)
		}
	}
}

func TestUnexplained(t *testing.T) {
	p := tiny(t, bench)
	// Rich is all that fits the current, and does not account for the valve.
	v := diagnose(t, p, benchJob(t, `"warm": true, "current": 4, "smoke": false, "duty": 20`))
	if best := v.Together[0].Faults; !slices.Equal(best, []string{"rich"}) {
		t.Fatalf("the best set is %v", best)
	}
	if len(v.Unexplained) != 1 || v.Unexplained[0].Rule != "shut" || v.Unexplained[0].Status != Holds {
		t.Fatalf("unexplained: %+v", v.Unexplained)
	}
	// P(shut | rich): too much air of itself .01, times .9, else .05; by hand.
	around(t, "predicted", v.Unexplained[0].Predicted, 0.01*0.9+0.99*0.05, 1e-12)
	// Everything speaks for a leak but the current, which is plainly in order.
	v = diagnose(t, p, benchJob(t, `"warm": true, "current": 10, "smoke": true, "duty": 20`))
	if best := v.Together[0].Faults; !slices.Equal(best, []string{"leak"}) {
		t.Fatalf("the best set is %v", best)
	}
	if len(v.Unexplained) != 1 || v.Unexplained[0].Rule != "high" || v.Unexplained[0].Status != DoesNotHold {
		t.Errorf("unexplained: %+v", v.Unexplained)
	}
	// P(high | leak): trim.adding alone .9*.98 + shared with taking .9*.02/2, times .95, else .02 — by hand.
	adding := 0.9*0.98 + 0.9*0.02/2
	around(t, "predicted", v.Unexplained[0].Predicted, adding*0.98+(1-adding)*0.02, 1e-12)
}

func TestConflict(t *testing.T) {
	p := tiny(t, bench)
	fits := diagnose(t, p, benchJob(t, `"warm": true, "current": 20, "duty": 20, "smoke": true`))
	if fits.Conflict.Measure >= 0 || len(fits.Conflict.TakeAgain) != 0 {
		t.Errorf("all of a leak: %+v", fits.Conflict)
	}
	clash := diagnose(t, p, benchJob(t, `"warm": true, "current": 0, "duty": 20, "smoke": false`))
	if clash.Conflict.Measure <= 0 {
		t.Fatalf("a rich car with the valve of a leak and no smoke: %+v", clash.Conflict)
	}
	for _, a := range clash.Conflict.TakeAgain {
		if a.Reading == "warm" {
			t.Error("a reading is blamed that only lets the others count")
		}
		if a.Without > clash.Conflict.Measure-relieves {
			t.Errorf("%s relieves nothing", a.Reading)
		}
	}
	one := diagnose(t, p, benchJob(t, `"smoke": true`))
	around(t, "a single finding", one.Conflict.Measure, 0, 0)
}

// TestConflictNamesTheReading: three findings of one cause and one against it;
// the odd one is named first, and without it the measure is that of the rest.
func TestConflictNamesTheReading(t *testing.T) {
	p := tiny(t, `
readings:
  a: {label: A, kind: yes/no}
  b: {label: B, kind: yes/no}
  odd: {label: Odd one, kind: yes/no}
  warm: {label: Warm, kind: yes/no}
conditions: {c: {label: Condition, states: {on: it is on}, of_itself: {on: 0.3}}}
faults: {f: {label: Fault, per_1000: 100, brings: [{condition: c, state: on, how_often: 0.9}]}}
rules:
  ra: {says: A, given: warm, when: a, shows: {c.on: 0.9}, otherwise: 0.1}
  rb: {says: B, given: warm, when: b, shows: {c.on: 0.9}, otherwise: 0.1}
  ro: {says: Odd, given: warm, when: odd, shows: {c.on: 0.99}, otherwise: 0.3}
`)
	yes := YesNo(true)
	v := diagnose(t, p, job(map[string]Value{"a": yes, "b": yes, "odd": YesNo(false), "warm": yes}))
	if v.Conflict.Measure <= 0 || len(v.Conflict.TakeAgain) == 0 || v.Conflict.TakeAgain[0].Reading != "odd" {
		t.Fatalf("%+v", v.Conflict)
	}
	rest := diagnose(t, p, job(map[string]Value{"a": yes, "b": yes, "warm": yes}))
	around(t, "without the odd one", v.Conflict.TakeAgain[0].Without, rest.Conflict.Measure, 1e-12)
}

// TestGradedGiven: a rule that applies with probability g and then holds with
// probability t is seen as t' = P(given and when) + (1-g)/2 (virtual evidence,
// Pearl 1988): at g = 1 it counts in full, at g near 0 not at all, and in between
// the odds move by the ratio of the two.
func TestGradedGiven(t *testing.T) {
	p := tiny(t, `
readings:
  temp: {label: Temperature, unit: degC, accuracy: {within: 5}}
  seen: {label: Seen, kind: yes/no}
faults: {f: {label: Fault, per_1000: 500}}
rules:
  r: {says: Seen, given: temp > 75, when: seen, shows: {f: 0.9}, otherwise: 0.1}
`)
	u := 5 / math.Sqrt(3) // JCGM 100:2008, 4.3.7
	for _, temp := range []float64{60, 69, 71, 74, 75, 76, 80, 95} {
		v := diagnose(t, p, job(map[string]Value{"temp": Number(temp), "seen": YesNo(true)}))
		g := 0.5 * math.Erfc((75-temp)/(u*math.Sqrt2)) // JCGM 106:2012, section 7
		likely, unlikely := g+(1-g)/2, (1-g)/2
		want := (0.9*likely + 0.1*unlikely) / (0.9*likely + 0.1*unlikely + 0.1*likely + 0.9*unlikely)
		r := v.rule(t, "r")
		if g < applies {
			want = 0.5
			if r.Status != DoesNotApply || r.Truth != nil {
				t.Errorf("at %v: %+v", temp, r)
			}
		} else if r.Status != Holds {
			t.Errorf("at %v %s", temp, r.Status)
		}
		around(t, fmt.Sprint("given at ", temp), r.Given.Least, g, 1e-12)
		around(t, fmt.Sprint("at ", temp), v.Faults[0].Probability, want, 1e-12)
	}
}

// TestGroupWithOneThatCannotTell: a rule of a group that cannot tell changes
// nothing, whether the group applies for certain or not.
func TestGroupWithOneThatCannotTell(t *testing.T) {
	const head = `
readings:
  temp: {label: Temperature, unit: degC, accuracy: {within: 5}}
  up: {label: Up, kind: yes/no}
  down: {label: Down, kind: yes/no}
conditions: {c: {label: Condition, states: {up: it is up, down: it is down}, of_itself: {up: 0.05, down: 0.05}}}
faults: {f: {label: Fault, per_1000: 100, brings: [{condition: c, state: up, how_often: 0.9}]}}
rules:
  up: {says: Up, given: temp > 75, when: up, shows: {c.up: 0.9}, otherwise: 0.02`
	two := tiny(t, head+", alternatives: group}\n  down: {says: Down, given: temp > 75, when: down, shows: {c.down: 0.9}, otherwise: 0.02, alternatives: group}\n")
	one := tiny(t, head+"}\n")
	for _, temp := range []float64{74, 76, 95} {
		for _, up := range []bool{true, false} {
			j := job(map[string]Value{"temp": Number(temp), "up": YesNo(up)})
			a, b := diagnose(t, two, j), diagnose(t, one, j)
			if s := a.rule(t, "down").Status; s != CannotTell {
				t.Fatalf("down %s", s)
			}
			around(t, fmt.Sprint("at ", temp, " up ", up), a.Faults[0].Probability, b.Faults[0].Probability, 1e-12)
			around(t, fmt.Sprint("evidence at ", temp, " up ", up), a.LogEvidence, b.LogEvidence, 1e-12)
		}
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
