package belief

import "math"

// heeded returns what a unit's value weighs where the switches of some of the node's
// joints are off: those whose place in the node's list is 0 in on.
func (e *elimination) heeded(w *work, d *node, value int32, on int) float64 {
	x := w.weightsOf(d.unit)[value]
	for i, j := range e.attached[d.attached:][:d.heeds] {
		if on>>i&1 == 0 {
			f := &w.n.findings[w.joints[j].finding]
			x *= f.shown[e.memberAt(w, j, d.unit)].off[w.valueOf(d.unit, value)]
		}
	}
	return x
}

// statesAlike reports whether all states of a unit weigh the same, so that it only
// matters whether any of them is caused.
func (e *elimination) statesAlike(w *work, d *node) bool {
	for on := range 1 << d.heeds {
		first := e.heeded(w, d, 1, on)
		for v := int32(2); v < w.units[d.unit].values; v++ {
			if x := e.heeded(w, d, v, on); math.Abs(x-first) > rounding*first {
				return false
			}
		}
	}
	return true
}

// weigh fills a node's weights by set of bits that are on, switches and value.
func (e *elimination) weigh(w *work, d *node) {
	for range d.numbers {
		e.weights = append(e.weights, 0)
	}
	out := e.weights[d.weights:]
	e.eachWeight(w, d, func(at int, _ int32, x float64) { out[at] += x })
}

// eachWeight calls put with what each value adds to each of a node's weights: those of a set
// of bits are the mean over the values that it leaves to choose from.
func (e *elimination) eachWeight(w *work, d *node, put func(at int, value int32, x float64)) {
	sets, isByValue := 1<<d.slots, e.byValue[d.unit]
	var acts []float64 // by value, as the last one of a joint
	if j := e.acts[d.unit]; j >= 0 {
		acts = w.n.findings[w.joints[j].finding].shown[e.lastOf[j]].on
	}
	values := w.units[d.unit].values
	for on := range 1 << d.heeds {
		low := on * sets
		each := func(set int, value int32, x float64) {
			at := low + set
			switch {
			case acts != nil:
				put(at, value, x)
				put(at+sets<<d.heeds, value, x*acts[w.valueOf(d.unit, value)])
			case isByValue:
				put(at+int(value)*sets<<d.heeds, value, x)
			default:
				put(at, value, x)
			}
		}
		each(0, 0, e.heeded(w, d, 0, on))
		for v := int32(1); v < values; v++ {
			x := e.heeded(w, d, v, on)
			if d.slots < values-1 { // alike: they are put once
				put(low+1, v, x)
				break
			}
			for set := 1; set < sets; set++ {
				if set>>(v-1)&1 == 1 {
					each(set, v, x/float64(onesCount(set)))
				}
			}
		}
	}
}

// rounding is how far apart two weights may lie, as a share of them, and still be the same.
const rounding = 0x1p-50

// cumulate makes slots of a node cumulative, those of the least weight first, as
// far as no weight becomes negative.
func (e *elimination) cumulate(w *work, d *node) {
	all := e.weights[d.weights:][:d.numbers]
	states := w.weightsOf(d.unit)[1:]
	tried := 0
	for range d.slots {
		at := -1
		for k := range int(d.slots) {
			if tried>>k&1 == 0 && (at < 0 || states[k] < states[at]) {
				at = k
			}
		}
		tried |= 1 << at
		e.trial = append(e.trial[:0], all...)
		if differ(e.trial, 1<<at) {
			copy(all, e.trial)
			e.slots[int(d.slot)+at].apart = false
		}
	}
}

// differ takes from each weight with the slot off that with it on, and reports whether
// none is negative then.
func differ(all []float64, slot int) (positive bool) {
	positive = true
	for i := range all {
		if i&slot != 0 {
			continue
		}
		off, on := all[i], all[i|slot]
		x := off - on
		if math.Abs(x) <= rounding*on {
			x = 0
		}
		positive = positive && x >= 0
		all[i] = x
	}
	return positive
}

// mostLoss is by how much rounding errors may grow in a query because numbers cancel: it
// leaves 13 of a float64's 16 digits.
const mostLoss = 1 << 13

// mayLose is mostLoss, and less where values are asked for, whose sums cancel too.
func (e *elimination) mayLose() float64 {
	if e.forValues {
		return mostLoss >> 8
	}
	return mostLoss
}

// spend makes further slots cumulative although some weights become negative, those
// first where least cancels, as long as the losses of all of them multiply to no more
// than mostLoss, or e.mayLose.
func (e *elimination) spend(w *work) {
	e.losses, e.stale = sized(e.losses, len(e.slots)), zeroed(e.stale, len(e.slots))
	for i := range e.nodes {
		e.findLosses(w, &e.nodes[i])
	}
	for {
		best, least := -1, e.left
		for s, x := range e.losses {
			if x <= least {
				best, least = s, x
			}
		}
		if best < 0 {
			return
		}
		d := &e.nodes[e.slots[best].node]
		k := best - int(d.slot)
		if e.stale[best] { // what has become cumulative in its node since then may have changed it
			e.losses[best], e.stale[best] = e.loss(w, d, k)/d.loss, false
			continue
		}
		e.left /= least
		d.loss *= least
		e.slots[best].apart = false
		differ(e.weights[d.weights:][:d.numbers], 1<<k)
		for s := range e.stale[d.slot : d.slot+d.slots] {
			e.stale[int(d.slot)+s] = true
		}
		e.losses[best] = math.Inf(1)
	}
}

// mostLossWork bounds the work on the losses of a node, in numbers; past it, its slots stay
// apart.
const mostLossWork = 1 << 17

// findLosses leaves in e.losses by how much the numbers of a node cancel more with each of
// its slots cumulative; infinite where that is not asked.
func (e *elimination) findLosses(w *work, d *node) {
	for k := range int(d.slots) {
		x := math.Inf(1)
		if e.slots[int(d.slot)+k].apart && d.slots*d.slots*d.numbers <= mostLossWork {
			x = e.loss(w, d, k) / d.loss
		}
		e.losses[int(d.slot)+k] = x
	}
}

// loss bounds by how much the numbers of a node cancel with one more slot cumulative:
// what they would sum to if all were positive over what they sum to. For given faults
// the bits are off independently, with a probability from 0 to that of themselves; as
// both sums are linear in each of these, their ratio is largest at the ends.
func (e *elimination) loss(w *work, d *node, more int) float64 {
	e.trial = append(e.trial[:0], e.weights[d.weights:][:d.numbers]...)
	differ(e.trial, 1<<more)
	n := len(e.trial)
	for i := range n {
		e.trial = append(e.trial, math.Abs(e.trial[i]))
	}
	sums, sizes := e.trial[:n], e.trial[n:]
	for k := range int(d.slots) {
		s := &e.slots[int(d.slot)+k]
		if s.apart && k != more {
			continue
		}
		off := 1.0
		for b := s.bit; b < s.bit+s.many; b++ {
			off *= w.bits[b].off
		}
		for i := range n {
			if i>>k&1 == 0 {
				sums[i] = off*sums[i] + sums[i|1<<k]
				sizes[i] = off*sizes[i] + sizes[i|1<<k]
			}
		}
	}
	most := 1.0
	for i, size := range sizes {
		if size > 0 {
			most = max(most, size/max(sums[i], 0))
		}
	}
	return most
}
