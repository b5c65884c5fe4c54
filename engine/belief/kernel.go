package belief

// The inner loops. A table's index is a set of live slots; b runs over the
// indexes that have none of the slots at hand, by ((b|mask)+1)&^mask.

// bearInto enters a bit on top: dst has twice src's length.
func bearInto(dst, src []float64, on, off float64) {
	low, high := dst[:len(src)], dst[len(src):][:len(src)]
	for i, x := range src {
		low[i] = off * x
		high[i] = on * x
	}
}

// bearBack is its adjoint in place, in the lower half of back. It returns the
// sums over the table before the bit, given that the bit is off and on.
func bearBack(back, table []float64, on, off float64) (sumOff, sumOn float64) {
	low, high := back[:len(table)], back[len(table):][:len(table)]
	for i, x := range table {
		sumOff += x * low[i]
		sumOn += x * high[i]
		low[i] = off*low[i] + on*high[i]
	}
	return sumOff, sumOn
}

// move2 lets a fault with two arcs act: dst = absent*src + present*T src, with
// absent + present = 1, where T turns each of its bits on with probability on.
func move2(dst, src []float64, absent, present float64, a, b entry, slotA, slotB int32) {
	sa, sb := 1<<slotA, 1<<slotB
	mask := sa | sb
	k00 := absent + present*a.off*b.off
	kaa, kbb := absent+present*b.off, absent+present*a.off
	ka0, kb0 := present*b.off*a.on, present*a.off*b.on
	kab, kba, k11 := present*b.on, present*a.on, present*a.on*b.on
	dst = dst[:len(src)]
	for i := 0; i < len(src); i = ((i | mask) + 1) &^ mask {
		x00, x10, x01, x11 := src[i], src[i|sa], src[i|sb], src[i|mask]
		dst[i] = k00 * x00
		dst[i|sa] = kaa*x10 + ka0*x00
		dst[i|sb] = kbb*x01 + kb0*x00
		dst[i|mask] = x11 + kab*x10 + kba*x01 + k11*x00
	}
}

// move2Back is its adjoint in place. It returns the sums over the table before
// the fault acted, given that it is absent and present.
func move2Back(back, table []float64, absent, present float64, a, b entry, slotA, slotB int32) (sumAbsent, sumPresent float64) {
	sa, sb := 1<<slotA, 1<<slotB
	mask := sa | sb
	table = table[:len(back)]
	for i := 0; i < len(back); i = ((i | mask) + 1) &^ mask {
		y00, y10, y01, y11 := back[i], back[i|sa], back[i|sb], back[i|mask]
		x00, x10, x01, x11 := table[i], table[i|sa], table[i|sb], table[i|mask]
		t10 := b.off*y10 + b.on*y11
		t01 := a.off*y01 + a.on*y11
		t00 := b.off*(a.off*y00+a.on*y10) + b.on*t01
		sumAbsent += (x00*y00 + x10*y10) + (x01*y01 + x11*y11)
		sumPresent += (x00*t00 + x10*t10) + (x01*t01 + x11*y11)
		back[i] = absent*y00 + present*t00
		back[i|sa] = absent*y10 + present*t10
		back[i|sb] = absent*y01 + present*t01
	}
	return sumAbsent, sumPresent
}

// move3 is move2 for three arcs.
func move3(dst, src []float64, absent, present float64, a, b, c entry, slotA, slotB, slotC int32) {
	sa, sb, sc := 1<<slotA, 1<<slotB, 1<<slotC
	mask := sa | sb | sc
	dst = dst[:len(src)]
	for i := 0; i < len(src); i = ((i | mask) + 1) &^ mask {
		x0, xa, xb, xab := src[i], src[i|sa], src[i|sb], src[i|sa|sb]
		y0, ya, yb, yab := src[i|sc], src[i|sa|sc], src[i|sb|sc], src[i|mask]
		// t is T x over a and b, u is T y.
		t0, ta := a.off*x0, xa+a.on*x0
		tb, tab := a.off*xb, xab+a.on*xb
		tb, tab = tb+b.on*t0, tab+b.on*ta
		t0, ta = b.off*t0, b.off*ta
		u0, ua := a.off*y0, ya+a.on*y0
		ub, uab := a.off*yb, yab+a.on*yb
		ub, uab = ub+b.on*u0, uab+b.on*ua
		u0, ua = b.off*u0, b.off*ua
		dst[i] = absent*x0 + present*(c.off*t0)
		dst[i|sa] = absent*xa + present*(c.off*ta)
		dst[i|sb] = absent*xb + present*(c.off*tb)
		dst[i|sa|sb] = absent*xab + present*(c.off*tab)
		dst[i|sc] = absent*y0 + present*(u0+c.on*t0)
		dst[i|sa|sc] = absent*ya + present*(ua+c.on*ta)
		dst[i|sb|sc] = absent*yb + present*(ub+c.on*tb)
		dst[i|mask] = absent*yab + present*(uab+c.on*tab)
	}
}

// move3Back is the adjoint of move3, as move2Back is of move2.
func move3Back(back, table []float64, absent, present float64, a, b, c entry, slotA, slotB, slotC int32) (sumAbsent, sumPresent float64) {
	sa, sb, sc := 1<<slotA, 1<<slotB, 1<<slotC
	mask := sa | sb | sc
	table = table[:len(back)]
	for i := 0; i < len(back); i = ((i | mask) + 1) &^ mask {
		x0, xa, xb, xab := back[i], back[i|sa], back[i|sb], back[i|sa|sb]
		y0, ya, yb, yab := back[i|sc], back[i|sa|sc], back[i|sb|sc], back[i|mask]
		// u is the adjoint over a and b of the half with c on; t of the other.
		ua := b.off*ya + b.on*yab
		ub := a.off*yb + a.on*yab
		u0 := b.off*(a.off*y0+a.on*ya) + b.on*ub
		ta := b.off*xa + b.on*xab
		tb := a.off*xb + a.on*xab
		t0 := b.off*(a.off*x0+a.on*xa) + b.on*tb
		t0, ta = c.off*t0+c.on*u0, c.off*ta+c.on*ua
		tb, tab := c.off*tb+c.on*ub, c.off*xab+c.on*yab
		f0, fa, fb, fab := table[i], table[i|sa], table[i|sb], table[i|sa|sb]
		g0, ga, gb, gab := table[i|sc], table[i|sa|sc], table[i|sb|sc], table[i|mask]
		sumAbsent += ((f0*x0 + fa*xa) + (fb*xb + fab*xab)) + ((g0*y0 + ga*ya) + (gb*yb + gab*yab))
		sumPresent += ((f0*t0 + fa*ta) + (fb*tb + fab*tab)) + ((g0*u0 + ga*ua) + (gb*ub + gab*yab))
		back[i] = absent*x0 + present*t0
		back[i|sa] = absent*xa + present*ta
		back[i|sb] = absent*xb + present*tb
		back[i|sa|sb] = absent*xab + present*tab
		back[i|sc] = absent*y0 + present*u0
		back[i|sa|sc] = absent*ya + present*ua
		back[i|sb|sc] = absent*yb + present*ub
	}
	return sumAbsent, sumPresent
}

// spread turns one bit on: dst = T src. dst may be src.
func spread(dst, src []float64, a entry, slot int32) {
	s := 1 << slot
	dst = dst[:len(src)]
	for i := 0; i < len(src); i = ((i | s) + 1) &^ s {
		x0, x1 := src[i], src[i|s]
		dst[i] = a.off * x0
		dst[i|s] = x1 + a.on*x0
	}
}

// spread2 turns two bits on: dst = T src. dst may be src.
func spread2(dst, src []float64, a, b entry, slotA, slotB int32) {
	sa, sb := 1<<slotA, 1<<slotB
	mask := sa | sb
	dst = dst[:len(src)]
	for i := 0; i < len(src); i = ((i | mask) + 1) &^ mask {
		x00, x10, x01, x11 := src[i], src[i|sa], src[i|sb], src[i|mask]
		x10, x00 = x10+a.on*x00, a.off*x00
		x11, x01 = x11+a.on*x01, a.off*x01
		dst[i], dst[i|sb] = b.off*x00, x01+b.on*x00
		dst[i|sa], dst[i|mask] = b.off*x10, x11+b.on*x10
	}
}

// spreadBack is the adjoint of spread. dst may be src.
func spreadBack(dst, src []float64, a entry, slot int32) {
	s := 1 << slot
	dst = dst[:len(src)]
	for i := 0; i < len(src); i = ((i | s) + 1) &^ s {
		y0, y1 := src[i], src[i|s]
		dst[i] = a.off*y0 + a.on*y1
		dst[i|s] = y1
	}
}

// spread2Back is the adjoint of spread2. dst may be src.
func spread2Back(dst, src []float64, a, b entry, slotA, slotB int32) {
	sa, sb := 1<<slotA, 1<<slotB
	mask := sa | sb
	dst = dst[:len(src)]
	for i := 0; i < len(src); i = ((i | mask) + 1) &^ mask {
		y00, y10, y01, y11 := src[i], src[i|sa], src[i|sb], src[i|mask]
		y00, y01 = a.off*y00+a.on*y10, a.off*y01+a.on*y11
		dst[i], dst[i|sb] = b.off*y00+b.on*y01, y01
		dst[i|sa], dst[i|mask] = b.off*y10+b.on*y11, y11
	}
}

// mix makes dst = absent*src + present*dst.
func mix(dst, src []float64, absent, present float64) {
	dst = dst[:len(src)]
	for i, x := range src {
		dst[i] = absent*x + present*dst[i]
	}
}

// mixBack makes back = absent*back + present*turned, and returns the sums over
// the table before the fault acted, given that it is absent and present.
func mixBack(back, turned, table []float64, absent, present float64) (sumAbsent, sumPresent float64) {
	turned, table = turned[:len(back)], table[:len(back)]
	for i, y := range back {
		t, x := turned[i], table[i]
		sumAbsent += x * y
		sumPresent += x * t
		back[i] = absent*y + present*t
	}
	return sumAbsent, sumPresent
}

// sumOut makes dst[r] = sum over m of weights[m]*src[r with m], where m runs
// over the sets of the slots in mask; offsets[m] is m's part of the index.
func sumOut(dst, src, weights []float64, offsets []int32, mask int) {
	for m, k := range weights {
		part := src[offsets[m]:]
		i := 0
		if m == 0 {
			for r := range dst {
				dst[r] = k * part[i]
				i = ((i | mask) + 1) &^ mask
			}
			continue
		}
		for r := range dst {
			dst[r] += k * part[i]
			i = ((i | mask) + 1) &^ mask
		}
	}
}

// spreadOut is the adjoint of sumOut. It returns in sums, by m, the sum over
// the table before, given m and leaving out its weight.
func spreadOut(dst, back, table, weights, sums []float64, offsets []int32, mask int) {
	for m, k := range weights {
		part, from := dst[offsets[m]:], table[offsets[m]:]
		i, sum := 0, 0.0
		for _, y := range back {
			sum += from[i] * y
			part[i] = k * y
			i = ((i | mask) + 1) &^ mask
		}
		sums[m] = sum
	}
}

// couple multiplies the part of a table at an offset by k.
func couple(table []float64, k float64, offset, mask int) {
	if k == 1 {
		return
	}
	for i := 0; i < len(table); i = ((i | mask) + 1) &^ mask {
		table[i|offset] *= k
	}
}

// dropField sums out the slots low..low+width of src.
func dropField(dst, src []float64, low, width int) {
	size := 1 << low
	for r := 0; r < len(dst); r += size {
		from := src[r<<width:]
		to := dst[r : r+size]
		copy(to, from)
		for v := 1; v < 1<<width; v++ {
			part := from[v<<low:][:size]
			for i := range to {
				to[i] += part[i]
			}
		}
	}
}

// dropBack is the adjoint of dropField. It adds to sums, by value of the field,
// the sums over the table before.
func dropBack(dst, back, table, sums []float64, low, width int) {
	size := 1 << low
	for r := 0; r < len(back); r += size {
		y := back[r : r+size]
		for v := range 1 << width {
			at := r<<width + v<<low
			copy(dst[at:at+size], y)
			part := table[at:][:size]
			sum := 0.0
			for i := range y {
				sum += y[i] * part[i]
			}
			sums[v] += sum
		}
	}
}

func total(table []float64) float64 {
	a, b := 0.0, 0.0
	for ; len(table) >= 2; table = table[2:] {
		a += table[0]
		b += table[1]
	}
	if len(table) == 1 {
		a += table[0]
	}
	return a + b
}
