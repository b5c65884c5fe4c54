package belief

import (
	"math"
	"math/bits"
)

// order finds a sequence of the movers that keeps few bits live. It works on
// sets of bits, movers and units held as bit masks of several words.
type order struct {
	bitWords, moverWords, unitWords int

	arcs    []uint64 // by mover: the bits it touches
	near    []uint64 // by unit: the bits its movers touch
	movers  []uint64 // by unit: the movers that touch it
	coupled []uint64 // by unit: units it shares a joint with, itself included
	size    []int32  // by unit: how many of its bits movers touch

	born, done, closed []uint64
	moverless          []uint64 // units that no mover touches: closed from the start
	dropped            []bool
	trial, sequence    []int32 // movers
	units, best        []int32 // the units in the order in which the trial finished them
	random             uint64
	cost               float64
	spent              float64 // rough work put into trials
	peak               int     // most live bits of the best order
	looks              int     // at units, in all trials
	key                []uint64
}

// arrange leaves the best sequence that it found within a share of the work
// that the passes will take. A unit is finished by going through the movers
// that touch it. The first trials differ in the unit that they finish first and
// then always finish the one that brings in the fewest new bits; the others
// move one unit of the best order elsewhere.
func (w *work) arrange() {
	o := &w.order
	w.fillOrder()
	o.cost, o.spent, o.peak, o.looks = math.Inf(1), 0, 0, 0
	o.sequence = o.sequence[:0]
	if len(w.movers) == 0 {
		return
	}
	key, hash := o.structure(w)
	if w.n.orders.find(o, key, hash) {
		return
	}
	o.search(w)
	if !w.stopped() {
		w.n.orders.keep(o, key, hash)
	}
}

// search tries sequences.
func (o *order) search(w *work) {
	for _, keen := range []bool{false, true} {
		for u := range w.units {
			if o.size[u] == 0 {
				continue
			}
			o.units = o.units[:0]
			o.try(w, u, keen)
			if o.worked() || w.stopped() {
				return
			}
		}
	}
	o.improve(w)
}

// worked reports whether the search has taken its share of the work. Of an answer
// that will be refused, the passes take none; such a search has a limit of its own.
func (o *order) worked() bool {
	return o.spent > o.cost/searchShare || o.peak > MaxLive && o.looks > mostLooks
}

// mostLooks takes some tenths of a second, and is a hundred trials with 200 movers
// and 300 units; a judgement.
const mostLooks = 6e6

// searchShare is the work of the passes over that of the search; judgement.
const searchShare = 6

// improve moves units of the best order at random, always alike, and keeps what
// is cheaper.
func (o *order) improve(w *work) {
	o.random = 1
	n := len(o.best)
	if n < 3 {
		return
	}
	for stale := 0; stale < 20*n && !o.worked() && !w.stopped(); stale++ {
		from, to := o.draw(n), o.draw(n)
		if from == to {
			continue
		}
		o.units = append(o.units[:0], o.best...)
		u := o.units[from]
		if from < to {
			copy(o.units[from:to], o.units[from+1:to+1])
		} else {
			copy(o.units[to+1:from+1], o.units[to:from])
		}
		o.units[to] = u
		if o.try(w, int(o.units[0]), false) {
			stale = 0
		}
	}
}

// draw returns a number below n by xorshift (Marsaglia 2003; from memory).
func (o *order) draw(n int) int {
	o.random ^= o.random << 13
	o.random ^= o.random >> 7
	o.random ^= o.random << 17
	return int(o.random >> 33 % uint64(n))
}

func (w *work) fillOrder() {
	o := &w.order
	o.bitWords, o.moverWords, o.unitWords = words(len(w.bits)), words(len(w.movers)), words(len(w.units))
	o.arcs = zeroed(o.arcs, len(w.movers)*o.bitWords)
	o.near = zeroed(o.near, len(w.units)*o.bitWords)
	o.movers = zeroed(o.movers, len(w.units)*o.moverWords)
	o.coupled = zeroed(o.coupled, len(w.units)*o.unitWords)
	o.size = zeroed(o.size, len(w.units))
	o.born, o.done, o.closed = zeroed(o.born, o.bitWords), zeroed(o.done, o.moverWords), zeroed(o.closed, o.unitWords)
	o.dropped = zeroed(o.dropped, len(w.units))
	for m, f := range w.movers {
		mask := row(o.arcs, m, o.bitWords)
		for i := range w.arcsOf(f) {
			set(mask, w.arcsOf(f)[i].bit)
		}
		for i := range w.arcsOf(f) {
			u := int(w.bits[w.arcsOf(f)[i].bit].unit)
			set(row(o.movers, u, o.moverWords), int32(m))
			unite(row(o.near, u, o.bitWords), mask)
		}
	}
	for i := range w.bits {
		if w.bits[i].movers > 0 {
			o.size[w.bits[i].unit]++
		}
	}
	o.moverless = zeroed(o.moverless, o.unitWords)
	for u := range w.units {
		if o.size[u] == 0 {
			set(o.moverless, int32(u))
		}
		set(row(o.coupled, u, o.unitWords), int32(u))
	}
	for i := range w.joints {
		members := w.membersOf(&w.joints[i])
		for _, u := range members {
			for _, v := range members {
				set(row(o.coupled, int(u), o.unitWords), v)
			}
		}
	}
}

func (w *work) membersOf(j *joint) []int32 { return w.members[j.first : j.first+j.many] }

// try tries one sequence and keeps it if it is the cheapest so far. It finishes
// the units in the order of o.units, or where that is empty first and then, each
// time, the unit that brings in the fewest new bits, or when keen the one that
// leaves the fewest live.
func (o *order) try(w *work, first int, keen bool) (better bool) {
	clear(o.born)
	clear(o.done)
	copy(o.closed, o.moverless)
	for u := range w.units {
		o.dropped[u] = o.size[u] == 0
	}
	o.trial = o.trial[:0]
	told := len(o.units) > 0
	live, peak, cost := 0, 0, 0.0
	for u, k := first, 0; u >= 0; k++ {
		if !told {
			o.units = append(o.units, int32(u))
		}
		for {
			m, fresh := o.nextMover(u)
			if m < 0 {
				break
			}
			live += fresh
			unite(o.born, row(o.arcs, m, o.bitWords))
			set(o.done, int32(m))
			o.trial = append(o.trial, int32(m))
			arcs := w.arcsOf(w.movers[m])
			peak = max(peak, live)
			cost += math.Ldexp(float64(len(arcs)+2), live)
			o.looks += len(w.units)
			if cost >= o.cost {
				o.spent += trialWork * float64(len(o.trial))
				return false
			}
			live -= o.close(w, arcs)
		}
		switch {
		case peak > MaxLive && o.looks > mostLooks: // refused in this order, and the search is over
			if !math.IsInf(o.cost, 1) {
				return false
			}
			o.takeRest(w)
			u = -1
		case !told:
			u = o.pick(w, live, keen)
		case k+1 < len(o.units):
			u = int(o.units[k+1])
		default:
			u = -1
		}
	}
	o.spent += trialWork * float64(len(o.trial))
	o.cost, o.peak = cost, peak
	o.trial, o.sequence = o.sequence, o.trial
	o.units, o.best = o.best, o.units
	return true
}

// takeRest adds the movers that are left as they come.
func (o *order) takeRest(w *work) {
	for m := range w.movers {
		if !has(o.done, int32(m)) {
			o.trial = append(o.trial, int32(m))
		}
	}
}

// trialWork is the work of a trial for each mover, in the units of its cost.
const trialWork = 60

// nextMover returns the mover of a unit, not done yet, that brings in the
// fewest new bits, and how many; -1 when all are done.
func (o *order) nextMover(unit int) (mover, fresh int) {
	mover, fresh = -1, 1<<30
	movers := row(o.movers, unit, o.moverWords)
	for k := range movers {
		for left := movers[k] &^ o.done[k]; left != 0; left &= left - 1 {
			m := k*64 + bits.TrailingZeros64(left)
			if n := countNew(row(o.arcs, m, o.bitWords), o.born); n < fresh {
				mover, fresh = m, n
			}
		}
	}
	return mover, fresh
}

// close closes the units whose last mover was this one, and returns how many
// bits die: those of units that with all units they are coupled to are closed.
func (o *order) close(w *work, arcs []entry) (dead int) {
	any := false
	for i := range arcs {
		u := w.bits[arcs[i].bit].unit
		if !has(o.closed, u) && within(row(o.movers, int(u), o.moverWords), o.done) {
			set(o.closed, u)
			any = true
		}
	}
	if !any {
		return 0
	}
	for u := range o.dropped {
		if !o.dropped[u] && has(o.closed, int32(u)) && within(row(o.coupled, u, o.unitWords), o.closed) {
			o.dropped[u] = true
			dead += int(o.size[u])
		}
	}
	return dead
}

// pick returns the unit to finish next, or -1 when all are closed. While bits
// are live it stays with the units near them, so that parts that have nothing
// to do with each other are handled one after the other.
func (o *order) pick(w *work, live int, keen bool) int {
	best, least, near := -1, 1<<30, false
	for u := range w.units {
		if has(o.closed, int32(u)) {
			continue
		}
		bitsNear := row(o.near, u, o.bitWords)
		isNear := live == 0 || meets(bitsNear, o.born) || meets(row(o.coupled, u, o.unitWords), o.closed)
		score := countNew(bitsNear, o.born) * 4
		if keen {
			score -= int(o.size[u]) * 4
		}
		if near && !isNear || near == isNear && score >= least {
			continue
		}
		best, least, near = u, score, isNear
	}
	return best
}
