package belief

import "math"

// alone returns ln P of a seen finding when nothing else is known but which links
// act. Most findings show one condition, whose values are worked out once for all of
// them; values holds what was worked out, by condition.
func (w *work) alone(s *Seen, acting []float64, values [][]float64) (float64, error) {
	f := &w.n.findings[s.Finding]
	switch {
	case f.outcomes > 1 && f.shownBy >= 0:
		p := 0.0
		for v, q := range w.valuesAlone(f.shownBy, acting, values) {
			p += q * dot(s.Likelihood, f.chances[v])
		}
		return math.Log(p), nil
	case f.outcomes == 1 && len(f.faults) == 0 && len(f.shown) == 1:
		x := &f.shown[0]
		p := 0.0
		for v, q := range w.valuesAlone(x.condition, acting, values) {
			p += q * (s.Likelihood[0]*x.chance[v] + s.Likelihood[1]*(1-f.leak)*x.off[v])
		}
		return math.Log(p), nil
	case f.outcomes == 1 && len(f.shown) == 0:
		q, off := f.leak, 1-f.leak
		for _, c := range f.faults {
			p := w.n.prior[c.fault]
			q += off * p * c.on
			off *= 1 - p + p*c.off
		}
		return math.Log(s.Likelihood[0]*q + s.Likelihood[1]*off), nil
	}
	chance, err := w.lone(s.Finding, acting)
	return math.Log(s.Likelihood[0]*math.Exp(chance.holds) + s.Likelihood[1]*math.Exp(chance.none)), err
}

// valuesAlone returns the chances of a condition's values, from 0 for none, when
// nothing has been seen: it goes through the faults that bring any of its states,
// over the set of states that are caused.
func (w *work) valuesAlone(condition int32, acting []float64, values [][]float64) []float64 {
	if values[condition] != nil {
		return values[condition]
	}
	n := w.n
	first, states := n.first[condition], n.states(condition)
	table, next := make([]float64, 1<<states), make([]float64, 1<<states)
	table[0] = 1
	for s := range states {
		turnOn(table, s, n.leak[first+int32(s)], 1-n.leak[first+int32(s)])
	}
	for f := range n.prior {
		touches := false
		copy(next, table)
		for _, k := range n.out.of(int32(f)) {
			l := &n.links[k]
			if l.state < first || l.state >= first+int32(states) {
				continue
			}
			on, off := l.acting(k, acting)
			turnOn(next, int(l.state-first), on, off)
			touches = true
		}
		if !touches {
			continue
		}
		for i := range table {
			table[i] = (1-n.prior[f])*table[i] + n.prior[f]*next[i]
		}
	}
	out := make([]float64, states+1)
	out[0] = table[0]
	for set := 1; set < len(table); set++ {
		for s := range states {
			if set>>s&1 == 1 {
				out[s+1] += table[set] / float64(onesCount(set))
			}
		}
	}
	values[condition] = out
	return out
}

// turnOn turns a state on with a chance, in a table over the sets of states that are on.
func turnOn(table []float64, state int, on, off float64) {
	for set := range table {
		if set>>state&1 == 0 {
			table[set|1<<state] += on * table[set]
			table[set] *= off
		}
	}
}

// shortConflict is the conflict measure of findings alone, where ln P of all of
// them is known.
func (w *work) shortConflict(e *Evidence, logEvidence float64) (float64, error) {
	if len(e.Seen) <= 1 {
		return 0, nil
	}
	values := make([][]float64, len(w.n.first)-1)
	sum := 0.0
	for i := range e.Seen {
		p, err := w.alone(&e.Seen[i], e.Acting, values)
		if err != nil {
			return 0, err
		}
		sum += p
	}
	if value := sum - logEvidence; !math.IsNaN(value) && !math.IsInf(value, 0) {
		return value, nil
	}
	return 0, ErrImpossible
}
