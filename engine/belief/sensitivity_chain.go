package belief

import (
	"slices"
	"sort"
)

// chain takes the derivatives on to the numbers of the model.
func (t *slopes) chain() error {
	for f := range t.s.n.prior {
		d, err := t.prior(f)
		if err != nil {
			return err
		}
		t.out[f] = d
	}
	t.links = make([]float64, len(t.s.n.links))
	for k := range t.links {
		d, err := t.link(k)
		if err != nil {
			return err
		}
		t.links[k] = d
		l := &t.s.m.Links[k]
		leak := t.s.m.Conditions[l.Condition].Leaks[l.State]
		t.out[t.s.links+k] = d * byStrength(leak)
	}
	for state := range t.s.n.leak {
		d, err := t.leak(state)
		if err != nil {
			return err
		}
		t.out[len(t.s.n.prior)+state] = d
	}
	return t.findings()
}

// byStrength is the derivative of a cause's surplus (p-l)/(1-l) by its strength.
func byStrength(leak float64) float64 {
	if leak == 1 {
		return 0 // only 1 can be stated
	}
	return 1 / (1 - leak)
}

// byLeak is the derivative of that surplus by the leak.
func byLeak(strength, leak float64) float64 {
	if leak == 1 {
		return 0
	}
	return -(1 - strength) / ((1 - leak) * (1 - leak))
}

// condition returns the condition of a state.
func (t *slopes) condition(state int32) int {
	return sort.Search(len(t.w.unitOf), func(c int) bool { return t.w.n.first[c+1] > state })
}

// bitOf returns the bit of a state; -1 where it has none, and seen false where
// nothing bears on its condition.
func (t *slopes) bitOf(state int32) (b int32, seen bool) {
	w := t.w
	c := t.condition(state)
	u := w.unitOf[c]
	if u < 0 {
		return -1, false
	}
	x := &w.units[u]
	for b := x.bit; b < x.bit+x.bits; b++ {
		if w.bits[b].state == state-w.n.first[c]+1 {
			return b, true
		}
	}
	return -1, true
}

// arcTo returns the place of a fault's arc to a bit, or -1.
func (t *slopes) arcTo(fault, bit int32) int {
	for k := t.w.from[fault]; k < t.w.from[fault+1]; k++ {
		if t.w.arcs[k].bit == bit {
			return int(k)
		}
	}
	return -1
}

// link returns the derivative by a link's chance to turn its state on when its
// fault is present, before it is known how far the link acts.
func (t *slopes) link(k int) (float64, error) {
	w := t.w
	l := &w.n.links[k]
	acting := 1.0
	if t.e.Acting != nil {
		acting = t.e.Acting[k]
	}
	bit, seen := t.bitOf(l.state)
	if !seen || acting == 0 {
		return 0, nil
	}
	if bit < 0 && t.ruledOut(l.state) {
		_, off := l.acting(int32(k), t.e.Acting)
		if off > 0 {
			return -acting * t.present[l.fault] / off, nil
		}
		n := w.n.copy()
		n.links[k].on, n.links[k].off = 0, 1
		d, err := t.moved(n)
		return -d, err
	}
	if w.weights[l.fault].present.value == 0 {
		return 0, nil
	}
	if bit >= 0 {
		if a := t.arcTo(l.fault, bit); a >= 0 {
			d := t.arcs[a] * acting
			for _, o := range w.n.into.of(l.state) {
				if other := &w.n.links[o]; int(o) != k && other.fault == l.fault {
					_, off := other.acting(o, t.e.Acting)
					d *= off
				}
			}
			return d, nil
		}
	}
	n := w.n.copy()
	n.links[k].on, n.links[k].off = 1, 0
	return t.moved(n)
}

// ruledOut tells whether a condition without bits is known to have no state, so
// that every cause left it off; else nothing could cause its states.
func (t *slopes) ruledOut(state int32) bool {
	w := t.w
	c := t.condition(state)
	u := &w.units[w.unitOf[c]]
	weights := w.value[u.weights:][:w.n.states(int32(c))+1]
	return u.bits == 0 && !slices.ContainsFunc(weights[1:], func(x float64) bool { return x != 0 })
}

// leak returns the derivative by the leak of a state.
func (t *slopes) leak(state int) (float64, error) {
	bit, seen := t.bitOf(int32(state))
	if !seen {
		return 0, nil
	}
	sum := 0.0
	switch {
	case bit >= 0:
		sum = t.own[bit]
	case t.ruledOut(int32(state)):
		sum = -1 / (1 - t.w.n.leak[state])
	default:
		n := t.w.n.copy()
		n.leak[state] = 1
		d, err := t.moved(n)
		if err != nil {
			return 0, err
		}
		sum = d
	}
	for _, k := range t.w.n.into.of(int32(state)) {
		sum += t.links[k] * byLeak(t.s.m.Links[k].Strength, t.w.n.leak[state])
	}
	return sum, nil
}
