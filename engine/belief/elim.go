package belief

import (
	"math"
	"slices"
)

// elimination is the way that most queries take: variable elimination (Zhang and
// Poole 1996; Dechter 1999, "Bucket elimination"; both from memory) on what reduce
// and build have left. Where it would need more than the passes over one table of
// work.run, those answer instead (see prepare); both are exact.
//
// Tables have one number for each setting of some slots, each of which is off (0)
// or on (1). A slot stands for a bit in one of two ways:
//
//   - kept apart, the numbers are the chances that the bit is off and on. Two
//     tables that can both turn it on combine as causes of a noisy-OR do;
//   - cumulative, they are the chance that the bit is off, and that of either. Two
//     tables then simply multiply, as off and whatever is both multiply.
//
// What a condition's values weigh is in its unit's weights by set of bits. On a
// cumulative slot w(off) p(off) + w(on) p(on) becomes
// (w(off) - w(on)) p(off) + w(on) p(either). Where evidence speaks against a state no
// such difference is negative: nothing cancels, and each result keeps its digits however
// small it is. Other bits are kept apart, but for those whose cancelling is bounded and
// small, see spend.
//
// A finding that couples conditions, so that it weighs
// h + (n-h) (1-leak) off1 off2 ..., is a switch: a slot of its own that is on with
// weight h, and off with the other and then leaves each of them its factor. Where the
// finding holds, n-h is negative, and what that cancels is bounded too. What the bounds
// do not admit is a table over the values of its conditions, which get slots too.
type elimination struct {
	slots     []slot
	nodes     []node
	slotOf    []int32 // by bit; -1 where it has none
	switchOf  []int32 // by joint: its slot, or -1
	nodeOf    []int32 // by unit
	byValue   []bool  // by unit: a joint asks for its value
	left      float64 // what may still be lost, see spend
	acts      []int32 // by unit: the joint that asks just how far it acts, or -1
	lastOf    []int32 // by joint: the place of the unit that it asks so, or -1
	attached  []int32 // the nodes' joints whose switches they heed, in a row
	weights   []float64
	trial     []float64
	losses    []float64 // by slot, see findLosses
	stale     []bool    // by slot: its loss was found before others of its node
	key       []int32
	forValues bool      // the question at hand: values of conditions in place of faults
	sizes     []float64 // scratch of sumWeights
	order     elimOrder
	plan      *program
	ops       []operation // scratch of compile, as is index
	index     []uint32
	table     []float64
	back      []float64
	acted     []int32   // scratch: slots of a fault's table
	chances   []float64 // scratch: off and on by slot of a fault's table
}

// slot is one place of an index.
type slot struct {
	node       int32
	apart      bool
	bit, many  int32 // its bits: several where it is on as soon as one of them is
	isFromBits bool
	folds      bool // faults are folded into its bits
}

// node is what is eliminated at once.
type node struct {
	unit             int32 // or -1
	joint            int32 // of a switch; or -1
	slot, slots      int32
	attached, heeds  int32   // in elimination.attached: joints
	value            int32   // the node of its value, or -1
	loss             float64 // by how much its weights cancel, see spend
	weights, numbers int32   // in elimination.weights: own slots lowest, then those of switches, then of the value
}

// mostStates is how many bits a unit may have: its weights take twice the work with each.
const mostStates = 8

// mostWeights is how many slots a node's table of weights may have, and a fault's table.
const mostWeights = 14

// describe turns the problem into slots and nodes; ok is false where that would take
// tables that are too large.
func (e *elimination) describe(w *work) (ok bool) {
	e.slots, e.nodes = e.slots[:0], e.nodes[:0]
	e.weights, e.attached = e.weights[:0], e.attached[:0]
	e.slotOf = sized(e.slotOf, len(w.bits))
	for b := range e.slotOf {
		e.slotOf[b] = -1
	}
	e.nodeOf = sized(e.nodeOf, len(w.units))
	e.byValue = zeroed(e.byValue, len(w.units))
	e.switchOf = sized(e.switchOf, len(w.joints))
	e.acts, e.lastOf = sized(e.acts, len(w.units)), sized(e.lastOf, len(w.joints))
	for u := range e.nodeOf {
		e.nodeOf[u], e.acts[u] = -1, -1
	}
	for u := range w.units {
		if w.units[u].bits > mostStates {
			return false
		}
	}
	e.chooseSwitches(w)
	for j := range w.joints {
		e.askLast(w, int32(j))
	}
	for u := range w.units {
		if e.nodeOf[u] < 0 && !e.addUnit(w, int32(u)) {
			return false
		}
	}
	e.spend(w)
	for u := range w.units {
		if e.byValue[u] {
			e.addValue(w, int32(u))
		}
	}
	return true
}

// chooseSwitches makes switches of the joints that may be. One for a finding that holds
// has a negative weight, and costs from what may be lost; those go first that cost least.
func (e *elimination) chooseSwitches(w *work) {
	e.left = e.mayLose()
	for j := range w.joints {
		e.switchOf[j] = -1
		if t := &w.joints[j]; !w.n.findings[t.finding].clamps && t.holds < t.none {
			e.addSwitch(w, int32(j))
		}
	}
	for {
		best, least := -1, e.left
		for j := range w.joints {
			if e.switchOf[j] >= 0 {
				continue
			}
			if x := w.switchLoss(&w.joints[j]); x <= least {
				best, least = j, x
			}
		}
		if best < 0 {
			break
		}
		e.left /= least
		e.addSwitch(w, int32(best))
	}
	for j := range w.joints {
		if e.switchOf[j] < 0 {
			for _, u := range w.membersOf(&w.joints[j]) {
				e.byValue[u] = true
			}
		}
	}
}

// switchLoss bounds by how much the weights of a joint's switch cancel: most, where
// nothing makes the finding hold but chance.
func (w *work) switchLoss(j *joint) float64 {
	f := &w.n.findings[j.finding]
	if f.clamps {
		return math.Inf(1)
	}
	for i := range f.shown {
		if slices.Min(f.shown[i].on) < 0 {
			return math.Inf(1)
		}
	}
	more := j.holds - j.none
	return (j.holds + more*(1-f.leak)) / (j.none + more*f.leak)
}

// addSwitch makes the node of a joint's switch, which is also the bit that its
// faults turn on: off, none of them has acted.
func (e *elimination) addSwitch(w *work, j int32) {
	t := &w.joints[j]
	s := int32(len(e.slots))
	e.switchOf[j] = s
	x := slot{node: int32(len(e.nodes))}
	d := node{unit: -1, joint: j, slot: s, slots: 1, value: -1, weights: int32(len(e.weights)), numbers: 2}
	for _, u := range w.membersOf(t)[t.conditions:] {
		x.bit, x.many, x.isFromBits = w.units[u].bit, 1, true
		e.slotOf[x.bit] = s
		x.folds = w.bits[x.bit].head >= 0
		e.nodeOf[u] = x.node
		d.unit = u
	}
	e.slots, e.nodes = append(e.slots, x), append(e.nodes, d)
	e.weights = append(e.weights, (t.none-t.holds)*(1-w.n.findings[t.finding].leak), t.holds)
}

// addUnit makes the node of a unit and its weights.
func (e *elimination) addUnit(w *work, u int32) (ok bool) {
	t := &w.units[u]
	d := node{unit: u, joint: -1, slot: int32(len(e.slots)), slots: t.bits, attached: int32(len(e.attached)), value: -1, loss: 1}
	for j := range w.joints {
		if e.switchOf[j] >= 0 && e.memberAt(w, int32(j), u) >= 0 {
			e.attached = append(e.attached, int32(j))
		}
	}
	d.heeds = int32(len(e.attached)) - d.attached
	width := int32(0)
	if e.byValue[u] {
		width = e.width(w, u)
	}
	if t.bits+d.heeds+width > mostWeights {
		return false
	}
	if t.bits > 1 && width == 0 && !e.asks(w, &d) && e.statesAlike(w, &d) {
		d.slots = 1
	}
	e.nodeOf[u] = int32(len(e.nodes))
	for k := range d.slots {
		x := slot{node: e.nodeOf[u], bit: t.bit + k, many: 1, apart: true, isFromBits: true}
		if d.slots < t.bits {
			x.many = t.bits
		}
		for b := x.bit; b < x.bit+x.many; b++ {
			e.slotOf[b] = int32(len(e.slots))
			x.folds = x.folds || w.bits[b].head >= 0
		}
		e.slots = append(e.slots, x)
	}
	d.weights, d.numbers = int32(len(e.weights)), 1<<(d.slots+d.heeds+width)
	e.weigh(w, &d)
	e.cumulate(w, &d)
	e.nodes = append(e.nodes, d)
	return true
}

// askLast chooses the unit of a joint for findings that hold that it asks just how far
// it acts. Its chance is then that the others bring, and where they do not what the last
// one does: a + b acts, with a and b tables of the others, and neither negative.
// The unit must be in no other such joint; best is the one with most bits.
func (e *elimination) askLast(w *work, j int32) {
	t := &w.joints[j]
	e.lastOf[j] = -1
	f := &w.n.findings[t.finding]
	if e.switchOf[j] >= 0 || f.clamps {
		return
	}
	best := int32(0)
	for k, u := range w.membersOf(t)[:t.conditions] {
		if e.inOthers(w, j, u) || slices.Min(f.shown[k].on) < 0 || w.units[u].bits <= best {
			continue
		}
		best, e.lastOf[j] = w.units[u].bits, int32(k)
	}
	if k := e.lastOf[j]; k >= 0 {
		e.acts[w.membersOf(t)[k]] = j
	}
}

// inOthers reports whether another joint asks for the value of a unit.
func (e *elimination) inOthers(w *work, j, u int32) bool {
	for o := range w.joints {
		if int32(o) != j && e.switchOf[o] < 0 && slices.Contains(w.membersOf(&w.joints[o]), u) {
			return true
		}
	}
	return false
}

// width returns how many slots the value of a unit takes, where a joint asks for it.
func (e *elimination) width(w *work, u int32) int32 {
	if e.acts[u] >= 0 {
		return 1
	}
	return int32(w.units[u].width())
}

// memberAt returns the place of a unit among the conditions of a joint, or -1.
func (e *elimination) memberAt(w *work, j, u int32) int32 {
	t := &w.joints[j]
	for k, m := range w.membersOf(t)[:t.conditions] {
		if m == u {
			return int32(k)
		}
	}
	return -1
}

// addValue makes the node of a unit's value.
func (e *elimination) addValue(w *work, u int32) {
	d := node{unit: -1, joint: -1, slot: int32(len(e.slots)), slots: e.width(w, u), value: -1}
	e.nodes[e.nodeOf[u]].value = int32(len(e.nodes))
	for range d.slots {
		e.slots = append(e.slots, slot{node: int32(len(e.nodes))})
	}
	e.nodes = append(e.nodes, d)
}
