package belief

import "slices"

// multiply combines two tables. A slot that is apart in both is off where both have
// it off, and on else.
func (c *compiler) multiply(x, f placed) placed {
	o := operation{kind: opMultiply, x: x.at, f: f.at}
	if len(f.slots) > len(x.slots) {
		x, f = f, x
		o.x, o.f = x.at, f.at
	}
	for k := range c.mask {
		c.mask[k] = x.mask[k] | f.mask[k]
	}
	slots := c.sorted(c.mask)
	y := c.place(&o, slots)
	var loop, shared []int32
	for _, s := range slots {
		if c.e.slots[s].apart && has(x.mask, s) && has(f.mask, s) {
			shared = append(shared, s)
		} else {
			loop = append(loop, s)
		}
	}
	passes := []int32{0, 0, 0}
	if len(shared) > 0 {
		f = c.widen(f, shared)
		o.f = f.at
	}
	sf := int32(1) << len(f.slots) // of the first shared slot
	for _, s := range shared {
		sy, sx := stride(y.slots, s), stride(x.slots, s)
		n := len(passes)
		for i := 0; i < n; i += 3 {
			py, px, pf := passes[i], passes[i+1], passes[i+2]
			passes = append(passes, py+sy, px, pf+sf, py+sy, px+sx, pf+2*sf)
		}
		sf *= 3
	}
	c.emit(&o, y, x, f, loop, passes)
	y.wants = x.wants || f.wants
	return y
}

// widen makes a table that has the slots in wide on top with a third setting each,
// either: the sum of off and on.
func (c *compiler) widen(x placed, wide []int32) placed {
	o := operation{kind: opWiden, x: x.at, at: int32(len(c.index))}
	var rest []int32
	for _, s := range x.slots {
		if !slices.Contains(wide, s) {
			rest = append(rest, s)
		}
	}
	o.inner, o.outer = 1<<len(rest), 1
	for range wide {
		if o.outer *= 3; int(o.inner)*int(o.outer) > mostNumbers {
			c.p.size = mostNumbers + 1
			return x
		}
	}
	o.y, o.size = int32(c.p.size), o.inner*o.outer
	if c.p.size += int(o.size); c.p.size > mostNumbers {
		return x
	}
	for i := range o.inner {
		at := int32(0)
		for k, s := range rest {
			at += i >> k & 1 * stride(x.slots, s)
		}
		c.index = append(c.index, uint32(at))
	}
	for t := range o.outer {
		at := int32(0)
		for q, k := t, 0; k < len(wide) && eitherStep(t) == 0; q, k = q/3, k+1 {
			at += q % 3 * stride(x.slots, wide[k])
		}
		c.index = append(c.index, uint32(at))
	}
	o.sizeX, o.wantsX = x.size, x.wants
	c.ops = append(c.ops, o)
	return placed{at: o.y, slots: rest, size: o.size, wants: x.wants}
}

// sumOut combines a table with a node's weights and sums the node out.
func (c *compiler) sumOut(i int32, x, f placed) {
	o := operation{kind: opSumOut, x: x.at, f: f.at}
	to := &c.factors[c.left+c.turn[i]]
	c.rankFor(c.firstTurn(to.mask))
	slots := c.sorted(to.mask)
	y := c.place(&o, slots)
	passes := []int32{0, 0, 0}
	for _, s := range c.e.ownSlots(i) {
		sx, sf := stride(x.slots, s), stride(f.slots, s)
		n := len(passes)
		for q := 0; q < n; q += 3 {
			passes = append(passes, 0, passes[q+1]+sx, passes[q+2]+sf)
		}
	}
	c.emit(&o, y, x, f, slots, passes)
	y.wants = x.wants || f.wants
	if to.left = y; len(slots) == 0 {
		c.p.roots = append(c.p.roots, y.at)
	}
}

// eitherStep returns how many rows before a row of a widened table stands that with the
// topmost of its slots on that are either; 0 where there is none. Off stands as far before
// that. Row t has the slots' settings as the ternary digits of t.
func eitherStep(t int32) (step int32) {
	for q, at := t, int32(1); q > 0; q, at = q/3, at*3 {
		if q%3 == 2 {
			step = at
		}
	}
	return step
}

// stride is how far apart the numbers with a slot off and on are; 0 where a table has
// no such slot.
func stride(slots []int32, s int32) int32 {
	if k := slices.Index(slots, s); k >= 0 {
		return 1 << k
	}
	return 0
}

// mostInner bounds the inner blocks of an operation, so that their list stays short.
const mostInner = 5

// emit lays the loop over slots out in runs and blocks, and adds the operation.
func (c *compiler) emit(o *operation, y, x, f placed, loop, passes []int32) {
	if c.p.size > mostNumbers {
		return
	}
	n := len(loop)
	o.sizeX, o.sizeF, o.wantsX, o.wantsF = x.size, f.size, x.wants, f.wants
	s := &c.strides
	for k := range s {
		s[k] = s[k][:0]
	}
	for _, l := range loop {
		s[0] = append(s[0], stride(y.slots, l))
		s[1] = append(s[1], stride(x.slots, l))
		s[2] = append(s[2], stride(f.slots, l))
	}
	o.run, o.how = 1, runBoth
	k := 0
	if n > 0 && s[0][0] == 1 {
		inX, inF := s[1][0] == 1, s[2][0] == 1
		switch {
		case inX && s[2][0] == 0:
			o.how = runX
		case inF && s[1][0] == 0:
			o.how, inF = runF, true
		case inX && inF:
			o.how = runBoth
		default:
			inX, inF = false, false
		}
		if inX || inF {
			for ; k < n; k++ {
				at := int32(1) << k
				if s[0][k] != at || s[1][k] != goes(inX, at) || s[2][k] != goes(inF, at) {
					break
				}
			}
			o.run = 1 << k
		}
	}
	inner := min(n, k+mostInner)
	o.at = int32(len(c.index))
	for _, x := range passes {
		c.index = append(c.index, uint32(x))
	}
	o.passes = int32(len(passes) / 3)
	o.inner = c.offsets(k, inner)
	o.outer = c.offsets(inner, n)
	c.p.work += float64(o.passes) * float64(o.run*o.inner*o.outer)
	c.ops = append(c.ops, *o)
}

func goes(in bool, at int32) int32 {
	if in {
		return at
	}
	return 0
}

// offsets appends the offsets of all settings of the loop's slots from..to, and
// returns how many there are.
func (c *compiler) offsets(from, to int) int32 {
	start := len(c.index)
	c.index = append(c.index, 0, 0, 0)
	for k := from; k < to; k++ {
		end := len(c.index)
		for i := start; i < end; i += 3 {
			for q := range 3 {
				c.index = append(c.index, c.index[i+q]+uint32(c.strides[q][k]))
			}
		}
	}
	return int32(len(c.index)-start) / 3
}
