package belief

import (
	"errors"
	"math"
	"slices"
)

// looker goes through the combinations.
type looker struct {
	n       *Network
	o       *Outlook
	e       Evidence // with the part of the combination that is settled
	parents ahead
	log     float64 // ln P(evidence)
	least   float64
	levels  int // parts of a combination
	settled int // of them
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
		if err := l.deeper(func() error { return l.conditions(k + 1) }); err != nil {
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
		if err := l.deeper(func() error { return l.faults(k + 1) }); err != nil {
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
		if err := l.deeper(func() error { return l.findings(k + 1) }); err != nil {
			return err
		}
	}
	return nil
}

// deeper goes on with one more part of the combination settled, unless what is
// settled is too improbable.
func (l *looker) deeper(on func() error) error {
	l.settled++
	defer func() { l.settled-- }()
	if l.least == 0 || l.settled >= l.levels-1 {
		return on() // asking first would cost as much as it can save
	}
	w := l.n.take()
	log, err := w.logOf(&l.e)
	l.n.scratch.Put(w)
	if errors.Is(err, ErrImpossible) {
		return nil
	}
	if err != nil {
		return err
	}
	if p := math.Exp(log - l.log); p < l.least {
		l.o.Lost += p
		return nil
	}
	return on()
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
