package belief

import "math"

// gains returns for each fault an upper bound of P(S with it, e)/P(S, e) over
// all sets S without it, infinite where there is none.
//
// Given S, the evidence's probability is a mean, over the sets of bits that are
// on, of weights that are not negative. The fault turns bits on independently,
// so it multiplies that mean by at most the product over the units that it
// touches of the largest ratio of weights, after over before; that ratio is
// bounded over all values of the other units.
func (g *given) gains(w *work) []float64 {
	from, ratios := g.ratios(w)
	out := make([]float64, len(w.weights))
	for f := range out {
		out[f] = math.Exp(w.weights[f].log)
		arcs := w.arcsOf(int32(f))
		for i := range arcs {
			u := w.bits[arcs[i].bit].unit
			if i > 0 && touches(w, arcs[:i], u) {
				continue // counted with the first
			}
			n := int(w.units[u].values)
			out[f] *= unitGain(w, arcs[i:], u, ratios[from[u]:][:n*n])
		}
	}
	return out
}

func touches(w *work, arcs []entry, unit int32) bool {
	for i := range arcs {
		if w.bits[arcs[i].bit].unit == unit {
			return true
		}
	}
	return false
}

// unitGain bounds what arcs do to a unit. Where no bit is on, the value goes
// from none to one of the touched states; where some are, it goes from one of
// them to a touched one or stays.
func unitGain(w *work, arcs []entry, unit int32, ratio []float64) float64 {
	t := &w.units[unit]
	n := int(t.values)
	on, off := 0.0, 1.0 // that the arcs turn any bit on
	fromNone, fromOther := 0.0, 1.0
	for i := range arcs {
		b := arcs[i].bit
		if w.bits[b].unit != unit {
			continue
		}
		on += off * arcs[i].on
		off *= arcs[i].off
		to := int(b-t.bit) + 1
		fromNone = max(fromNone, ratio[to])
		for v := 1; v < n; v++ {
			if v != to {
				fromOther = max(fromOther, ratio[v*n+to])
			}
		}
	}
	return max(1, off+on*fromNone, off+on*fromOther)
}

// ratios returns, for each unit from its place on, the square table of bounds
// of weight(to)/weight(from), row by from, over all values of the others.
func (g *given) ratios(w *work) (from []int, ratios []float64) {
	from = make([]int, len(w.units))
	for u := range w.units {
		from[u] = len(ratios)
		weights := w.weightsOf(int32(u))
		for _, a := range weights {
			for _, b := range weights {
				ratios = append(ratios, ratioOf(b, a))
			}
		}
	}
	for i := range g.steps {
		s := &g.steps[i]
		if s.kind != stepCouple {
			continue
		}
		stride := 1
		factors := g.factors[s.from:s.to]
		for _, u := range w.membersOf(&w.joints[s.id]) {
			n := int(w.units[u].values)
			table := ratios[from[u]:][:n*n]
			for k := range table {
				table[k] = product(table[k], jointRatio(factors, stride, n, k/n, k%n))
			}
			stride *= n
		}
	}
	return from, ratios
}

// jointRatio bounds a joint's weight at one value of a member over that at
// another; the member has n values and its index the stride.
func jointRatio(factors []float64, stride, n, from, to int) float64 {
	most := 0.0
	for c := range factors {
		if c/stride%n == from {
			most = max(most, ratioOf(factors[c+(to-from)*stride], factors[c]))
		}
	}
	return most
}

// ratioOf returns b/a; 0/0, which bounds nothing, is 0.
func ratioOf(b, a float64) float64 {
	if b == 0 {
		return 0
	}
	return b / a
}

// product is a*b where 0 times infinity is infinite: no bound.
func product(a, b float64) float64 {
	if math.IsInf(a, 1) || math.IsInf(b, 1) {
		return math.Inf(1)
	}
	return a * b
}
