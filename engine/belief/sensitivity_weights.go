package belief

import "math"

// chanceOf returns the probability of a condition's value given the evidence.
func (t *slopes) chanceOf(condition int32, value int) float64 {
	at := t.place(condition, value)
	if at < 0 {
		return 0
	}
	return t.values[at] * t.w.value[at]
}

// place returns where a value of a condition stands in work.value, or -1 where
// it can never be.
func (t *slopes) place(condition int32, value int) int {
	u := &t.w.units[t.w.unitOf[condition]]
	if value == 0 {
		return int(u.weights)
	}
	for b := u.bit; b < u.bit+u.bits; b++ {
		if int(t.w.bits[b].state) == value {
			return int(u.weights + b - u.bit + 1)
		}
	}
	return -1
}

// byWeight returns the derivative by the weight that a seen finding gives to a
// value of the one condition that it shows.
func (t *slopes) byWeight(i int, condition int32, value int, weight float64) (float64, error) {
	if weight > 0 {
		return t.chanceOf(condition, value) / weight, nil
	}
	// The value is ruled out by this finding: ask what it would be without it.
	rest := t.without(i)
	n := t.s.n
	states := make([]float64, n.states(condition))
	if err := n.stateOf(&rest, condition, states); err != nil {
		return 0, err
	}
	p := 1.0
	if value > 0 {
		p = states[value-1]
	} else {
		for _, q := range states {
			p -= q
		}
	}
	return t.relative(&rest, max(0, p))
}

// without is the evidence less one seen finding.
func (t *slopes) without(i int) Evidence {
	rest := *t.e
	rest.Seen = append(append([]Seen(nil), t.e.Seen[:i]...), t.e.Seen[i+1:]...)
	return rest
}

// relative returns p P(rest)/P(evidence).
func (t *slopes) relative(rest *Evidence, p float64) (float64, error) {
	w := t.s.n.take()
	defer t.s.n.scratch.Put(w)
	if err := w.predict(rest, false); err != nil {
		return 0, err
	}
	return p * math.Exp(w.logEvidence()-t.log), nil
}
