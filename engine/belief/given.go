package belief

import "math"

// given works out the probability of the evidence when exactly the faults of a
// set are present. The bits are then independent of each other, and so are the
// units but for the joints, so a set costs little. The units fall into groups
// that no joint connects; a set changes only the groups that its arcs lead to.
type given struct {
	steps   []givenStep
	groups  []givenGroup
	groupOf []int32 // by unit
	factors []float64
	offsets []int32
	at      []int32

	absent   float64   // ln of the weight of no fault, certain faults aside
	certain  int       // faults that are certainly present
	chances  []float64 // by bit, in pairs: on, off
	values   []float64 // like work.value: weight times chance, by value
	plain    []float64 // the same with no fault but the certain ones
	tables   [2][]float64
	counts   []float64
	isIn     []bool // by unit: changed by the set
	changed  []int32
	replaced []float64 // by group: its value with the set

	fields  []int32 // scratch of prepare: the table's units, lowest first
	slotOf  []int32 // by unit
	pending []int32 // by unit
	applied []bool  // by joint
}

type givenStep struct {
	kind  stepKind // stepClose enters a unit's value; stepCouple; stepDrop
	id    int32
	low   int32 // stepDrop: lowest slot of the value
	width int32 // stepClose, stepDrop
	from  int32 // stepCouple: its part of factors and offsets
	to    int32
	mask  int32
}

// givenGroup is a unit without joints (from == to), or the steps of several.
type givenGroup struct {
	unit, from, to int32
	value          float64 // with no fault but the certain ones
}

// prepare makes g ready for the problem that reduce and plan.lay have left.
func (g *given) prepare(w *work) {
	g.steps, g.groups, g.factors, g.offsets = g.steps[:0], g.groups[:0], g.factors[:0], g.offsets[:0]
	g.groupOf = zeroed(g.groupOf, len(w.units))
	g.slotOf = zeroed(g.slotOf, len(w.units))
	g.pending = zeroed(g.pending, len(w.units))
	g.applied = zeroed(g.applied, len(w.joints))
	g.isIn = zeroed(g.isIn, len(w.units))
	for j := range w.joints {
		for _, u := range w.membersOf(&w.joints[j]) {
			g.pending[u]++
		}
	}
	for u := range w.units {
		g.slotOf[u] = -1
		if g.pending[u] == 0 {
			g.groupOf[u] = int32(len(g.groups))
			g.groups = append(g.groups, givenGroup{unit: int32(u)})
		}
	}
	g.fields = g.fields[:0]
	for j := g.next(w); j >= 0; j = g.next(w) {
		from := int32(len(g.steps))
		for ; j >= 0; j = g.near(w) {
			g.apply(w, j)
		}
		g.groups = append(g.groups, givenGroup{unit: -1, from: from, to: int32(len(g.steps))})
	}
	g.weigh(w)
	g.chances = sized(g.chances, 2*len(w.bits))
	for b := range w.bits {
		g.chances[2*b], g.chances[2*b+1] = w.bits[b].on, w.bits[b].off
	}
	g.values = zeroed(g.values, len(w.value))
	for u := range w.units {
		g.fill(w, int32(u))
	}
	g.plain = append(g.plain[:0], g.values...)
	g.replaced = sized(g.replaced, len(g.groups))
	for k := range g.groups {
		g.groups[k].value = g.evaluate(w, &g.groups[k])
	}
}

// weigh works out the weight of no fault.
func (g *given) weigh(w *work) {
	g.absent, g.certain = 0, 0
	product := scale{value: 1}
	for f := range w.weights {
		t := &w.weights[f]
		switch {
		case t.absent.value == 0:
			g.certain++
		case t.absentShare > tiny:
			product.times(t.absentShare)
		default:
			g.absent -= t.log // the share of presence is 1
		}
	}
	g.absent += product.log()
}

// fill works out a unit's weight times chance by value from its bits' chances.
func (g *given) fill(w *work, u int32) {
	t := &w.units[u]
	to := g.values[t.weights:][:t.values]
	g.counts = chooseValue(to, g.chances[2*t.bit:][:2*t.bits], g.counts)
	for v, weight := range w.weightsOf(u) {
		to[v] *= weight
	}
}

// chooseValue fills to with the chance of each value, from 0 for none, of a
// condition whose states are caused independently; chances has a pair on, off
// for each. counts is scratch, which it returns.
func chooseValue(to, chances, counts []float64) []float64 {
	n := len(to) - 1
	switch n {
	case 0:
		to[0] = 1
		return counts
	case 1:
		to[0], to[1] = chances[1], chances[0]
		return counts
	case 2:
		both := chances[0] * chances[2] / 2
		to[0], to[1], to[2] = chances[1]*chances[3], chances[0]*chances[3]+both, chances[1]*chances[2]+both
		return counts
	}
	to[0] = 1
	for s := range n {
		to[0] *= chances[2*s+1]
	}
	counts = sized(counts, n)
	for s := range n {
		// counts[k] is the chance that k of the other states are caused.
		clear(counts)
		counts[0] = 1
		last := 0
		for o := range n {
			if o == s {
				continue
			}
			on, off := chances[2*o], chances[2*o+1]
			last++
			for k := last; k > 0; k-- {
				counts[k] = counts[k]*off + counts[k-1]*on
			}
			counts[0] *= off
		}
		mean := 0.0
		for k, c := range counts {
			mean += c / float64(k+1)
		}
		to[s+1] = chances[2*s] * mean
	}
	return counts
}

// evaluate returns the probability of what bears on a group.
func (g *given) evaluate(w *work, group *givenGroup) float64 {
	if group.from == group.to {
		t := &w.units[group.unit]
		return total(g.values[t.weights:][:t.values])
	}
	table, other := append(g.tables[0][:0], 1), g.tables[1][:0]
	for i := group.from; i < group.to; i++ {
		s := &g.steps[i]
		switch s.kind {
		case stepClose:
			t := &w.units[s.id]
			other = zeroed(other, len(table)<<s.width)
			for v, k := range g.values[t.weights:][:t.values] {
				to := other[v*len(table):][:len(table)]
				for r, x := range table {
					to[r] = k * x
				}
			}
			table, other = other, table
		case stepCouple:
			for k := s.from; k < s.to; k++ {
				couple(table, g.factors[k], int(g.offsets[k]), int(s.mask))
			}
		case stepDrop:
			other = sized(other, len(table)>>s.width)
			dropField(other, table, int(s.low), int(s.width))
			table, other = other, table
		}
	}
	g.tables[0], g.tables[1] = table, other
	return table[0]
}

// log returns ln P(exactly these faults present, evidence). It is -Inf where
// that cannot be.
func (g *given) log(w *work, faults []int32) float64 {
	certain := 0
	sum := w.scale.log() + g.absent
	for _, f := range faults {
		if w.weights[f].absent.value == 0 {
			certain++
			continue
		}
		sum += w.weights[f].log
		g.turnOn(w, w.arcsOf(f))
	}
	product := scale{value: 1}
	for k := range g.groups {
		g.replaced[k] = g.groups[k].value
	}
	for _, u := range g.changed {
		g.fill(w, u)
		g.replaced[g.groupOf[u]] = -1
	}
	for k := range g.groups {
		if g.replaced[k] < 0 {
			g.replaced[k] = g.evaluate(w, &g.groups[k])
		}
		product.times(g.replaced[k])
	}
	g.restore(w)
	if certain < g.certain {
		return math.Inf(-1)
	}
	return sum + product.log()
}

// turnOn lets a fault of the set act on its bits.
func (g *given) turnOn(w *work, arcs []entry) {
	for i := range arcs {
		a := &arcs[i]
		g.chances[2*a.bit] += g.chances[2*a.bit+1] * a.on
		g.chances[2*a.bit+1] *= a.off
		if u := w.bits[a.bit].unit; !g.isIn[u] {
			g.isIn[u] = true
			g.changed = append(g.changed, u)
		}
	}
}

// restore takes the set's faults back out.
func (g *given) restore(w *work) {
	for _, u := range g.changed {
		t := &w.units[u]
		for b := t.bit; b < t.bit+t.bits; b++ {
			g.chances[2*b], g.chances[2*b+1] = w.bits[b].on, w.bits[b].off
		}
		g.isIn[u] = false
		copy(g.values[t.weights:][:t.values], g.plain[t.weights:])
	}
	g.changed = g.changed[:0]
}
