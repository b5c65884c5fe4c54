package belief

import "math/bits"

// plan is the list of steps of a pass. Each works on a table with one number
// for each set of live bits that are on; the bits of the table's index are the
// slots, lowest first.
type plan struct {
	steps []step
	at    []int32 // slots that the steps work on
	live  int     // most live bits
	wide  []int32 // what the slots then hold, where that is too much

	slots     []int32 // id of what each slot holds: a bit, or ^unit for a value
	slotOf    []int32 // by bit
	fieldOf   []int32 // by unit: lowest slot of its value
	movers    []int32 // by unit: movers left
	born      []bool  // by bit
	closed    []bool  // by unit
	pending   []int32 // by unit: joints not applied
	unready   []int32 // by joint: members with movers left
	touched   []bool  // by joint: a member is closed
	applied   []bool  // by joint
	jointList []int32 // by unit, in a row: its joints
	jointFrom []int32
}

type stepKind uint8

const (
	stepBirth  stepKind = iota // a bit enters, on top
	stepMove                   // a mover acts
	stepSum                    // a unit's bits are summed out, weighted
	stepClose                  // a unit's bits become its value, on top, weighted
	stepCouple                 // a joint multiplies
	stepDrop                   // a unit's value is summed out
)

type step struct {
	kind stepKind
	live uint8 // slots of the table before the step
	id   int32 // bit, mover's fault, unit or joint
	at   int32 // start in plan.at
}

// width returns how many slots the value of a unit takes.
func (u *unit) width() int { return bits.Len(uint(u.bits)) }

// lay turns the order's sequence of movers into steps. A bit is born just
// before the first mover that touches it, or if there is none before its unit
// closes. A unit closes after the last mover that touches it; a joint applies
// when its units are closed, and a closed unit drops when its joints have
// applied. Units without movers close when a joint asks for them.
func (p *plan) lay(w *work) {
	p.reset(w)
	w.coupling = w.coupling[:0]
	for _, m := range w.order.sequence {
		f := w.movers[m]
		arcs := w.arcsOf(f)
		for i := range arcs {
			p.bear(arcs[i].bit)
		}
		at := int32(len(p.at))
		for i := range arcs {
			p.at = append(p.at, p.slotOf[arcs[i].bit])
		}
		p.add(step{stepMove, uint8(len(p.slots)), f, at})
		closed := false
		for i := range arcs {
			u := w.bits[arcs[i].bit].unit
			if p.movers[u]--; p.movers[u] == 0 {
				p.close(w, u)
				closed = true
			}
		}
		if closed {
			p.applyReady(w)
		}
	}
	for j := range w.joints {
		if !p.applied[j] {
			p.apply(w, int32(j))
			p.applyReady(w)
		}
	}
	for u := range w.units {
		if !p.closed[u] {
			p.close(w, int32(u))
		}
	}
}

func (p *plan) reset(w *work) {
	p.steps, p.at, p.slots, p.live = p.steps[:0], p.at[:0], p.slots[:0], 0
	p.wide = p.wide[:0]
	p.slotOf = zeroed(p.slotOf, len(w.bits))
	p.born = zeroed(p.born, len(w.bits))
	p.fieldOf = zeroed(p.fieldOf, len(w.units))
	p.movers = zeroed(p.movers, len(w.units))
	p.closed = zeroed(p.closed, len(w.units))
	p.pending = zeroed(p.pending, len(w.units))
	p.unready = zeroed(p.unready, len(w.joints))
	p.touched = zeroed(p.touched, len(w.joints))
	p.applied = zeroed(p.applied, len(w.joints))
	for i := range w.bits {
		p.movers[w.bits[i].unit] += w.bits[i].movers
	}
	p.jointFrom = zeroed(p.jointFrom, len(w.units)+1)
	p.jointList = zeroed(p.jointList, len(w.members))
	for j := range w.joints {
		for _, u := range w.membersOf(&w.joints[j]) {
			p.pending[u]++
			p.jointFrom[u+1]++
			if p.movers[u] > 0 {
				p.unready[j]++
			}
		}
	}
	for u := range w.units {
		p.jointFrom[u+1] += p.jointFrom[u]
	}
	for j := len(w.joints) - 1; j >= 0; j-- {
		for _, u := range w.membersOf(&w.joints[j]) {
			p.pending[u]--
			p.jointList[p.jointFrom[u]+p.pending[u]] = int32(j)
		}
	}
	for u := range w.units {
		p.pending[u] = p.jointFrom[u+1] - p.jointFrom[u]
	}
}

func (p *plan) add(s step) {
	p.steps = append(p.steps, s)
	if n := len(p.slots); n > MaxLive && n > p.live {
		p.wide = append(p.wide[:0], p.slots...)
	}
	p.live = max(p.live, int(s.live), len(p.slots))
}

func (p *plan) bear(b int32) {
	if p.born[b] {
		return
	}
	p.born[b] = true
	before := uint8(len(p.slots))
	p.slotOf[b] = int32(len(p.slots))
	p.slots = append(p.slots, b)
	p.add(step{stepBirth, before, b, 0})
}

// close closes a unit: into its value if joints need that, else summed out.
func (p *plan) close(w *work, u int32) {
	p.closed[u] = true
	t := &w.units[u]
	at := int32(len(p.at))
	for b := t.bit; b < t.bit+t.bits; b++ {
		p.bear(b)
		p.at = append(p.at, p.slotOf[b])
	}
	before := uint8(len(p.slots))
	kept := p.slots[:0]
	for _, id := range p.slots {
		if id < t.bit || id >= t.bit+t.bits {
			kept = append(kept, id)
		}
	}
	p.slots = kept
	kind := stepSum
	if p.jointFrom[u+1] > p.jointFrom[u] {
		kind = stepClose
		for range t.width() {
			p.slots = append(p.slots, ^u)
		}
	}
	p.renumber()
	p.add(step{kind, before, u, at})
	for _, j := range p.jointList[p.jointFrom[u]:p.jointFrom[u+1]] {
		p.touched[j] = true
		if w.hasMovers(u) {
			p.unready[j]--
		}
	}
}

// hasMovers reports whether movers touch a unit.
func (w *work) hasMovers(u int32) bool {
	t := &w.units[u]
	for b := t.bit; b < t.bit+t.bits; b++ {
		if w.bits[b].movers > 0 {
			return true
		}
	}
	return false
}

func (p *plan) renumber() {
	for i := len(p.slots) - 1; i >= 0; i-- {
		if id := p.slots[i]; id >= 0 {
			p.slotOf[id] = int32(i)
		} else {
			p.fieldOf[^id] = int32(i)
		}
	}
}

// applyReady applies the joints that have a closed unit and wait for no mover.
func (p *plan) applyReady(w *work) {
	for again := true; again; {
		again = false
		for j := range w.joints {
			if !p.applied[j] && p.touched[j] && p.unready[j] == 0 {
				p.apply(w, int32(j))
				again = true
			}
		}
	}
}

func (p *plan) apply(w *work, j int32) {
	p.applied[j] = true
	members := w.membersOf(&w.joints[j])
	for _, u := range members {
		if !p.closed[u] {
			p.close(w, u)
		}
	}
	at := int32(len(p.at))
	for _, u := range members {
		p.at = append(p.at, p.fieldOf[u])
	}
	p.add(step{stepCouple, uint8(len(p.slots)), j, at})
	w.coupling = append(w.coupling, j)
	for _, u := range members {
		if p.pending[u]--; p.pending[u] == 0 {
			p.drop(u)
		}
	}
}

func (p *plan) drop(u int32) {
	before := uint8(len(p.slots))
	at := int32(len(p.at))
	p.at = append(p.at, p.fieldOf[u])
	kept := p.slots[:0]
	for _, id := range p.slots {
		if id != ^u {
			kept = append(kept, id)
		}
	}
	p.slots = kept
	p.renumber()
	p.add(step{stepDrop, before, u, at})
}
