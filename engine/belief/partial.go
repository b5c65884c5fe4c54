package belief

import "slices"

// tooWide says what is open at once where the plan is widest.
func (w *work) tooWide() *TooWideError {
	e := &TooWideError{Live: w.plan.live, Limit: MaxLive}
	for _, slot := range w.plan.wide {
		unit := ^slot
		if slot >= 0 {
			unit = w.bits[slot].unit
		}
		if c := w.units[unit].condition; c >= 0 {
			e.Conditions = append(e.Conditions, int(c))
		} else {
			e.Findings = append(e.Findings, int(w.units[unit].finding))
		}
	}
	slices.Sort(e.Conditions)
	e.Conditions = slices.Compact(e.Conditions)
	w.bearing(e)
	return e
}

// bearing adds to the findings of an error those seen that show an open condition.
func (w *work) bearing(e *TooWideError) {
	isOpen := func(c int32) bool {
		_, found := slices.BinarySearch(e.Conditions, int(c))
		return found
	}
	for _, s := range w.told {
		f := &w.n.findings[s.Finding]
		tells := slices.Min(s.Likelihood) < slices.Max(s.Likelihood)
		shows := f.shownBy >= 0 && isOpen(f.shownBy) || slices.ContainsFunc(f.shown, func(x shown) bool { return isOpen(x.condition) })
		if tells && shows {
			e.Findings = append(e.Findings, s.Finding)
		}
	}
	slices.Sort(e.Findings)
	e.Findings = slices.Compact(e.Findings)
}

// Partial is what is exact where the posterior as a whole takes too much. Given
// the evidence, the conditions and faults fall into parts that have nothing to do
// with each other, and a part that is not too wide by itself has its exact answer.
type Partial struct {
	Known  []bool    // by fault
	Faults []float64 // by fault that is known: P(present | evidence)
}

// Partial works out what is exact although [Network.Posterior] returns a
// *TooWideError; where it does not, that is everything. Errors are ErrImpossible,
// ErrStopped, or what is wrong with the evidence.
func (n *Network) Partial(e Evidence) (*Partial, error) {
	w := n.take()
	defer n.scratch.Put(w)
	if err := w.checkEvidence(&e); err != nil {
		return nil, err
	}
	if err := w.reduce(&e, -1); err != nil {
		return nil, err
	}
	parts := w.parts()
	whole := w.wholeProblem()
	keep := make([]bool, len(w.units)) // by part, which is named after a unit
	var sequence []int32               // of faults
	for u := range w.units {
		if int(parts[u]) != u {
			continue
		}
		w.restrict(&whole, func(v int32) bool { return parts[v] == int32(u) })
		w.arrange()
		w.plan.lay(w)
		if w.stopped() {
			return nil, ErrStopped
		}
		if keep[u] = w.plan.live <= MaxLive; keep[u] {
			for _, m := range w.order.sequence {
				sequence = append(sequence, w.movers[m])
			}
		}
	}
	kept := func(v int32) bool { return keep[parts[v]] }
	w.restrict(&whole, kept)
	for u := range w.units {
		if !kept(int32(u)) { // what is left out weighs the same whatever it is
			for v := range w.weightsOf(int32(u)) {
				w.weightsOf(int32(u))[v] = 1
			}
		}
	}
	w.movers = append(w.movers[:0], sequence...)
	w.order.sequence = w.order.sequence[:0]
	for m := range w.movers {
		w.order.sequence = append(w.order.sequence, int32(m)) // one part after the other
	}
	w.plan.lay(w)
	p := &Partial{Known: make([]bool, len(n.prior)), Faults: make([]float64, len(n.prior))}
	if w.plan.live > MaxLive {
		return p, nil
	}
	if err := w.forward(); err != nil {
		return nil, err
	}
	if err := w.backward(false); err != nil {
		return nil, err
	}
	for f := range p.Known {
		p.Known[f] = !slices.ContainsFunc(w.arcsOf(int32(f)), func(a entry) bool { return !kept(w.bits[a.bit].unit) })
		if p.Known[f] {
			p.Faults[f], _ = w.fault(f)
		}
	}
	return p, nil
}

// parts returns, by unit, the first unit of its part: units that a mover touches
// or a joint couples belong to one.
func (w *work) parts() []int32 {
	first := make([]int32, len(w.units))
	for u := range first {
		first[u] = int32(u)
	}
	var find func(u int32) int32
	find = func(u int32) int32 {
		if first[u] != u {
			first[u] = find(first[u])
		}
		return first[u]
	}
	tie := func(u, v int32) {
		u, v = find(u), find(v)
		first[max(u, v)] = min(u, v)
	}
	for _, f := range w.movers {
		arcs := w.arcsOf(f)
		for i := range arcs {
			tie(w.bits[arcs[0].bit].unit, w.bits[arcs[i].bit].unit)
		}
	}
	for j := range w.joints {
		members := w.membersOf(&w.joints[j])
		for _, u := range members {
			tie(members[0], u)
		}
	}
	for u := range first {
		first[u] = find(int32(u))
	}
	return first
}

// problem is what restrict takes parts of.
type problem struct {
	movers []int32
	joints []joint
}

func (w *work) wholeProblem() problem {
	return problem{slices.Clone(w.movers), slices.Clone(w.joints)}
}

// restrict leaves of the problem what belongs to some units; the others are then
// touched by nothing.
func (w *work) restrict(whole *problem, of func(unit int32) bool) {
	w.movers, w.joints = w.movers[:0], w.joints[:0]
	for i := range w.bits {
		w.bits[i].movers = 0
	}
	for _, f := range whole.movers {
		arcs := w.arcsOf(f)
		if !of(w.bits[arcs[0].bit].unit) {
			continue
		}
		w.movers = append(w.movers, f)
		for i := range arcs {
			w.bits[arcs[i].bit].movers++
		}
	}
	for _, j := range whole.joints {
		if of(w.members[j.first]) {
			w.joints = append(w.joints, j)
		}
	}
}
