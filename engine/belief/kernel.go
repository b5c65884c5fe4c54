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
