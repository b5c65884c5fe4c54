package belief

import "slices"

// States returns, by condition and state, the probability that the state is
// the condition's value given the evidence, for all conditions; what is missing
// to 1 is the probability that no state is caused. Errors are as for Posterior.
func (n *Network) States(e Evidence) ([][]float64, error) {
	w := n.take()
	defer n.scratch.Put(w)
	if err := w.checkEvidence(&e); err != nil {
		return nil, err
	}
	if err := w.solve(&e, true); err != nil {
		return nil, err
	}
	out := make([][]float64, len(n.first)-1)
	for c := range out {
		out[c] = make([]float64, n.states(int32(c)))
		if u := w.unitOf[c]; u >= 0 {
			if err := w.readStates(u, out[c]); err != nil {
				return nil, err
			}
		} else if err := n.unseen(&e, w.evidence(), w.loss, int32(c), out[c]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// mostChoices is how many states a condition that no evidence bears on may have for unseen to
// ask for each set of them.
const mostChoices = 3

// unseen answers for a condition that no evidence bears on, given P(evidence) and what it
// has lost: by the sets of its states, or by the passes where these would not keep enough digits.
func (n *Network) unseen(e *Evidence, all scale, loss float64, condition int32, out []float64) error {
	found, err := n.bySets(e, all, loss, condition, out)
	if err != nil || found {
		return err
	}
	return n.stateOf(e, condition, out)
}

// bySets reports whether it found the states of a condition that no evidence bears on. That
// none of a set of its states is caused has the probability of the evidence with each fault's
// presence weighed by how often it leaves them alone; from those of all sets follows how often
// just these are caused, by inclusion and exclusion.
func (n *Network) bySets(e *Evidence, all scale, loss float64, condition int32, out []float64) (found bool, err error) {
	var states []int32
	for s := n.first[condition]; s < n.first[condition+1]; s++ {
		if n.canArise(s, e.Acting) {
			states = append(states, s)
		}
	}
	if len(states) > mostChoices {
		return false, nil
	}
	var off [1 << mostChoices]float64 // by set of states: none of them is caused
	off[0] = 1
	whole := 1<<len(states) - 1
	for set := 1; set <= whole; set++ {
		p, lost, err := n.leftAlone(e, states, set)
		if err != nil && err != ErrImpossible {
			return false, err
		}
		if err == nil {
			off[set] = min(1, p.over(all))
		}
		loss = max(loss, lost)
	}
	for k, s := range states {
		sum, size := 0.0, 0.0
		for set := range whole + 1 {
			if set>>k&1 == 0 {
				continue
			}
			for more := range set + 1 {
				if more&^set != 0 {
					continue
				}
				x := off[whole&^set|more] / float64(onesCount(set))
				size += x
				if onesCount(more)%2 == 1 {
					x = -x
				}
				sum += x
			}
		}
		if !(sum*mostValueLoss >= size*loss) {
			return false, nil
		}
		out[s-n.first[condition]] = sum
	}
	return true, nil
}

// canArise reports whether anything could cause a state.
func (n *Network) canArise(state int32, acting []float64) bool {
	if n.leak[state] > 0 {
		return true
	}
	for _, k := range n.into.of(state) {
		if on, _ := n.links[k].acting(k, acting); on > 0 {
			return true
		}
	}
	return false
}

// leftAlone returns P(no state of a set is caused, evidence), and by how much it may have cancelled.
func (n *Network) leftAlone(e *Evidence, states []int32, set int) (p scale, loss float64, err error) {
	with := *e
	with.Faults = slices.Clip(e.Faults)
	alone := scale{value: 1}
	for i, s := range states {
		if set>>i&1 == 0 {
			continue
		}
		alone.times(1 - n.leak[s])
		for _, k := range n.into.of(s) {
			_, off := n.links[k].acting(k, e.Acting)
			with.Faults = append(with.Faults, KnownFault{Fault: int(n.links[k].fault), Present: off, Absent: 1})
		}
	}
	w := n.take()
	defer n.scratch.Put(w)
	if err := w.predict(&with, true); err != nil {
		return p, 1, err
	}
	p = w.evidence()
	p.times(alone.value)
	p.shift += alone.shift
	return p, w.loss, nil
}

// stateOf answers for a condition that no evidence bears on by the passes, with it kept live:
// they never subtract.
func (n *Network) stateOf(e *Evidence, condition int32, out []float64) error {
	w := n.take()
	defer n.scratch.Put(w)
	if err := w.reduce(e, condition); err != nil {
		return err
	}
	if err := w.lay(); err != nil {
		return err
	}
	if err := w.backward(true); err != nil {
		return err
	}
	return w.readStates(w.unitOf[condition], out)
}

// readStates leaves in out how probable the states of a unit's condition are. It returns
// ErrImpossible where nothing is left of the sums of all its values.
func (w *work) readStates(unit int32, out []float64) error {
	u := &w.units[unit]
	sums := w.run.byValue[u.weights:][:u.values]
	all := total(sums)
	if !(all > 0) {
		return ErrImpossible
	}
	for v := int32(1); v < u.values; v++ {
		out[w.bits[u.bit+v-1].state-1] = sums[v] / all
	}
	return nil
}
