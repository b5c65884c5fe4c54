package truth

import "math"

// specEdges is the range of ok, high or low; ok is false without the figure.
func specEdges(op logicOp, s *Spec) (from, to edge, ok bool) {
	switch op {
	case opHigh:
		return edge{at: s.To, bounded: true}, edge{}, s.HasTo
	case opLow:
		return edge{}, edge{at: s.From, bounded: true}, s.HasFrom
	}
	return edge{s.From, s.HasFrom, true}, edge{s.To, s.HasTo, true}, s.HasFrom || s.HasTo
}

// compare decides whether a number lies between two edges, at once where its
// uncertainty leaves no doubt, else by a mark.
func (f *formula) compare(v *Values, r *result, from, to *edge, not bool) written {
	if r.status != known {
		return written{truth: isUnknown}
	}
	u := v.uncertainty(r.terms)
	var yes bool
	switch a, b := from.score(r.value, u, -2*reach), to.score(r.value, u, 2*reach); {
	case u <= r.slack:
		yes = from.admits(r, 1) && to.admits(r, -1)
	case !finite(u):
		f.overfull = true
		return written{truth: isUnknown}
	case b <= -reach || a >= reach || a >= b:
		yes = false
	case a <= -reach && b >= reach:
		yes = true
	default:
		return f.mark(v.share(r.terms, u), a, b, not)
	}
	return written{truth: decided(yes != not)}
}

// admits reports whether a number that is as good as exact lies on the side of
// the edge that way points to: 1 upwards, -1 downwards.
func (e *edge) admits(r *result, way float64) bool {
	if !e.bounded {
		return true
	}
	by := way * (r.value - e.at)
	if math.Abs(by) <= r.slack+rounding*math.Abs(e.at) {
		return e.inclusive
	}
	return by > 0
}

// score is an edge as a standard score of the number.
func (e *edge) score(value, u, open float64) float64 {
	if !e.bounded {
		return open
	}
	return (e.at - value) / u
}

// mark writes an uncertain comparison of the quantity with these shares.
func (f *formula) mark(share []term, a, b float64, not bool) written {
	if share[0].slope < 0 {
		for i := range share {
			share[i].slope = -share[i].slope
		}
		a, b = -b, -a
	}
	at := f.variable(share)
	if at < 0 {
		f.overfull = true
		return written{truth: isUnknown}
	}
	m := mark{variable: at, a: a, b: b}
	k := 0
	for k < len(f.marks) && f.marks[k] != m {
		k++
	}
	if k == len(f.marks) {
		if k == maxVars {
			f.overfull = true
			return written{truth: isUnknown}
		}
		f.marks = append(f.marks, m)
	}
	return f.add(node{op: nodeMark, left: int32(k), not: not})
}

// variable finds the quantity with these shares, or adds it; -1 when there is
// no room.
func (f *formula) variable(share []term) int {
	for i := range f.vars {
		if v := &f.vars[i]; distance(share, v.share) < same {
			return i
		}
	}
	n := len(f.vars)
	if n == maxVars {
		return -1
	}
	own := variable{share: share}
	for i := range f.vars {
		v := &f.vars[i]
		v.correlated &^= 1 << n // left by one that was taken back
		if math.Abs(inner(share, v.share)) > unrelated {
			v.correlated |= 1 << n
			own.correlated |= 1 << i
		}
	}
	f.vars = append(f.vars, own)
	return n
}
