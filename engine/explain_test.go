package engine

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

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
	u := 5 / math.Sqrt(3) // JCGM 100:2008, 4.3.7 (from memory)
	for _, temp := range []float64{60, 69, 71, 74, 75, 76, 80, 95} {
		v := diagnose(t, p, job(map[string]Value{"temp": Number(temp), "seen": YesNo(true)}))
		g := 0.5 * math.Erfc((75-temp)/(u*math.Sqrt2)) // JCGM 106:2012, section 7 (from memory)
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
