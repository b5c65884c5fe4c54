package belief

import "math/big"

// exact answers by enumeration over all sets of faults and all values of conditions, in
// numbers of 320 bits and any exponent, straight from the definition in the package
// comment. It shares no code with the package but the model's types.
type exact struct {
	m Model
	e Evidence

	total           *big.Float   // P(evidence)
	present, absent []*big.Float // by fault: P(it is so, evidence)
	none            *big.Float   // P(no fault, evidence)
	state           [][]*big.Float

	values  []int                   // the choice at hand, by condition: 0 for none
	chances [][]*big.Float          // by condition, of its values given the set at hand
	known   []map[string]*big.Float // by seen finding: likelihoods worked out before
}

const (
	exactBits = 320
	// exactly is the precision of chances that are a difference from 1, and tooSmall what
	// such a difference of float64 numbers cannot be but for rounding: it is 0.
	exactly  = 2000
	tooSmall = -1600
)

func real64(x float64) *big.Float { return new(big.Float).SetPrec(exactly).SetFloat64(x) }

func real0() *big.Float { return new(big.Float).SetPrec(exactBits) }

func times(a, b *big.Float) *big.Float { return real0().Mul(a, b) }

func addTo(a, b *big.Float) { a.Add(a, b) }

// oneLess returns 1-x, at least 0.
func oneLess(x *big.Float) *big.Float {
	y := new(big.Float).SetPrec(exactly).Sub(real64(1), x)
	if y.Sign() < 0 || y.Sign() > 0 && y.MantExp(nil) < tooSmall {
		return real64(0)
	}
	return y
}

// offShare returns (1-p)/(1-l).
func offShare(p, l float64) *big.Float {
	a, b := oneLess(real64(p)), oneLess(real64(l))
	return new(big.Float).SetPrec(exactly).Quo(a, b)
}

func newExact(m Model, e Evidence) *exact {
	x := &exact{m: m, e: e, total: real0(), none: real0(), values: make([]int, len(m.Conditions))}
	for range m.Faults {
		x.present, x.absent = append(x.present, real0()), append(x.absent, real0())
	}
	for _, c := range m.Conditions {
		var of []*big.Float
		for range len(c.Leaks) + 1 {
			of = append(of, real0())
		}
		x.state = append(x.state, of)
	}
	for range e.Seen {
		x.known = append(x.known, map[string]*big.Float{})
	}
	for set := range 1 << len(m.Faults) {
		p := x.prior(set)
		if p.Sign() == 0 {
			continue
		}
		x.chances = x.chances[:0]
		for c := range m.Conditions {
			x.chances = append(x.chances, x.condition(set, c))
		}
		x.enumerate(set, 0, p)
	}
	return x
}

func (x *exact) prior(set int) *big.Float {
	p := real0().SetInt64(1)
	for i, f := range x.m.Faults {
		if set>>i&1 == 1 {
			p = times(p, real64(f.Prior))
		} else {
			p = times(p, oneLess(real64(f.Prior)))
		}
	}
	for _, k := range x.e.Faults {
		if set>>k.Fault&1 == 1 {
			p = times(p, real64(k.Present))
		} else {
			p = times(p, real64(k.Absent))
		}
	}
	return p
}

// condition returns the chances of a condition's values, 0 for none, times what is
// known of it.
func (x *exact) condition(set, c int) []*big.Float {
	leaks := x.m.Conditions[c].Leaks
	var off, on []*big.Float // by state: that it is not caused, and that it is
	for s, leak := range leaks {
		q := oneLess(real64(leak))
		for k, l := range x.m.Links {
			if l.Condition != c || l.State != s || set>>l.Fault&1 == 0 || leak == 1 {
				continue
			}
			share := offShare(l.Strength, leak)
			if x.e.Acting != nil { // (1-leak-t(strength-leak))/(1-leak) = 1 - t(1-share)
				share = oneLess(new(big.Float).SetPrec(exactly).Mul(real64(x.e.Acting[k]), oneLess(share)))
			}
			q = new(big.Float).SetPrec(exactly).Mul(q, share)
		}
		off, on = append(off, q), append(on, oneLess(q))
	}
	chances := make([]*big.Float, len(leaks)+1)
	for v := range chances {
		chances[v] = real0()
	}
	for caused := range 1 << len(leaks) {
		p, many := real0().SetInt64(1), 0
		for s := range leaks {
			if caused>>s&1 == 1 {
				p = times(p, on[s])
				many++
			} else {
				p = times(p, off[s])
			}
		}
		if many == 0 {
			addTo(chances[0], p)
			continue
		}
		p.Quo(p, real64(float64(many)))
		for s := range leaks {
			if caused>>s&1 == 1 {
				addTo(chances[s+1], p)
			}
		}
	}
	for _, k := range x.e.Conditions {
		if k.Condition == c {
			for v := range chances {
				chances[v] = times(chances[v], real64(k.Likelihood[v]))
			}
		}
	}
	return chances
}

// enumerate goes through the values of condition c and those after it.
func (x *exact) enumerate(set, c int, p *big.Float) {
	if p.Sign() == 0 {
		return
	}
	if c < len(x.m.Conditions) {
		for v, chance := range x.chances[c] {
			x.values[c] = v
			x.enumerate(set, c+1, times(p, chance))
		}
		return
	}
	for i := range x.e.Seen {
		p = times(p, x.likelihood(set, i))
	}
	addTo(x.total, p)
	if set == 0 {
		addTo(x.none, p)
	}
	for f := range x.m.Faults {
		if set>>f&1 == 1 {
			addTo(x.present[f], p)
		} else {
			addTo(x.absent[f], p)
		}
	}
	for c, v := range x.values {
		addTo(x.state[c][v], p)
	}
}

// likelihood returns how likely what was seen is given the set and the values.
func (x *exact) likelihood(set, i int) *big.Float {
	s := x.e.Seen[i]
	outcomes := x.m.Findings[s.Finding].Outcomes
	key := make([]byte, 0, 16)
	for _, o := range outcomes {
		for _, st := range o.States {
			key = append(key, byte(x.values[st.Condition]))
		}
		for _, f := range o.Faults {
			key = append(key, byte(set>>f.Fault&1))
		}
	}
	if known := x.known[i][string(key)]; known != nil {
		return known
	}
	sum, none := real0(), real64(1)
	for j, o := range outcomes {
		q := x.outcome(set, o)
		none.Sub(none, q)
		addTo(sum, times(real64(s.Likelihood[j]), q))
	}
	if none.Sign() > 0 && none.MantExp(nil) > tooSmall {
		addTo(sum, times(real64(s.Likelihood[len(outcomes)]), none))
	}
	x.known[i][string(key)] = sum
	return sum
}

// outcome returns the chance of an outcome.
func (x *exact) outcome(set int, o Outcome) *big.Float {
	if o.Leak == 1 {
		return real64(1)
	}
	off := oneLess(real64(o.Leak))
	for _, s := range o.States {
		if x.values[s.Condition] == s.State+1 {
			off.Mul(off, offShare(s.Strength, o.Leak))
		}
	}
	for _, f := range o.Faults {
		if set>>f.Fault&1 == 1 {
			off.Mul(off, offShare(f.Strength, o.Leak))
		}
	}
	return oneLess(off)
}
