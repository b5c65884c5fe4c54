package advice

import (
	"math"
	"slices"
	"testing"

	"culprit/engine/belief"
)

// TestAheadIsThatOfEnumeration makes the first check, enters every joint outcome of
// it as evidence, and has every second check weighed by enumeration of its outcomes.
// Only checks of one or two findings are compared, since more are divided coarsely.
// The second is weighed with few combinations of conditions, so that the sum can be
// too small, in some checks in a hundred; it is too large nowhere, but for what
// combinations of less than 1 in 1000 are worth.
func TestAheadIsThatOfEnumeration(t *testing.T) {
	compared, less, further := 0, 0, 0
	for seed := range uint64(40) {
		p := random(t, seed)
		p.Preparations = []float64{6}
		for k := range p.Checks {
			if k%2 == 0 { // some share a preparation, which is made once
				p.Checks[k].Prepare = []int{0}
			}
		}
		a := advise(t, p, Options{Ahead: 99, Least: -1})
		for _, w := range a.Checks {
			if len(p.Checks[w.Check].Findings) > 2 {
				continue
			}
			want := max(w.Saves, a.Now.Minutes-twoChecks(t, p, w.Check)-w.Minutes)
			if by := 0.002 * a.Now.Minutes; w.Ahead > want+by {
				t.Errorf("seed %d, check %d: %v with what follows it, enumeration %v", seed, w.Check, w.Ahead, want)
			} else if w.Ahead < want-by {
				less++
			}
			compared++
			if want > w.Saves+0.01*a.Now.Minutes {
				further++
			}
		}
	}
	if compared < 60 || further < 20 || less > compared/20 {
		t.Errorf("%d compared, %d of them too small, %d that gain by a second check", compared, less, further)
	}
}

// twoChecks is the expected cost of repairing after a check and the one that is worth
// most after it, where any is.
func twoChecks(t *testing.T, p *Problem, first int) float64 {
	t.Helper()
	var now, then belief.Posterior
	if err := p.Net.Posterior(p.Evidence, &now); err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	findings := p.Checks[first].Findings
	for outcome := range 1 << len(findings) {
		after := *p
		after.Preparations = slices.Clone(p.Preparations)
		after.Checks = slices.Clone(p.Checks)
		after.Checks[first].Made = true
		after.Evidence.Seen = slices.Clone(p.Evidence.Seen)
		for k, f := range findings {
			after.Evidence.Seen = append(after.Evidence.Seen, p.Net.Sure(f, outcome>>k&1))
		}
		if err := p.Net.Posterior(after.Evidence, &then); err != nil {
			t.Fatal(err)
		}
		plain := after.Plan(then.Faults, then.None).Minutes // without a second check nothing stays prepared in the sum of one check
		ready := after
		ready.Preparations = slices.Clone(p.Preparations)
		for _, k := range p.Checks[first].Prepare {
			ready.Preparations[k] = 0
		}
		prepared := ready.Plan(then.Faults, then.None).Minutes
		saves := 0.0
		for second := range ready.Checks {
			if second == first {
				continue
			}
			mean, _ := enumerate(t, &ready, second)
			saves = max(saves, prepared-mean-ready.minutes(second))
		}
		sum += math.Exp(then.LogEvidence-now.LogEvidence) * (plain - saves)
	}
	return sum
}

// TestPassedOverCountsAsToldNothing works out by hand what a check saves of which
// much is passed over: the cases that were gone through save what they save, the
// others nothing, and no more is ever saved than by knowing everything (Howard
// 1966, "Information value theory"; from memory).
func TestPassedOverCountsAsToldNothing(t *testing.T) {
	passed := 0
	for seed := range uint64(100) {
		p := random(t, seed)
		a := advise(t, p, Options{Ahead: -1, Least: 0.2})
		for _, w := range a.Checks {
			look, err := p.Net.Outlook(p.Evidence, p.Checks[w.Check].Findings, belief.LookAhead{Cases: defaultCases, Least: 0.2})
			if err != nil {
				t.Fatal(err)
			}
			if w.Most < w.Saves || w.Saves+w.Minutes > a.Now.Minutes-a.Perfect+1e-9 {
				t.Errorf("seed %d, check %d: %v..%v minutes saved of %v at most", seed, w.Check, w.Saves, w.Most, a.Now.Minutes-a.Perfect-w.Minutes)
			}
			if look.Lost < 0.05 || look.Lost > 0.95 {
				continue
			}
			passed++
			// What the cases that were gone through cost, told by their findings.
			cost := 0.0
			for _, o := range w.Outcomes {
				cost += o.Probability * o.Minutes
			}
			want := min((1-look.Lost)*(a.Now.Minutes-cost), a.Now.Minutes-a.Perfect) - w.Minutes
			if !(math.Abs(w.Saves-want) <= 1e-9*(1+math.Abs(want))) {
				t.Errorf("seed %d, check %d: saves %v with %v passed over, by hand %v", seed, w.Check, w.Saves, look.Lost, want)
			}
		}
	}
	if passed < 20 {
		t.Errorf("only %d checks of which something was passed over", passed)
	}
}

// TestPerfectInformationByHand: knowing what is wrong costs the repair, the last
// resort where there is none or that is less, and the last resort for what lies
// outside.
func TestPerfectInformationByHand(t *testing.T) {
	p := bareProblem(t, []float64{5, 5, 5}, []float64{40, 0, 300}, 100)
	p.Faults[1].NoRepair = true
	l := newPlanner(p)
	if got, want := l.perfect([]float64{.5, .2, .1}, .2, 1e6), .5*40+.2*100+.1*100+.2*100; !(math.Abs(got-want) <= 1e-12) {
		t.Errorf("%v minutes, by hand %v", got, want)
	}
	if got := l.perfect([]float64{.5, .2, .1}, .2, 50); got != 50 {
		t.Errorf("%v minutes, where a plan takes 50", got)
	}
}

// TestDividesByWhatTellsMost: of two findings of a check, one that hangs on nothing
// and one that shows the fault, a division in two is by the second.
func TestDividesByWhatTellsMost(t *testing.T) {
	for _, telling := range []int{0, 1} {
		m := belief.Model{Faults: faultsOf(0.4), Findings: make([]belief.Finding, 2)}
		m.Findings[telling] = belief.Finding{Outcomes: []belief.Outcome{{Leak: 0.05, Faults: []belief.FromFault{{Fault: 0, Strength: 0.95}}}}}
		m.Findings[1-telling] = belief.Finding{Outcomes: []belief.Outcome{{Leak: 0.5}}}
		net, err := belief.New(m)
		if err != nil {
			t.Fatal(err)
		}
		p := &Problem{Net: net, LastResort: 100, Faults: []Fault{{Repair: 10, Settle: -1}}, Checks: []Check{{Minutes: 1, Findings: []int{0, 1}}}}
		main, err := p.Main(0, 2)
		if err != nil {
			t.Fatal(err)
		}
		if len(main) != 2 || len(main[0].Results) != 1 || main[0].Results[0].Finding != telling {
			t.Errorf("finding %d tells: %+v", telling, main)
		}
	}
}

func faultsOf(priors ...float64) (out []belief.Fault) {
	for _, x := range priors {
		out = append(out, belief.Fault{Prior: x})
	}
	return out
}
