package belief

// next returns the first joint, in the order of w.coupling, that has not applied.
func (g *given) next(w *work) int32 {
	for _, j := range w.coupling {
		if !g.applied[j] {
			return j
		}
	}
	return -1
}

// near is next among the joints of units in the table, -1 if that is empty.
func (g *given) near(w *work) int32 {
	if len(g.fields) == 0 {
		return -1
	}
	for _, j := range w.coupling {
		if g.applied[j] {
			continue
		}
		for _, u := range w.membersOf(&w.joints[j]) {
			if g.slotOf[u] >= 0 {
				return j
			}
		}
	}
	return -1
}

// apply adds the steps that enter a joint's units, multiply by its table and
// drop the units whose joints have all applied.
func (g *given) apply(w *work, j int32) {
	g.applied[j] = true
	members := w.membersOf(&w.joints[j])
	for _, u := range members {
		if g.slotOf[u] < 0 {
			g.slotOf[u] = g.slots(w)
			g.fields = append(g.fields, u)
			g.groupOf[u] = int32(len(g.groups))
			g.steps = append(g.steps, givenStep{kind: stepClose, id: u, width: int32(w.units[u].width())})
		}
	}
	g.at = g.at[:0]
	for _, u := range members {
		g.at = append(g.at, g.slotOf[u])
	}
	offsets, mask := w.jointTable(j, g.at, -1)
	from := int32(len(g.factors))
	g.factors, g.offsets = append(g.factors, w.run.factors...), append(g.offsets, offsets...)
	g.steps = append(g.steps, givenStep{kind: stepCouple, id: j, from: from, to: int32(len(g.factors)), mask: int32(mask)})
	for _, u := range members {
		if g.pending[u]--; g.pending[u] == 0 {
			g.drop(w, u)
		}
	}
}

func (g *given) slots(w *work) (n int32) {
	for _, u := range g.fields {
		n += int32(w.units[u].width())
	}
	return n
}

func (g *given) drop(w *work, u int32) {
	width := int32(w.units[u].width())
	g.steps = append(g.steps, givenStep{kind: stepDrop, id: u, low: g.slotOf[u], width: width})
	kept := g.fields[:0]
	for _, v := range g.fields {
		if v == u {
			continue
		}
		if g.slotOf[v] > g.slotOf[u] {
			g.slotOf[v] -= width
		}
		kept = append(kept, v)
	}
	g.fields = kept
	g.slotOf[u] = -1
}
