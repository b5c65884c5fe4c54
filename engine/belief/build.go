package belief

// build makes the bits and arcs of what reduce found, folds away the faults
// with fewer than two arcs, and lists the rest as movers.
func (w *work) build(e *Evidence) {
	for u := range w.units {
		if w.units[u].condition >= 0 {
			w.addStates(int32(u), e.Acting)
		}
	}
	w.sortArcs()
	for f := range w.weights {
		w.fold(int32(f))
	}
	for i := range w.bits {
		b := &w.bits[i]
		b.onAll, b.offAll = b.on, b.off
		for k := b.head; k >= 0; k = w.folded[k].next {
			g := &w.folded[k]
			t := &w.weights[g.fault]
			b.onAll += b.offAll * t.presentShare * g.on
			b.offAll *= t.absentShare + t.presentShare*g.off
		}
	}
}

// addStates makes bits of a condition's states that can be caused, and brings
// the weights of its values into their order.
func (w *work) addStates(u int32, acting []float64) {
	n := w.n
	t := &w.units[u]
	t.bit = int32(len(w.bits))
	if t.ruledOut {
		t.bits, t.values = 0, 1
		return
	}
	weights := w.weightsOf(u)
	for s := n.first[t.condition]; s < n.first[t.condition+1]; s++ {
		b := int32(len(w.bits))
		before := len(w.entries)
		for _, k := range n.into.of(s) {
			l := &n.links[k]
			on, off := l.acting(k, acting)
			if on > 0 && w.weights[l.fault].present.value > 0 {
				w.entries = append(w.entries, entry{l.fault, b, on, off})
			}
		}
		if len(w.entries) == before && n.leak[s] == 0 {
			continue
		}
		weights[b-t.bit+1] = weights[s-n.first[t.condition]+1]
		w.bits = append(w.bits, bit{unit: u, state: s - n.first[t.condition] + 1, on: n.leak[s], off: 1 - n.leak[s], head: -1})
	}
	t.bits = int32(len(w.bits)) - t.bit
	t.values = t.bits + 1
}

// sortArcs sorts the entries by fault and merges those to the same bit.
func (w *work) sortArcs() {
	live := w.entries[:0]
	for _, x := range w.entries {
		if w.weights[x.fault].present.value > 0 {
			live = append(live, x)
		}
	}
	w.entries = live
	clear(w.from)
	for i := range w.entries {
		w.from[w.entries[i].fault+1]++
	}
	for f := range w.weights {
		w.from[f+1] += w.from[f]
	}
	if cap(w.arcs) < len(w.entries) {
		w.arcs = make([]entry, len(w.entries))
	}
	w.arcs = w.arcs[:len(w.entries)]
	for i := len(w.entries) - 1; i >= 0; i-- { // fill from the back
		x := &w.entries[i]
		w.from[x.fault+1]--
		w.arcs[w.from[x.fault+1]] = *x
	}
	// Now from[f+1] is the start of fault f: shift down while merging.
	end := int32(0)
	for f := range w.weights {
		start, stop := w.from[f+1], int32(len(w.entries))
		if f+2 < len(w.from) {
			stop = w.from[f+2]
		}
		w.from[f] = end
		for i := start; i < stop; i++ {
			end = w.addArc(w.from[f], end, w.arcs[i])
		}
	}
	w.from[len(w.weights)] = end
	w.arcs = w.arcs[:end]
}

// addArc appends an arc at end, or merges it into the one in start..end that
// leads to the same bit, and returns the new end.
func (w *work) addArc(start, end int32, x entry) int32 {
	for i := start; i < end; i++ {
		if a := &w.arcs[i]; a.bit == x.bit {
			a.on += a.off * x.on
			a.off *= x.off
			return end
		}
	}
	w.arcs[end] = x
	return end + 1
}

func (w *work) arcsOf(fault int32) []entry { return w.arcs[w.from[fault]:w.from[fault+1]] }

// fold takes a fault out of the passes where that is exact: one that is
// certainly present acts as leaks, and one with a single arc is part of its
// bit's leak. Others with arcs become movers.
func (w *work) fold(f int32) {
	arcs := w.arcsOf(f)
	switch {
	case len(arcs) == 0:
	case w.weights[f].absent.value == 0:
		for i := range arcs {
			b := &w.bits[arcs[i].bit]
			b.on += b.off * arcs[i].on
			b.off *= arcs[i].off
		}
	case len(arcs) == 1:
		b := &w.bits[arcs[0].bit]
		w.folded = append(w.folded, folded{f, arcs[0].on, arcs[0].off, b.head})
		b.head = int32(len(w.folded)) - 1
	default:
		w.movers = append(w.movers, f)
		for i := range arcs {
			w.bits[arcs[i].bit].movers++
		}
	}
}
