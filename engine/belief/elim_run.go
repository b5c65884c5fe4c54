package belief

import "math"

// forward goes through the program and leaves P(evidence) but for w.scale in
// w.run. It returns ErrImpossible where nothing is left, or ErrStopped.
func (e *elimination) forward(w *work) error {
	p := e.plan
	e.table = sized(e.table, p.size)
	t := e.table
	t[0] = 1
	chance := scale{value: 1}
	for i := range p.ops {
		o := &p.ops[i]
		y := t[o.y:][:o.size]
		switch o.kind {
		case opFault:
			e.fault(w, o, y)
		case opBit:
			e.bit(w, o, y)
		case opWeights:
			d := &e.nodes[o.id]
			copy(y, e.weights[d.weights:][:d.numbers])
		case opJoint:
			e.joint(w, o, y)
		case opWiden:
			p.widen(o, y, t[o.x:])
		default:
			if o.size >= 1<<slowBits && w.stopped() {
				return ErrStopped
			}
			clear(y)
			p.forward(o, t)
			if exp := e.lift(y); exp != 0 {
				chance.shift += exp
			} else if largest(y) == 0 {
				return ErrImpossible
			}
		}
	}
	for _, at := range p.roots {
		chance.times(t[at])
	}
	if chance.value == 0 {
		return ErrImpossible
	}
	w.run.chance = chance
	return nil
}

// backward goes through the program from the end, as the derivative of P(evidence) by
// each table, and leaves each fault's posterior sums as work.backward does. Parts that
// have nothing to do with each other each have a scale of their own, as have all
// tables on the way: only ratios within a fault's sums matter. Asked for values, it leaves the
// sums of each condition's values instead, as work.backward does.
func (e *elimination) backward(w *work) error {
	p := e.plan
	e.back = sized(e.back, p.size)
	t, back := e.table, e.back
	r := &w.run
	r.absent, r.present = sized(r.absent, len(w.weights)), sized(r.present, len(w.weights))
	for f := range w.weights {
		r.absent[f], r.present[f] = 1, 1 // what no evidence reaches
	}
	if e.forValues {
		r.byValue = zeroed(r.byValue, len(w.value))
	}
	for _, at := range p.roots {
		back[at] = 1
	}
	for i := len(p.ops) - 1; i >= 0; i-- {
		o := &p.ops[i]
		y := back[o.y:][:o.size]
		switch o.kind {
		case opFault:
			if !e.forValues {
				e.faultBack(w, o, y)
			}
		case opBit:
			if !e.forValues && e.slots[o.id].folds {
				e.bitBack(w, o, y)
			}
		case opWeights:
			if d := &e.nodes[o.id]; e.asks(w, d) && !e.sumWeights(w, d, y) {
				return errLost
			}
		case opWiden:
			if o.wantsX {
				clear(back[o.x:][:o.sizeX])
				p.widenBack(o, y, back[o.x:])
			}
		case opMultiply, opSumOut:
			if o.size >= 1<<slowBits && w.stopped() {
				return ErrStopped
			}
			e.lift(y)
			if o.wantsX {
				clear(back[o.x:][:o.sizeX])
			}
			if o.wantsF {
				clear(back[o.f:][:o.sizeF])
			}
			p.backward(o, t, back)
		}
	}
	return nil
}

// chancesOf leaves in e.chances, for each slot of a mover's table, the chances that the
// fault leaves it off and turns it on.
func (e *elimination) chancesOf(w *work, o *operation) (chances []float64, slots []int32) {
	e.chances, e.acted = sized(e.chances, int(2*o.inner)), sized(e.acted, int(o.inner))
	c := e.chances
	for k := range int(o.inner) {
		c[2*k], c[2*k+1] = 1, 0
		e.acted[k] = e.plan.entry(o.at + o.passes + int32(k))
	}
	for i, a := range w.arcsOf(w.movers[o.id]) {
		k := 2 * e.plan.entry(o.at+int32(i))
		c[k+1] += c[k] * a.on
		c[k] *= a.off
	}
	return c, e.acted
}

// fill makes the chances of all settings of slots that a fault, when present, acts on.
func (e *elimination) fill(y, chances []float64, slots []int32) {
	y[0] = 1
	for k, s := range slots {
		off, on := chances[2*k], chances[2*k+1]
		if !e.slots[s].apart {
			on = 1
		}
		low, high := y[:1<<k], y[1<<k:][:1<<k]
		for i, x := range low {
			low[i], high[i] = off*x, on*x
		}
	}
}

// apartMask is the set of a table's slots that are apart.
func (e *elimination) apartMask(slots []int32) (mask int) {
	for k, s := range slots {
		if e.slots[s].apart {
			mask |= 1 << k
		}
	}
	return mask
}

// fault fills the table of a mover: what it turns on when it is present, and nothing
// when it is absent.
func (e *elimination) fault(w *work, o *operation, y []float64) {
	chances, slots := e.chancesOf(w, o)
	e.fill(y, chances, slots)
	x := &w.weights[w.movers[o.id]]
	mask := e.apartMask(slots)
	for i := range y {
		y[i] *= x.presentShare
		if i&mask == 0 {
			y[i] += x.absentShare
		}
	}
}

func (e *elimination) faultBack(w *work, o *operation, back []float64) {
	chances, slots := e.chancesOf(w, o)
	y := e.table[o.y:][:o.size] // no longer needed
	e.fill(y, chances, slots)
	mask := e.apartMask(slots)
	absent, present := 0.0, 0.0
	for i, b := range back {
		present += b * y[i]
		if i&mask == 0 {
			absent += b
		}
	}
	f := w.movers[o.id]
	w.run.absent[f], w.run.present[f] = absent, present
}

// bit fills the table of a slot: what its bits do of themselves and with folded faults.
func (e *elimination) bit(w *work, o *operation, y []float64) {
	s := &e.slots[o.id]
	on, off := 0.0, 1.0
	for b := s.bit; b < s.bit+s.many; b++ {
		on += off * w.bits[b].onAll
		off *= w.bits[b].offAll
	}
	y[0], y[1] = off, 1
	if s.apart {
		y[1] = on
	}
}

// bitBack takes the derivatives on to the faults folded into each bit.
func (e *elimination) bitBack(w *work, o *operation, back []float64) {
	s := &e.slots[o.id]
	for b := s.bit; b < s.bit+s.many; b++ {
		if w.bits[b].head < 0 {
			continue
		}
		on, off := 0.0, 1.0 // what the others do
		for k := s.bit; k < s.bit+s.many; k++ {
			if k != b {
				on += off * w.bits[k].onAll
				off *= w.bits[k].offAll
			}
		}
		if !s.apart {
			on = 1
		}
		w.sumFolded(&w.bits[b], back[0]*off+back[1]*on, back[1])
	}
}

// joint fills the table of a joint over its units' values.
func (e *elimination) joint(w *work, o *operation, y []float64) {
	clear(y)
	members := w.membersOf(&w.joints[o.id])
	w.run.chain = sized(w.run.chain, len(members))
	low := int32(0)
	for k, u := range members {
		w.run.chain[k] = low
		low += e.width(w, u)
	}
	last := e.lastOf[o.id]
	offsets, _ := w.jointTable(o.id, w.run.chain, last)
	for c, at := range offsets {
		y[at] = w.run.factors[c]
	}
	if last < 0 {
		return
	}
	step := int32(1) << w.run.chain[last]
	for c, at := range offsets {
		y[at+step] = w.run.rest[c]
	}
}

// largest returns the size of a table's largest number, or of any that is not faint.
func largest(table []float64) float64 {
	most := 0.0
	for _, x := range table {
		if most = max(most, math.Abs(x)); most >= faint {
			break
		}
	}
	return most
}

// lift scales a table up whose largest number has become faint, and returns by which
// power of two it was less before.
func (e *elimination) lift(table []float64) (exp int) {
	most := largest(table)
	if most >= faint || most == 0 {
		return 0
	}
	exp = math.Ilogb(most)
	for i := range table {
		table[i] = math.Ldexp(table[i], -exp)
	}
	return exp
}
