package belief

import "math"

// backward goes through the steps from the last and leaves each fault's
// posterior sums, but for its weights, in r.absent and r.present; with values
// also the sums by value of each unit in r.byValue. It returns ErrStopped or nil.
func (w *work) backward(values bool) error {
	r, p := &w.run, &w.plan
	for k := range r.back {
		r.back[k] = sized(r.back[k], 1<<p.live)
	}
	r.absent, r.present = sized(r.absent, len(w.weights)), sized(r.present, len(w.weights))
	if values {
		r.byValue = zeroed(r.byValue, len(w.value))
	}
	for f := range w.weights {
		r.absent[f], r.present[f] = 1, 1 // what no evidence reaches
	}
	back, other := r.back[0], r.back[1]
	back[0] = 1
	for k := len(r.segments) - 1; k >= 0; k-- {
		s := &r.segments[k]
		if k < len(r.segments)-1 {
			if _, err := w.forwardSegment(s, false); err != nil {
				return err // ErrStopped: it has succeeded before
			}
		}
		for i := s.to - 1; i >= s.from; i-- {
			t := &p.steps[i]
			if t.live >= slowBits && w.stopped() {
				return ErrStopped
			}
			size, after := 1<<t.live, 1<<p.after(i)
			table := r.tables[r.before[i-s.from]:][:size]
			if w.backwardStep(t, other[:size], back[:max(size, after)], table, after, values) {
				back, other = other, back
			}
		}
	}
	return nil
}

// backwardStep applies a step's adjoint: in place in back, or into dst, which
// it reports. after is the length of the table after the step.
func (w *work) backwardStep(t *step, dst, back, table []float64, after int, values bool) (into bool) {
	r := &w.run
	switch t.kind {
	case stepBirth:
		b := &w.bits[t.id]
		off, on := bearBack(back, table, b.onAll, b.offAll)
		w.sumFolded(b, off, on)
		return false
	case stepMove:
		r.absent[t.id], r.present[t.id] = w.moveBack(t, back, table)
		return false
	case stepCouple:
		w.coupleJoint(t, back)
		lift(back)
		return false
	case stepSum:
		weights, mask := w.sumWeights(t)
		r.sums = sized(r.sums, len(weights))
		spreadOut(dst, back[:after], table, weights, r.sums, r.offsets, mask)
		if values {
			w.sumValues(t.id, r.sums)
		}
	case stepClose:
		w.closeBack(t, dst, back[:after])
	case stepDrop:
		u := &w.units[t.id]
		width := u.width()
		r.sums = zeroed(r.sums, 1<<width)
		dropBack(dst, back[:after], table, r.sums, int(w.plan.at[t.at]), width)
		if values {
			copy(r.byValue[u.weights:u.weights+u.values], r.sums)
		}
		return true
	}
	lift(dst)
	return true
}

// lift scales a table up whose largest number has become faint. Posterior sums
// are ratios, so the factor need not be kept.
func lift(table []float64) {
	sum := total(table)
	if sum >= faint || sum == 0 {
		return
	}
	exp := math.Ilogb(sum)
	for i := range table {
		table[i] = math.Ldexp(table[i], -exp)
	}
}

func (w *work) moveBack(t *step, back, table []float64) (absent, present float64) {
	f := &w.weights[t.id]
	arcs := w.arcsOf(t.id)
	at := w.plan.at[t.at:][:len(arcs)]
	switch len(arcs) {
	case 2:
		return move2Back(back, table, f.absentShare, f.presentShare, arcs[0], arcs[1], at[0], at[1])
	case 3:
		return move3Back(back, table, f.absentShare, f.presentShare, arcs[0], arcs[1], arcs[2], at[0], at[1], at[2])
	}
	turned := sized(w.run.spare, len(back))
	w.run.spare = turned
	from := back
	for ; len(arcs) > 1; arcs, at = arcs[2:], at[2:] {
		spread2Back(turned, from, arcs[0], arcs[1], at[0], at[1])
		from = turned
	}
	if len(arcs) == 1 {
		spreadBack(turned, turned, arcs[0], at[0])
	}
	return mixBack(back, turned, table, f.absentShare, f.presentShare)
}

// sumValues spreads the sums by set of a unit's bits over its values.
func (w *work) sumValues(unit int32, sums []float64) {
	u := &w.units[unit]
	values := w.weightsOf(unit)
	to := w.run.byValue[u.weights:][:u.values]
	to[0] = values[0] * sums[0]
	for v := 1; v < len(to); v++ {
		for m, sum := range sums {
			if m>>(v-1)&1 == 1 {
				to[v] += values[v] / float64(onesCount(m)) * sum
			}
		}
	}
}

// closeBack is the adjoint of closeUnit.
func (w *work) closeBack(t *step, dst, back []float64) {
	u := &w.units[t.id]
	values := w.weightsOf(t.id)
	mask := w.maskOffsets(t)
	rest := len(dst) >> u.bits
	for m, offset := range w.run.offsets {
		part := dst[offset:]
		if m == 0 {
			i := 0
			for _, y := range back[:rest] {
				part[i] = values[0] * y
				i = ((i | mask) + 1) &^ mask
			}
			continue
		}
		first := true
		for v := 1; v < int(u.values); v++ {
			if m>>(v-1)&1 == 0 {
				continue
			}
			k := values[v] / float64(onesCount(m))
			i := 0
			for _, y := range back[v*rest:][:rest] {
				if first {
					part[i] = 0
				}
				part[i] += k * y
				i = ((i | mask) + 1) &^ mask
			}
			first = false
		}
	}
}

// sumFolded works out the posterior sums of the faults folded into a bit from
// the sums given that the bit is off and on. For each the bit's chances without
// it are joined from those with the faults before it and after it in the list.
func (w *work) sumFolded(b *bit, sumOff, sumOn float64) {
	r := &w.run
	r.chain, r.sums = r.chain[:0], r.sums[:0]
	on, off := b.on, b.off
	for k := b.head; k >= 0; k = w.folded[k].next {
		r.chain = append(r.chain, k)
		r.sums = append(r.sums, on, off)
		on, off = w.withFolded(k, on, off)
	}
	on, off = 0, 1
	for i := len(r.chain) - 1; i >= 0; i-- {
		g := &w.folded[r.chain[i]]
		otherOn := r.sums[2*i] + r.sums[2*i+1]*on
		otherOff := r.sums[2*i+1] * off
		r.absent[g.fault] = otherOn*sumOn + otherOff*sumOff
		r.present[g.fault] = (otherOn+otherOff*g.on)*sumOn + otherOff*g.off*sumOff
		on, off = w.withFolded(r.chain[i], on, off)
	}
}

// withFolded returns a bit's chances with one more folded fault.
func (w *work) withFolded(k int32, on, off float64) (float64, float64) {
	g := &w.folded[k]
	t := &w.weights[g.fault]
	return on + off*t.presentShare*g.on, off * (t.absentShare + t.presentShare*g.off)
}
