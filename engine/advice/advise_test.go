package advice

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"culprit/engine/belief"
)

// random makes a job on a random network: some findings seen, the others decided
// by checks.
func random(t testing.TB, seed uint64) *Problem {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 1995))
	var m belief.Model
	faults, conditions := 3+r.IntN(4), 1+r.IntN(3)
	for range faults {
		m.Faults = append(m.Faults, belief.Fault{Prior: 0.02 + 0.3*r.Float64()})
	}
	for range conditions {
		leaks := []float64{0.05 * r.Float64()}
		if r.IntN(2) == 0 {
			leaks = append(leaks, 0.05*r.Float64())
		}
		m.Conditions = append(m.Conditions, belief.Condition{Leaks: leaks})
	}
	for f := range faults {
		for range 1 + r.IntN(2) {
			c := r.IntN(conditions)
			s := r.IntN(len(m.Conditions[c].Leaks))
			m.Links = append(m.Links, belief.Link{Fault: f, Condition: c, State: s, Strength: 0.3 + 0.65*r.Float64()})
		}
	}
	findings := 5 + r.IntN(4)
	for range findings {
		o := belief.Outcome{Leak: 0.02 + 0.1*r.Float64()}
		c := r.IntN(conditions)
		o.States = append(o.States, belief.Shown{Condition: c, State: r.IntN(len(m.Conditions[c].Leaks)), Strength: 0.3 + 0.65*r.Float64()})
		for _, f := range r.Perm(faults)[:r.IntN(3)] {
			o.Faults = append(o.Faults, belief.FromFault{Fault: f, Strength: 0.5 + 0.5*r.Float64()})
		}
		m.Findings = append(m.Findings, belief.Finding{Outcomes: []belief.Outcome{o}})
	}
	net, err := belief.New(m)
	if err != nil {
		t.Fatal(err)
	}
	p := &Problem{Net: net, LastResort: 200, Several: 1}
	var prior belief.Posterior
	if err := net.Posterior(belief.Evidence{}, &prior); err != nil {
		t.Fatal(err)
	}
	p.Outside = prior.None // so that what is to blame is what is present
	open := r.Perm(findings)
	p.Evidence.Seen = []belief.Seen{net.Sure(open[0], r.IntN(2))}
	open = open[1:]
	for len(open) > 0 {
		k := min(len(open), 1+r.IntN(3))
		p.Checks = append(p.Checks, Check{Minutes: 1 + 10*r.Float64(), Findings: open[:k]})
		open = open[k:]
	}
	for range faults {
		p.Faults = append(p.Faults, Fault{Repair: 5 + 60*r.Float64(), Settle: r.IntN(len(p.Checks)+1) - 1})
	}
	return p
}

func advise(t testing.TB, p *Problem, o Options) *Advice {
	t.Helper()
	a, err := p.Advise(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// TestSavingIsThatOfEnumeration enters every joint outcome of a check as evidence
// and asks the network for the posterior after it.
func TestSavingIsThatOfEnumeration(t *testing.T) {
	compared := 0
	for seed := range uint64(150) {
		p := random(t, seed)
		a := advise(t, p, Options{Ahead: -1, Least: -1})
		for _, w := range a.Checks {
			mean, bits := enumerate(t, p, w.Check)
			if want := a.Now.Minutes - mean - w.Minutes; !(math.Abs(w.Saves-want) <= 1e-9*(1+math.Abs(want))) {
				t.Fatalf("seed %d, check %d: saves %v, enumeration %v", seed, w.Check, w.Saves, want)
			}
			if !(math.Abs(w.Most-w.Saves) <= 1e-9) {
				t.Fatalf("seed %d, check %d: all outcomes gone through, and still %v..%v", seed, w.Check, w.Saves, w.Most)
			}
			if !(math.Abs(w.Bits-bits) <= 1e-9) {
				t.Fatalf("seed %d, check %d: %v bits, gonum %v", seed, w.Check, w.Bits, bits)
			}
			compared++
		}
	}
	if compared < 300 {
		t.Fatalf("only %d checks compared", compared)
	}
}

// enumerate works out the expected cost after a check, and the information that
// it gives on the leading fault as the difference of gonum's entropies.
func enumerate(t *testing.T, p *Problem, check int) (mean, bits float64) {
	t.Helper()
	var now, then belief.Posterior
	if err := p.Net.Posterior(p.Evidence, &now); err != nil {
		t.Fatal(err)
	}
	lead := slices.Index(now.Faults, slices.Max(now.Faults))
	entropy := func(q float64) float64 { return stat.Entropy([]float64{q, 1 - q}) / math.Ln2 }
	bits = entropy(now.Faults[lead])
	findings := p.Checks[check].Findings
	after := *p
	after.Checks = slices.Clone(p.Checks)
	after.Checks[check].Made = true
	for outcome := range 1 << len(findings) {
		e := p.Evidence
		e.Seen = slices.Clone(e.Seen)
		for k, f := range findings {
			e.Seen = append(e.Seen, p.Net.Sure(f, outcome>>k&1))
		}
		if err := p.Net.Posterior(e, &then); err != nil {
			t.Fatal(err)
		}
		q := math.Exp(then.LogEvidence - now.LogEvidence)
		mean += q * after.Plan(then.Faults, then.None).Minutes
		bits -= q * entropy(then.Faults[lead])
	}
	return mean, bits
}

// TestPerfectInformationBoundsEveryCheck: nothing that a check says can be worth
// more than knowing everything (Howard 1966, "Information value theory"; from memory).
func TestPerfectInformationBoundsEveryCheck(t *testing.T) {
	for seed := range uint64(200) {
		p := random(t, seed)
		a := advise(t, p, Options{})
		for _, w := range a.Checks {
			for _, saves := range []float64{w.Saves, w.Most, w.Ahead} {
				if saves+w.Minutes > a.Now.Minutes-a.Perfect+1e-9 {
					t.Fatalf("seed %d, check %d: %v minutes saved, knowing everything saves %v", seed, w.Check, saves+w.Minutes, a.Now.Minutes-a.Perfect)
				}
			}
			if w.Ahead < w.Saves {
				t.Fatalf("seed %d, check %d: looking ahead lowers %v to %v", seed, w.Check, w.Saves, w.Ahead)
			}
		}
	}
}

func TestCheckThatTellsNothingSavesNothing(t *testing.T) {
	net, err := belief.New(belief.Model{
		Faults:     []belief.Fault{{Prior: 0.4}, {Prior: 0.3}},
		Conditions: []belief.Condition{{Leaks: []float64{0.1}}},
		Findings: []belief.Finding{
			{Outcomes: []belief.Outcome{{Leak: 0.3}}}, // shows nothing
			{Outcomes: []belief.Outcome{{Leak: 0.3, States: []belief.Shown{{Condition: 0, State: 0, Strength: 0.8}}}}}, // a state that no fault brings about
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	p := &Problem{Net: net, LastResort: 100, Faults: []Fault{{Repair: 10, Settle: -1}, {Repair: 20, Settle: -1}},
		Checks: []Check{{Minutes: 7, Findings: []int{0}}, {Minutes: 5, Findings: []int{1}}, {Minutes: 1}}}
	a := advise(t, p, Options{})
	if len(a.Checks) != 2 {
		t.Fatalf("%d checks: one that decides nothing is not offered", len(a.Checks))
	}
	for _, w := range a.Checks {
		if !(math.Abs(w.Saves+w.Minutes) <= 1e-12) || w.Bits > 1e-12 {
			t.Errorf("check %d: saves %v before its %v minutes, %v bits", w.Check, w.Saves+w.Minutes, w.Minutes, w.Bits)
		}
	}
}

// TestCoarseOutcomesBoundFineOnes: what is not gone through lies between the
// bounds. For the best of all plans that would be exact, since one may always
// act as if one had been told less; a plan that goes by probability over
// minutes with several faults about can be a little off the best.
func TestCoarseOutcomesBoundFineOnes(t *testing.T) {
	strict := 0
	for seed := range uint64(200) {
		p := random(t, seed)
		fine, coarse := advise(t, p, Options{Ahead: -1, Least: -1}), advise(t, p, Options{Ahead: -1, Parts: 3, Cases: 4, Least: 0.01})
		for _, w := range fine.Checks {
			c := coarse.Checks[slices.IndexFunc(coarse.Checks, func(x Worth) bool { return x.Check == w.Check })]
			if off := 0.01 * fine.Now.Minutes; w.Saves < c.Saves-off || w.Saves > c.Most+1e-9 {
				t.Errorf("seed %d, check %d: %v is not within %v..%v", seed, w.Check, w.Saves, c.Saves, c.Most)
			}
			if c.Most > c.Saves+1e-9 {
				strict++
			}
		}
	}
	if strict < 50 {
		t.Fatalf("only %d checks had outcomes that were not gone through", strict)
	}
}

func TestOutcomesAddUp(t *testing.T) {
	for seed := range uint64(50) {
		p := random(t, seed)
		a := advise(t, p, Options{Least: -1})
		for i := range a.Checks {
			w := &a.Checks[i]
			main, err := p.Main(w.Check, 3)
			if err != nil {
				t.Fatal(err)
			}
			var now belief.Posterior
			if err := p.Net.Posterior(p.Evidence, &now); err != nil {
				t.Fatal(err)
			}
			for k, outcomes := range [][]Outcome{w.Outcomes, main} {
				sum, lead := 0.0, 0.0
				for _, o := range outcomes {
					sum += o.Probability
					lead += o.Probability * o.Faults[0]
				}
				want := [][]float64{a.Faults, now.Faults}[k][0]
				if !(math.Abs(sum-1) <= 1e-9) || !(math.Abs(lead-want) <= 1e-9) {
					t.Fatalf("seed %d, check %d: outcomes add up to %v, the posterior after them is %v on the average, not %v", seed, w.Check, sum, lead, want)
				}
			}
		}
	}
}

// TestLookingAheadFindsAPair: neither of two findings alone moves the plan, both
// together do.
func TestLookingAheadFindsAPair(t *testing.T) {
	two := func(strength float64) belief.Outcome {
		return belief.Outcome{Leak: 0.12, Faults: []belief.FromFault{{Fault: 1, Strength: strength}}}
	}
	net, err := belief.New(belief.Model{
		Faults:   []belief.Fault{{Prior: 0.5}, {Prior: 0.14}},
		Findings: []belief.Finding{{Outcomes: []belief.Outcome{two(0.6)}}, {Outcomes: []belief.Outcome{two(0.6)}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	p := &Problem{Net: net, LastResort: 100, Several: 1, Outside: 0.43, Faults: []Fault{{Repair: 10, Settle: -1}, {Repair: 60, Settle: -1}},
		Checks: []Check{{Minutes: 0.5, Findings: []int{0}}, {Minutes: 0.5, Findings: []int{1}}}}
	a := advise(t, p, Options{})
	more := 0
	for _, w := range a.Checks {
		if w.Ahead > w.Saves+0.01 {
			more++
		}
	}
	if more == 0 {
		t.Errorf("looking ahead gains nothing: %+v", a.Checks)
	}
}

func TestProblemIsRefused(t *testing.T) {
	for _, row := range []struct {
		why   string
		spoil func(*Problem)
	}{
		{"a fault too many", func(p *Problem) { p.Faults = append(p.Faults, Fault{}) }},
		{"no network", func(p *Problem) { p.Net = nil }},
		{"a check that does not exist", func(p *Problem) { p.Faults[0].Settle = 99 }},
		{"minutes that are no number", func(p *Problem) { p.Checks[0].Minutes = math.NaN() }},
		{"a repair of negative minutes", func(p *Problem) { p.Faults[0].Repair = -1 }},
		{"a last resort of negative minutes", func(p *Problem) { p.LastResort = -1 }},
		{"a preparation that does not exist", func(p *Problem) { p.Checks[0].Prepare = []int{0} }},
		{"a preparation of negative minutes", func(p *Problem) { p.Preparations = []float64{-1} }},
		{"a finding that has been seen", func(p *Problem) { p.Checks[0].Findings = []int{p.Evidence.Seen[0].Finding} }},
		{"a finding that does not exist", func(p *Problem) { p.Checks[0].Findings = []int{99} }},
		{"a further fault more likely than its prior", func(p *Problem) { p.Several = 2 }},
		{"nothing but outside", func(p *Problem) { p.Outside = 1 }},
		{"wrong evidence", func(p *Problem) { p.Evidence.Acting = []float64{1} }},
	} {
		p := random(t, 1)
		row.spoil(p)
		if _, err := p.Advise(context.Background(), Options{}); err == nil {
			t.Errorf("%s: no error", row.why)
		}
	}
	done, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := random(t, 1).Advise(done, Options{}); err != context.Canceled {
		t.Errorf("a context that is done gives %v", err)
	}
}
