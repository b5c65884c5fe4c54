package belief

import (
	"errors"
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

// Outlook looks ahead at findings, at most so many cases wide (at least 1): it
// takes the findings in their order and leaves out one that would need more.
// Errors are as for [Network.Posterior], or a finding that does not exist, is
// given twice, or has been seen.
func (n *Network) Outlook(e Evidence, findings []int, most int) (*Outlook, error) {
	if err := n.checkAhead(&e, findings); err != nil {
		return nil, err
	}
	o := &Outlook{}
	var parents ahead
	o.Findings, o.Left, parents = n.arrangeAhead(findings, max(1, most))
	l := looker{n: n, o: o, e: e, parents: parents, isIn: make([]bool, len(n.prior)), values: make([]int, len(n.first)-1), says: map[int]int{}}
	if err := n.Posterior(e, &l.found); err != nil {
		return nil, err
	}
	l.log = l.found.LogEvidence
	l.e.Conditions, l.e.Faults = slices.Clone(e.Conditions), slices.Clone(e.Faults)
	if len(parents.conditions)+len(parents.faults)+len(parents.findings) == 0 {
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

// looker goes through the combinations.
type looker struct {
	n       *Network
	o       *Outlook
	e       Evidence // with the part of the combination that is settled
	parents ahead
	log     float64 // ln P(evidence)
	// The combination at hand: by fault, by condition, and by finding that is
	// taken by its outcomes.
	isIn   []bool
	values []int
	says   map[int]int
	found  Posterior
}

// conditions goes through the values of the conditions from k on.
func (l *looker) conditions(k int) error {
	if k == len(l.parents.conditions) {
		return l.faults(0)
	}
	c := l.parents.conditions[k]
	before := l.e.Conditions
	defer func() { l.e.Conditions = before }()
	rest, known := before, KnownCondition{Condition: int(c)}
	if i := slices.IndexFunc(before, func(k KnownCondition) bool { return k.Condition == int(c) }); i >= 0 {
		known = before[i]
		rest = slices.Delete(slices.Clone(before), i, i+1)
	}
	for v := range l.n.states(c) + 1 {
		only := make([]float64, l.n.states(c)+1)
		only[v] = 1
		if known.Likelihood != nil {
			only[v] = known.Likelihood[v]
		}
		if only[v] == 0 {
			continue
		}
		l.values[c] = v
		l.e.Conditions = append(rest[:len(rest):len(rest)], KnownCondition{int(c), only})
		if err := l.conditions(k + 1); err != nil {
			return err
		}
	}
	return nil
}

// faults goes through the presence and absence of the faults from k on.
func (l *looker) faults(k int) error {
	if k == len(l.parents.faults) {
		return l.findings(0)
	}
	f := l.parents.faults[k]
	before := l.e.Faults
	defer func() { l.e.Faults = before }()
	rest, known := before, KnownFault{Fault: int(f), Present: 1, Absent: 1}
	if i := slices.IndexFunc(before, func(k KnownFault) bool { return k.Fault == int(f) }); i >= 0 {
		known = before[i]
		rest = slices.Delete(slices.Clone(before), i, i+1)
	}
	for _, only := range []KnownFault{{int(f), known.Present, 0}, {int(f), 0, known.Absent}} {
		if only.Present == 0 && only.Absent == 0 {
			continue
		}
		l.isIn[f] = only.Present > 0
		l.e.Faults = append(rest[:len(rest):len(rest)], only)
		if err := l.faults(k + 1); err != nil {
			return err
		}
	}
	l.isIn[f] = false
	return nil
}

// findings goes through the outcomes of the findings from k on.
func (l *looker) findings(k int) error {
	if k == len(l.parents.findings) {
		return l.query()
	}
	f := l.parents.findings[k]
	before := l.e.Seen
	defer func() { l.e.Seen = before }()
	for j := range l.n.findings[f].outcomes + 1 {
		l.says[f] = j
		l.e.Seen = append(before[:len(before):len(before)], l.n.Sure(f, j))
		if err := l.findings(k + 1); err != nil {
			return err
		}
	}
	return nil
}

// query asks for the combination at hand, unless it is impossible.
func (l *looker) query() error {
	err := l.n.Posterior(l.e, &l.found)
	if errors.Is(err, ErrImpossible) {
		return nil
	}
	if err == nil {
		l.add()
	}
	return err
}

func (l *looker) add() {
	c := Case{Probability: min(1, math.Exp(l.found.LogEvidence-l.log)), Faults: slices.Clone(l.found.Faults), None: l.found.None}
	for _, f := range l.o.Findings {
		if j, ok := l.says[f]; ok {
			c.Chances = append(c.Chances, l.n.Sure(f, j).Likelihood)
		} else {
			c.Chances = append(c.Chances, l.n.findings[f].inCase(l.values, l.isIn))
		}
	}
	l.o.Cases = append(l.o.Cases, c)
}

// inCase returns the chances of a finding's outcomes, none of them last, where
// everything that it shows is known.
func (f *finding) inCase(values []int, isIn []bool) []float64 {
	if f.outcomes > 1 {
		v := 0
		if f.shownBy >= 0 {
			v = values[f.shownBy]
		}
		return slices.Clone(f.chances[v])
	}
	q, off := f.leak, 1-f.leak
	acted := false
	for i := range f.shown {
		if v := values[f.shown[i].condition]; v > 0 {
			q, off = f.shown[i].add(int32(v), q, off, !acted)
			acted = true
		}
	}
	if q, off = f.withFaults(isIn, q, off); off > 1 {
		q, off = 0, 1
	}
	return []float64{q, off}
}

// Sure is the evidence that a finding has certainly this outcome, none of them
// being the last. Both must exist.
func (n *Network) Sure(finding, outcome int) Seen {
	l := make([]float64, n.findings[finding].outcomes+1)
	l[outcome] = 1
	return Seen{finding, l}
}
