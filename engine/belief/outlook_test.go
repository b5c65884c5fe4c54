package belief

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestOutlookIsThatOfEnumeration compares the mixture of the cases with the
// probability of each joint outcome, and with the posteriors after it, that
// literal enumeration gives once the outcome is entered as evidence.
func TestOutlookIsThatOfEnumeration(t *testing.T) {
	compared := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 77))
		s := shape{faults: 4, conditions: 2, states: 2, links: 7, findings: 5, seen: 2, odd: seed%2 == 1}
		m, e := s.random(r)
		total := newBrute(m, e).total
		if total == 0 {
			continue
		}
		var open []int
		for f := range m.Findings {
			if f != e.Seen[0].Finding && f != e.Seen[1].Finding {
				open = append(open, f)
			}
		}
		o, err := must(t, m).Outlook(e, open, LookAhead{Cases: 1 << 10})
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, c := range o.Cases {
			sum += c.Probability
		}
		if !(math.Abs(sum-1) <= 1e-12) {
			t.Errorf("seed %d: the cases add up to %v", seed, sum)
		}
		outcome := make([]int, len(open))
		for more := true; more; more = next(outcome, m, open) {
			p, faults, none := o.after(outcome)
			with := e
			with.Seen = append(e.Seen[:2:2], sure(m, open, outcome)...)
			b := newBrute(m, with)
			if !(math.Abs(p-b.total/total) <= 1e-12) {
				t.Fatalf("seed %d, outcome %v: %v, enumeration %v", seed, outcome, p, b.total/total)
			}
			if b.total/total < 1e-9 {
				continue
			}
			compared++
			for f := range faults {
				if want := b.fault[f] / b.total; !(math.Abs(faults[f]/p-want) <= 1e-9) {
					t.Fatalf("seed %d, outcome %v, fault %d: %v, enumeration %v", seed, outcome, f, faults[f]/p, want)
				}
			}
			if want := b.exact[0] / b.total; !(math.Abs(none/p-want) <= 1e-9) {
				t.Fatalf("seed %d, outcome %v: none %v, enumeration %v", seed, outcome, none/p, want)
			}
		}
	}
	if compared < 1000 {
		t.Fatalf("only %d outcomes compared", compared)
	}
}

// after adds the cases up: the probability of the joint outcome, and that of it
// together with each fault and with none.
func (o *Outlook) after(outcome []int) (p float64, faults []float64, none float64) {
	faults = make([]float64, len(o.Cases[0].Faults))
	for _, c := range o.Cases {
		q := c.Probability
		for k, j := range outcome {
			q *= c.Chances[k][j]
		}
		p += q
		none += q * c.None
		for f := range faults {
			faults[f] += q * c.Faults[f]
		}
	}
	return p, faults, none
}

// next counts outcome up, and tells whether there was one more.
func next(outcome []int, m Model, findings []int) bool {
	for k := range outcome {
		if outcome[k]++; outcome[k] <= len(m.Findings[findings[k]].Outcomes) {
			return true
		}
		outcome[k] = 0
	}
	return false
}

func sure(m Model, findings, outcome []int) []Seen {
	var out []Seen
	for k, f := range findings {
		l := make([]float64, len(m.Findings[f].Outcomes)+1)
		l[outcome[k]] = 1
		out = append(out, Seen{f, l})
	}
	return out
}

func TestOutlookLeavesOutWhatNeedsTooManyCases(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	m, e := shape{faults: 6, conditions: 4, states: 2, links: 12, findings: 8}.random(r)
	n := must(t, m)
	all := identity(len(m.Findings))
	o, err := n.Outlook(e, all, LookAhead{Cases: 4})
	if err != nil {
		t.Fatal(err)
	}
	if len(o.Cases) > 4 || len(o.Left) == 0 || len(o.Findings)+len(o.Left) != len(all) {
		t.Errorf("%d cases for %v, left %v", len(o.Cases), o.Findings, o.Left)
	}
	for _, c := range o.Cases {
		if len(c.Chances) != len(o.Findings) {
			t.Errorf("chances of %d findings, not %d", len(c.Chances), len(o.Findings))
		}
	}
}

func TestOutlookRefuses(t *testing.T) {
	m, _ := shape{faults: 2, conditions: 1, states: 1, links: 2, findings: 2}.random(rand.New(rand.NewPCG(1, 1)))
	n := must(t, m)
	for _, row := range []struct {
		why      string
		e        Evidence
		findings []int
	}{
		{"no such finding", Evidence{}, []int{2}},
		{"twice", Evidence{}, []int{0, 0}},
		{"seen", Evidence{Seen: sure(m, []int{1}, []int{0})}, []int{1}},
		{"wrong evidence", Evidence{Acting: []float64{3}}, []int{0}},
	} {
		if _, err := n.Outlook(row.e, row.findings, LookAhead{Cases: 8}); err == nil {
			t.Errorf("%s: no error", row.why)
		}
	}
}

// TestOutlookPassesOverTheImprobable: what is passed over is said, and what is kept is as
// it is without passing over anything.
func TestOutlookPassesOverTheImprobable(t *testing.T) {
	lost := 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 91))
		m, e := shape{faults: 6, conditions: 4, states: 2, links: 12, findings: 9, seen: 2, odd: seed%2 == 1}.random(r)
		var open []int
		for f := range m.Findings {
			if f != e.Seen[0].Finding && f != e.Seen[1].Finding {
				open = append(open, f)
			}
		}
		n := must(t, m)
		var now Posterior
		if n.Posterior(e, &now) != nil {
			continue
		}
		all, err := n.Outlook(e, open, LookAhead{Cases: 1 << 10})
		if err != nil {
			t.Fatal(err)
		}
		some, err := n.Outlook(e, open, LookAhead{Cases: 1 << 10, Least: 0.02, LogEvidence: &now.LogEvidence})
		if err != nil {
			t.Fatal(err)
		}
		sum := some.Lost
		for _, c := range some.Cases {
			sum += c.Probability
		}
		if !(math.Abs(sum-1) <= 1e-9) {
			t.Errorf("seed %d: cases and what is lost add up to %v", seed, sum)
		}
		if len(some.Cases) < len(all.Cases) {
			lost++
		}
		for _, c := range some.Cases {
			found := false
			for _, x := range all.Cases {
				found = found || math.Abs(c.Probability-x.Probability) < 1e-12 && math.Abs(c.None-x.None) < 1e-12
			}
			if !found {
				t.Errorf("seed %d: a case of probability %v is none of all", seed, c.Probability)
			}
		}
	}
	if lost < 20 {
		t.Fatalf("only %d outlooks passed anything over", lost)
	}
}
