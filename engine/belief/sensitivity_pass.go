package belief

// slopes are derivatives of ln P(evidence), first by what the passes work with,
// then by the numbers of the model.
type slopes struct {
	w   *work
	e   *Evidence
	s   *Sensitivity
	log float64 // ln P(evidence)

	present []float64   // by fault: its posterior
	values  []float64   // like work.value: by each weight
	bits    []float64   // by a bit's chance of being on, folded faults and all
	own     []float64   // by bit: by its chance of being on of itself
	arcs    []float64   // like work.arcs: by the chance that the arc turns its bit on
	joints  [][]float64 // by joint, by each number of its table

	links []float64 // by link: by its chance to turn its state on, before acting
	out   []float64 // by number
}

// pass goes through the steps from the last, as work.backward does, and keeps
// at each step the derivative by what the step multiplies with. A table before
// times its adjoint sums to P(evidence) at every step but for a factor of that
// step, so each derivative is divided by that sum.
func (t *slopes) pass() {
	w := t.w
	r, p := &w.run, &w.plan
	for k := range r.back {
		r.back[k] = sized(r.back[k], 1<<p.live)
	}
	r.absent, r.present = sized(r.absent, len(w.weights)), sized(r.present, len(w.weights))
	r.byValue = zeroed(r.byValue, len(w.value))
	for f := range w.weights {
		r.absent[f], r.present[f] = 1, 1
	}
	t.values, t.bits, t.arcs = make([]float64, len(w.value)), make([]float64, len(w.bits)), make([]float64, len(w.arcs))
	t.joints = make([][]float64, len(w.joints))
	back, other := r.back[0], r.back[1]
	back[0] = 1
	for k := len(r.segments) - 1; k >= 0; k-- {
		seg := &r.segments[k]
		if k < len(r.segments)-1 {
			w.forwardSegment(seg, false) // it has succeeded before
		}
		for i := seg.to - 1; i >= seg.from; i-- {
			x := &p.steps[i]
			size, after := 1<<x.live, 1<<p.after(i)
			table := r.tables[r.before[i-seg.from]:][:size]
			adjoint := back[:max(size, after)]
			t.before(seg, i, table, adjoint, after)
			if w.backwardStep(x, other[:size], adjoint, table, after, true) {
				back, other = other, back
			}
			t.after(x)
		}
	}
	t.present = make([]float64, len(w.weights))
	for f := range t.present {
		t.present[f], _ = w.fault(f)
	}
	t.foldedArcs()
}

// before takes what needs the adjoint of the table after a step.
func (t *slopes) before(seg *segment, i int, table, back []float64, after int) {
	w := t.w
	x := &w.plan.steps[i]
	switch x.kind {
	case stepBirth:
		b := &w.bits[x.id]
		on, off := 0.0, 0.0
		for k, y := range table {
			off += y * back[k]
			on += y * back[len(table)+k]
		}
		t.bits[x.id] = (on - off) / (b.onAll*on + b.offAll*off)
	case stepMove:
		t.move(x, table, back)
	case stepClose:
		t.close(x, table, back[:after])
	case stepCouple:
		t.couple(seg, i, back)
	}
}

// after takes what the backward step has left.
func (t *slopes) after(x *step) {
	w := t.w
	r := &w.run
	switch x.kind {
	case stepMove:
		f := &w.weights[x.id]
		all := f.absentShare*r.absent[x.id] + f.presentShare*r.present[x.id]
		for k := w.from[x.id]; k < w.from[x.id+1]; k++ {
			t.arcs[k] *= f.presentShare / all
		}
	case stepSum:
		u := &w.units[x.id]
		to := t.values[u.weights:][:u.values]
		all := dot(r.masks, r.sums)
		for m, sum := range r.sums {
			if m == 0 {
				to[0] = sum / all
				continue
			}
			for v := range int(u.bits) {
				if m>>v&1 == 1 {
					to[v+1] += sum / float64(onesCount(m)) / all
				}
			}
		}
	}
}

// move works out, but for a factor of the step, the derivative by each arc of a
// fault: what the table with all its other arcs gives to the bit's being on
// rather than off.
func (t *slopes) move(x *step, table, back []float64) {
	w := t.w
	arcs := w.arcsOf(x.id)
	at := w.plan.at[x.at:][:len(arcs)]
	turned := make([]float64, len(table))
	for a := range arcs {
		copy(turned, table)
		for o := range arcs {
			if o != a {
				spread(turned, turned, arcs[o], at[o])
			}
		}
		bit, sum := 1<<at[a], 0.0
		for i := 0; i < len(turned); i = ((i | bit) + 1) &^ bit {
			sum += turned[i] * (back[i|bit] - back[i])
		}
		t.arcs[int(w.from[x.id])+a] = sum
	}
}

// close works out the derivative by the weights of a unit's values.
func (t *slopes) close(x *step, table, back []float64) {
	w := t.w
	u := &w.units[x.id]
	weights := w.weightsOf(x.id)
	to := t.values[u.weights:][:u.values]
	mask := w.maskOffsets(x)
	rest := len(table) >> u.bits
	for m, offset := range w.run.offsets {
		for v := range int(u.values) {
			if v == 0 && m != 0 || v > 0 && m>>(v-1)&1 == 0 {
				continue
			}
			part := table[offset:]
			i, sum := 0, 0.0
			for _, y := range back[v*rest:][:rest] {
				sum += part[i] * y
				i = ((i | mask) + 1) &^ mask
			}
			to[v] += sum / float64(max(1, onesCount(m)))
		}
	}
	scaleTo(to, dot(weights, to))
}

// couple works out the derivative by each number of a joint's table. The step
// has overwritten the table before it, which is made again.
func (t *slopes) couple(seg *segment, i int, back []float64) {
	w := t.w
	steps := w.plan.steps
	table := make([]float64, 1<<steps[i].live)
	k := i - 1
	for k >= seg.from && steps[k].kind == stepCouple {
		k--
	}
	if k < seg.from {
		copy(table, w.run.checks[seg.check:])
	} else {
		src := w.run.tables[w.run.before[k-seg.from]:][:1<<steps[k].live]
		w.forwardStep(&steps[k], table, src)
	}
	for k++; k < i; k++ {
		w.forwardStep(&steps[k], table, nil)
	}
	x := &steps[i]
	offsets, mask := w.jointTable(x.id, w.plan.at[x.at:], -1)
	out := make([]float64, len(offsets))
	for c, offset := range offsets {
		for r := 0; r < len(table); r = ((r | mask) + 1) &^ mask {
			out[c] += table[r|int(offset)] * back[r|int(offset)]
		}
	}
	scaleTo(out, dot(w.run.factors, out))
	t.joints[x.id] = out
}

func scaleTo(all []float64, whole float64) {
	for i := range all {
		all[i] /= whole
	}
}

// foldedArcs works out the derivatives by the parts that make up a bit's chance
// before it is born: of itself, by certain faults and by folded ones. The bit
// stays off where each of them leaves it off.
func (t *slopes) foldedArcs() {
	w := t.w
	t.own = make([]float64, len(w.bits))
	type part struct {
		arc        int // -1: of itself
		share, off float64
	}
	parts := make([][]part, len(w.bits))
	for b := range w.bits {
		off := 1.0
		if u := &w.units[w.bits[b].unit]; u.condition >= 0 {
			off -= w.n.leak[w.n.first[u.condition]+w.bits[b].state-1]
		}
		parts[b] = append(parts[b], part{-1, 1, off})
	}
	for f := range w.weights {
		arcs := w.arcsOf(int32(f))
		x := &w.weights[f]
		for k := range arcs {
			p := part{arc: int(w.from[f]) + k, share: 1, off: arcs[k].off}
			switch {
			case x.absent.value == 0:
			case len(arcs) == 1:
				p.share, p.off = x.presentShare, x.absentShare+x.presentShare*arcs[k].off
			default:
				continue
			}
			parts[arcs[k].bit] = append(parts[arcs[k].bit], p)
		}
	}
	for b, all := range parts {
		for i, p := range all {
			slope := t.bits[b] * p.share
			for k, o := range all {
				if k != i {
					slope *= o.off
				}
			}
			if p.arc < 0 {
				t.own[b] = slope
			} else {
				t.arcs[p.arc] = slope
			}
		}
	}
}
