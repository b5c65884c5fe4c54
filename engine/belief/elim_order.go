package belief

import (
	"math"
	"math/bits"
)

// elimOrder finds an order in which to eliminate nodes that keeps tables small. It works
// on the graph of the slots in which those that stand in one table are neighbours.
type elimOrder struct {
	words    int
	first    []uint64 // by slot: its neighbours and itself, before any elimination
	near     []uint64 // the same as the trial goes on
	own      []uint64 // by node: its slots
	clique   []uint64
	waitsFor []int32 // by node: nodes that must go first
	waiting  []int32
	left     []int32
	trial    []int32
	best     []int32
	cost     float64
	random   uint64
}

// mostTrials bounds the search, and is enough that more seldom find anything better; a judgement.
const mostTrials = 12

// mostSlots is how many slots a search takes on: it takes their square in time.
const mostSlots = 1 << 10

// arrange leaves the best order of several trials in o.best. Each eliminates next the
// node that leaves the smallest table or, every other trial, that brings the fewest
// new neighbours together; after the first two ties are broken at random, always alike.
// There may be none whose cost is below the limit; which is the best does not hang on it.
func (e *elimination) arrange(w *work, limit float64) {
	o := &e.order
	o.graph(e, w)
	o.cost, o.best = min(limit, mostNumbers), o.best[:0] // what takes more is not wanted
	trials := mostTrials
	if len(e.slots) > 64 {
		trials = 2
	}
	for k := range trials {
		if w.stopped() {
			return
		}
		o.random = uint64(k + 1)
		o.try(e, k%2 == 1, k >= 2)
	}
}

// graph makes the neighbours before any elimination.
func (o *elimOrder) graph(e *elimination, w *work) {
	o.words = words(len(e.slots))
	o.first = zeroed(o.first, len(e.slots)*o.words)
	o.near = sized(o.near, len(o.first))
	o.own = zeroed(o.own, len(e.nodes)*o.words)
	o.clique = zeroed(o.clique, o.words)
	o.waitsFor = zeroed(o.waitsFor, len(e.nodes))
	for s := range e.slots {
		set(row(o.own, int(e.slots[s].node), o.words), int32(s))
		set(row(o.first, s, o.words), int32(s))
	}
	for i := range e.nodes {
		d := &e.nodes[i]
		copy(o.clique, row(o.own, i, o.words))
		for _, j := range e.attached[d.attached:][:d.heeds] {
			set(o.clique, e.switchOf[j])
			o.waitsFor[e.slots[e.switchOf[j]].node]++
		}
		if d.value >= 0 {
			unite(o.clique, row(o.own, int(d.value), o.words))
			o.waitsFor[d.value]++
		}
		o.connect()
	}
	for _, f := range w.movers {
		clear(o.clique)
		for _, a := range w.arcsOf(f) {
			set(o.clique, e.slotOf[a.bit])
		}
		o.connect()
	}
	for j := range w.joints {
		if e.switchOf[j] >= 0 {
			continue
		}
		clear(o.clique)
		for _, u := range w.membersOf(&w.joints[j]) {
			unite(o.clique, row(o.own, int(e.nodes[e.nodeOf[u]].value), o.words))
		}
		o.connect()
	}
}

// connect makes all slots of o.clique neighbours.
func (o *elimOrder) connect() {
	for k, m := range o.clique {
		for ; m != 0; m &= m - 1 {
			unite(row(o.first, k*64+bits.TrailingZeros64(m), o.words), o.clique)
		}
	}
}

// try goes through one order and keeps it if it is the cheapest so far.
func (o *elimOrder) try(e *elimination, byFill, random bool) {
	copy(o.near, o.first)
	o.waiting = append(o.waiting[:0], o.waitsFor...)
	o.left = o.left[:0]
	for i := range e.nodes {
		o.left = append(o.left, int32(i))
	}
	o.trial = o.trial[:0]
	cost := 0.0
	for len(o.left) > 0 {
		at, least := -1, math.Inf(1)
		for k, i := range o.left {
			if o.waiting[i] > 0 {
				continue
			}
			x := o.score(e, i, byFill)
			if random {
				x += o.draw()
			}
			if x < least {
				at, least = k, x
			}
		}
		i := o.left[at]
		o.left[at] = o.left[len(o.left)-1]
		o.left = o.left[:len(o.left)-1]
		o.trial = append(o.trial, i)
		o.gather(e, i)
		if cost += o.size(e); cost >= o.cost {
			return
		}
		o.eliminate(e, i)
	}
	o.cost = cost
	o.trial, o.best = o.best, o.trial
}

// gather puts a node's slots and their neighbours into o.clique.
func (o *elimOrder) gather(e *elimination, i int32) {
	d := &e.nodes[i]
	clear(o.clique)
	for s := d.slot; s < d.slot+d.slots; s++ {
		unite(o.clique, row(o.near, int(s), o.words))
	}
}

// size is the work that the table over o.clique makes: its numbers, and more where
// slots are apart, which combine three ways and not two.
func (o *elimOrder) size(e *elimination) float64 {
	x := 1.0
	for k, m := range o.clique {
		for ; m != 0; m &= m - 1 {
			x *= 2
			if e.slots[k*64+bits.TrailingZeros64(m)].apart {
				x *= 1.5
			}
		}
	}
	return x
}

func (o *elimOrder) score(e *elimination, i int32, byFill bool) float64 {
	o.gather(e, i)
	if !byFill {
		many := 0
		for _, m := range o.clique {
			many += bits.OnesCount64(m)
		}
		return float64(many)
	}
	missing := 0
	for k, m := range o.clique {
		for ; m != 0; m &= m - 1 {
			missing += countNew(o.clique, row(o.near, k*64+bits.TrailingZeros64(m), o.words))
		}
	}
	return float64(missing)
}

// eliminate makes the neighbours of a node, in o.clique, each other's, and takes it out.
func (o *elimOrder) eliminate(e *elimination, i int32) {
	own := row(o.own, int(i), o.words)
	for k := range o.clique {
		o.clique[k] &^= own[k]
	}
	for k, m := range o.clique {
		for ; m != 0; m &= m - 1 {
			near := row(o.near, k*64+bits.TrailingZeros64(m), o.words)
			unite(near, o.clique)
			for q := range near {
				near[q] &^= own[q]
			}
		}
	}
	d := &e.nodes[i]
	for _, j := range e.attached[d.attached:][:d.heeds] {
		o.waiting[e.slots[e.switchOf[j]].node]--
	}
	if d.value >= 0 {
		o.waiting[d.value]--
	}
}

// draw returns a number from 0 up to 1 by xorshift (Marsaglia 2003; from memory).
func (o *elimOrder) draw() float64 {
	o.random ^= o.random << 13
	o.random ^= o.random >> 7
	o.random ^= o.random << 17
	return float64(o.random>>11) / (1 << 53)
}
