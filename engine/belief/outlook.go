package belief

import (
	"fmt"
	"math"
	"slices"
)

// Outlook is what findings that have not been seen will say, given what has
// been: the joint distribution of their outcomes and of every fault. It is a
// mixture of cases, in each of which the findings are independent of each other
// and of all faults: one for each combination of values of the conditions, and of
// presence of the faults, that the findings show. A finding that shows so much
// that this would make more cases than its outcomes is taken by its outcomes instead.
type Outlook struct {
	Findings []int // those it speaks of
	Left     []int // those left out, because they would have needed too many cases
	Cases    []Case
	Lost     float64 // probability of the cases that were passed over
}

// Case is one such combination.
type Case struct {
	Probability float64   // given the evidence
	Faults      []float64 // by fault: P(present | evidence, case)
	None        float64   // P(no fault | evidence, case)
	// Chances has, by finding of the outlook, the probability of each outcome in
	// this case, none of them last.
	Chances [][]float64
}

// LookAhead says how far to look.
type LookAhead struct {
	// Cases is how many there may be, at least 1: findings are taken in their order, and
	// one that would need more is left out.
	Cases int
	// Least is the probability below which cases are passed over; what is passed
	// over adds up in [Outlook.Lost].
	Least float64
	// LogEvidence is that of the posterior for the same evidence, if it is known.
	LogEvidence *float64
}

// Outlook looks ahead at findings. Errors are as for [Network.Posterior], or a
// finding that does not exist, is given twice, or has been seen.
func (n *Network) Outlook(e Evidence, findings []int, far LookAhead) (*Outlook, error) {
	if err := n.checkAhead(&e, findings); err != nil {
		return nil, err
	}
	o := &Outlook{}
	var parents ahead
	o.Findings, o.Left, parents = n.arrangeAhead(findings, max(1, far.Cases))
	l := looker{n: n, o: o, e: e, parents: parents, isIn: make([]bool, len(n.prior)), values: make([]int, len(n.first)-1), says: map[int]int{}}
	bare := len(parents.conditions)+len(parents.faults)+len(parents.findings) == 0
	if far.LogEvidence != nil && !bare {
		l.log = *far.LogEvidence
	} else if err := n.Posterior(e, &l.found); err != nil {
		return nil, err
	} else {
		l.log = l.found.LogEvidence
	}
	l.least = far.Least
	l.levels = len(parents.conditions) + len(parents.faults) + len(parents.findings)
	l.e.Conditions, l.e.Faults = slices.Clone(e.Conditions), slices.Clone(e.Faults)
	if bare {
		l.add()
		return o, nil
	}
	return o, l.conditions(0)
}

func (n *Network) checkAhead(e *Evidence, findings []int) error {
	for i, f := range findings {
		switch {
		case f < 0 || f >= len(n.findings):
			return fmt.Errorf("outlook: there is no finding %d, only %d", f, len(n.findings))
		case slices.Contains(findings[:i], f):
			return fmt.Errorf("outlook: finding %d is given twice", f)
		case slices.ContainsFunc(e.Seen, func(s Seen) bool { return s.Finding == f }):
			return fmt.Errorf("outlook: finding %d has been seen", f)
		}
	}
	return nil
}

// ahead is what the cases combine: what findings show, and findings themselves.
type ahead struct {
	conditions, faults []int32
	findings           []int
}

// arrangeAhead decides which findings to take by what they show and which by
// their outcomes, so that the cases are few, and leaves out the last findings
// that make them too many.
func (n *Network) arrangeAhead(findings []int, most int) (taken, left []int, of ahead) {
	for _, f := range findings {
		with := append(taken[:len(taken):len(taken)], f)
		best := n.fewest(with)
		if n.combinations(&best) > most {
			left = append(left, f)
			continue
		}
		taken, of = with, best
	}
	return taken, left, of
}

// fewest starts with every finding taken by what it shows, and takes by its
// outcomes the one with which that saves most, until none does.
func (n *Network) fewest(findings []int) ahead {
	itself := make([]bool, len(findings))
	best := n.ahead(findings, itself)
	for {
		least, at := n.combinations(&best), -1
		for k := range findings {
			if itself[k] {
				continue
			}
			itself[k] = true
			if a := n.ahead(findings, itself); n.combinations(&a) < least {
				least, best, at = n.combinations(&a), a, k
			}
			itself[k] = false
		}
		if at < 0 {
			return best
		}
		itself[at] = true
	}
}

func (n *Network) ahead(findings []int, itself []bool) ahead {
	var out ahead
	for k, f := range findings {
		if itself[k] {
			out.findings = append(out.findings, f)
			continue
		}
		x := &n.findings[f]
		for i := range x.shown {
			out.conditions = append(out.conditions, x.shown[i].condition)
		}
		if x.shownBy >= 0 {
			out.conditions = append(out.conditions, x.shownBy)
		}
		for i := range x.faults {
			out.faults = append(out.faults, x.faults[i].fault)
		}
	}
	out.conditions, out.faults = union(out.conditions, nil), union(out.faults, nil)
	return out
}

func (n *Network) combinations(a *ahead) int {
	many := 1
	for _, c := range a.conditions {
		many = min(many*(n.states(c)+1), math.MaxInt32)
	}
	for range a.faults {
		many = min(2*many, math.MaxInt32)
	}
	for _, f := range a.findings {
		many = min(many*(n.findings[f].outcomes+1), math.MaxInt32)
	}
	return many
}
