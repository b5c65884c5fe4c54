package belief

import (
	"math"
	"math/bits"
	"slices"
)

// placed is a table while the program is made.
type placed struct {
	at    int32
	slots []int32 // lowest first
	mask  []uint64
	size  int32
	wants bool // what is asked for has gone into it: a fault's presence, or the weights of a condition's values
}

// factor is a table that is there from the start, or what a node leaves.
type factor struct {
	kind operationKind // of the operation that fills it; opSumOut: what a node leaves
	id   int32
	mask []uint64
	left placed // what a node has left, once made
}

// compiler makes a program.
type compiler struct {
	e       *elimination
	w       *work
	p       *program
	words   int
	factors []factor
	left    int32     // the first of them that a node leaves; they go by turn
	turn    []int32   // by node: when it goes
	members [][]int32 // by turn: the factors that go with it
	rank    []int32   // by slot: where it stands in the tables of the node at hand
	bucket  []placed
	mask    []uint64
	apart   []uint64 // slots
	strides [3][]int32
	ops     []operation
	index   []uint32
}

// mostNumbers is how many numbers all tables of a program may have: 32 MiB of them.
const mostNumbers = 1 << 22

// compile makes the program of the order in e.order.best, or returns nil where it takes more
// products than the limit or too large tables.
func (e *elimination) compile(w *work, limit float64) *program {
	c := &compiler{e: e, w: w, p: &program{size: 1}, words: words(len(e.slots)), ops: e.ops[:0], index: e.index[:0]}
	defer func() { e.ops, e.index = c.ops, c.index }()
	c.mask, c.apart = make([]uint64, c.words), make([]uint64, c.words)
	c.rank = make([]int32, len(e.slots))
	c.turn, c.members = make([]int32, len(e.nodes)), make([][]int32, len(e.nodes))
	for k, i := range e.order.best {
		c.turn[i] = int32(k)
	}
	for s := range e.slots {
		if e.slots[s].apart {
			set(c.apart, int32(s))
		}
	}
	c.enter()
	c.left = int32(len(c.factors))
	for _, i := range e.order.best {
		c.leave(i)
	}
	for _, i := range e.order.best {
		if c.eliminate(i, limit); c.isTooMuch(limit) {
			return nil
		}
	}
	c.p.joints = w.coupleOrder()
	c.p.ops = slices.Clone(c.ops)
	if slices.ContainsFunc(c.index, func(x uint32) bool { return x > math.MaxUint16 }) {
		c.p.long = slices.Clone(c.index)
		return c.p
	}
	c.p.short = make([]uint16, len(c.index))
	for i, x := range c.index {
		c.p.short[i] = uint16(x)
	}
	return c.p
}

// enter lists the tables that are there from the start.
func (c *compiler) enter() {
	e, w := c.e, c.w
	for s := range e.slots {
		if e.slots[s].isFromBits {
			c.mask = make([]uint64, c.words)
			set(c.mask, int32(s))
			c.add(factor{kind: opBit, id: int32(s), mask: c.mask})
		}
	}
	for m, f := range w.movers {
		c.mask = make([]uint64, c.words)
		for _, a := range w.arcsOf(f) {
			set(c.mask, e.slotOf[a.bit])
		}
		c.add(factor{kind: opFault, id: int32(m), mask: c.mask})
	}
	for j := range w.joints {
		if e.switchOf[j] >= 0 {
			continue
		}
		c.mask = make([]uint64, c.words)
		for _, s := range c.jointSlots(int32(j)) {
			set(c.mask, s)
		}
		c.add(factor{kind: opJoint, id: int32(j), mask: c.mask})
	}
	c.mask = make([]uint64, c.words)
}

// jointSlots returns the slots of the values that a joint couples.
func (c *compiler) jointSlots(j int32) (slots []int32) {
	e := c.e
	for _, u := range c.w.membersOf(&c.w.joints[j]) {
		slots = append(slots, e.ownSlots(e.nodes[e.nodeOf[u]].value)...)
	}
	return slots
}

func (e *elimination) ownSlots(i int32) (slots []int32) {
	d := &e.nodes[i]
	for s := d.slot; s < d.slot+d.slots; s++ {
		slots = append(slots, s)
	}
	return slots
}

// weightSlots returns the slots of a node's weights, lowest first.
func (e *elimination) weightSlots(i int32) (slots []int32) {
	d := &e.nodes[i]
	slots = e.ownSlots(i)
	for _, j := range e.attached[d.attached:][:d.heeds] {
		slots = append(slots, e.switchOf[j])
	}
	if d.value >= 0 {
		slots = append(slots, e.ownSlots(d.value)...)
	}
	return slots
}

// add enters a factor where the first of its slots goes. One without slots is a factor of
// P(evidence) itself.
func (c *compiler) add(f factor) {
	turn := c.firstTurn(f.mask)
	k := int32(len(c.factors))
	c.factors = append(c.factors, f)
	if turn < int32(len(c.members)) {
		c.members[turn] = append(c.members[turn], k)
	} else if f.kind == opJoint {
		c.p.roots = append(c.p.roots, c.fill(k).at)
	}
}

// firstTurn is when the first of some slots goes; without slots, after all.
func (c *compiler) firstTurn(mask []uint64) int32 {
	turn := int32(len(c.members))
	for k, m := range mask {
		for ; m != 0; m &= m - 1 {
			turn = min(turn, c.turn[c.e.slots[k*64+bits.TrailingZeros64(m)].node])
		}
	}
	return turn
}

// leave enters what a node leaves when it goes.
func (c *compiler) leave(i int32) {
	mask := make([]uint64, c.words)
	for _, k := range c.members[c.turn[i]] {
		unite(mask, c.factors[k].mask)
	}
	if c.e.nodes[i].numbers > 0 {
		for _, s := range c.e.weightSlots(i) {
			set(mask, s)
		}
	}
	for k, own := range row(c.e.order.own, int(i), c.words) {
		mask[k] &^= own
	}
	c.add(factor{kind: opSumOut, id: i, mask: mask})
}

// fill adds the operation that fills the table of a factor.
func (c *compiler) fill(k int32) placed {
	f := &c.factors[k]
	o := operation{kind: f.kind, id: f.id, at: int32(len(c.index))}
	slots := c.sorted(f.mask)
	switch f.kind {
	case opSumOut:
		return f.left
	case opJoint:
		slots = c.jointSlots(f.id)
	case opFault:
		for _, a := range c.w.arcsOf(c.w.movers[f.id]) {
			c.index = append(c.index, uint32(slices.Index(slots, c.e.slotOf[a.bit])))
		}
		o.passes, o.inner = int32(len(c.index))-o.at, int32(len(slots))
		for _, s := range slots {
			c.index = append(c.index, uint32(s))
		}
	}
	t := c.place(&o, slots)
	t.wants = !c.e.forValues && (f.kind == opFault || f.kind == opBit && c.e.slots[f.id].folds)
	c.ops = append(c.ops, o)
	return t
}

// place finds room for a table.
func (c *compiler) place(x *operation, slots []int32) placed {
	x.y, x.size = int32(c.p.size), 1<<min(len(slots), 30)
	c.p.size += 1 << min(len(slots), 40)
	c.p.live = max(c.p.live, len(slots))
	t := placed{at: x.y, slots: slots, mask: make([]uint64, c.words), size: x.size}
	for _, s := range slots {
		set(t.mask, s)
	}
	return t
}

// rankFor orders the slots for the tables of a turn by how few of them have a slot:
// where the lowest slots of a table are not among those of another, runs are long. The
// slots that go are on top.
func (c *compiler) rankFor(turn int32) {
	clear(c.rank)
	if turn == int32(len(c.members)) {
		return
	}
	for _, k := range c.members[turn] {
		for q, m := range c.factors[k].mask {
			for ; m != 0; m &= m - 1 {
				c.rank[q*64+bits.TrailingZeros64(m)]++
			}
		}
	}
	for s := range c.rank { // slots that are apart cut runs where two tables share them
		if c.e.slots[s].apart {
			c.rank[s] += 1 << 16
		}
	}
	d := &c.e.nodes[c.e.order.best[turn]]
	for s := d.slot; s < d.slot+d.slots; s++ {
		c.rank[s] += 1 << 24
	}
}

// sorted returns the slots of a mask by rank.
func (c *compiler) sorted(mask []uint64) (slots []int32) {
	for k, m := range mask {
		for ; m != 0; m &= m - 1 {
			slots = append(slots, int32(k*64+bits.TrailingZeros64(m)))
		}
	}
	slices.SortStableFunc(slots, func(a, b int32) int { return int(c.rank[a] - c.rank[b]) })
	return slots
}
