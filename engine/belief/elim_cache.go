package belief

import (
	"slices"
	"sync"
)

// programs remembers the programs made for structures met before: jobs of one
// workshop, and the questions that an advice asks, differ in what was read more often
// than in what it bears on. The search gives the same program for the same structure
// always, so an answer does not depend on what was asked before.
//
// They stand in two generations. When the newer one is full it becomes the older one,
// whose programs are gone unless they have been asked for since.
type programs struct {
	lock         sync.RWMutex
	newer, older map[uint64]*keyedProgram
	held         int // by newer, in 32-bit numbers
}

type keyedProgram struct {
	key     []int32
	program *program // nil: there is none within the limit
	limit   float64
}

// mostHeld bounds each generation, to 32 MiB; a judgement.
const mostHeld = 8 << 20

// structure writes all that a program depends on.
func (e *elimination) structure(w *work) (hash uint64) {
	key := append(e.key[:0], int32(len(e.slots)), int32(len(e.nodes)), int32(len(w.movers)), bit32(e.forValues))
	for s := range e.slots {
		x := &e.slots[s]
		key = append(key, x.node<<3|bit32(x.folds)<<2|bit32(x.apart)<<1|bit32(x.isFromBits))
	}
	for i := range e.nodes {
		d := &e.nodes[i]
		key = append(key, d.slot<<8|d.slots, d.value, d.heeds, d.numbers<<1|bit32(e.asks(w, d)))
		for _, j := range e.attached[d.attached:][:d.heeds] {
			key = append(key, e.switchOf[j])
		}
	}
	for _, f := range w.movers {
		arcs := w.arcsOf(f)
		key = append(key, int32(len(arcs)))
		for i := range arcs {
			key = append(key, e.slotOf[arcs[i].bit])
		}
	}
	for j := range w.joints {
		key = append(key, e.switchOf[j])
		if e.switchOf[j] < 0 {
			key = append(key, w.joints[j].many)
			for _, u := range w.membersOf(&w.joints[j]) {
				key = append(key, e.nodeOf[u])
			}
		}
	}
	e.key = key
	hash = 14695981039346656037 // FNV-1a by words (Fowler, Noll, Vo; from memory)
	for _, x := range key {
		hash = (hash ^ uint64(uint32(x))) * 1099511628211
		hash ^= hash >> 29
	}
	return hash
}

func bit32(yes bool) int32 {
	if yes {
		return 1
	}
	return 0
}

// find returns the program for the structure in e.key, which it makes if it is not
// remembered; nil where there is none with at most so many products.
func (ps *programs) find(e *elimination, w *work, limit float64) *program {
	hash := e.structure(w)
	ps.lock.RLock()
	found, isNew := ps.newer[hash], true
	if found == nil {
		found, isNew = ps.older[hash], false
	}
	ps.lock.RUnlock()
	if found != nil && slices.Equal(found.key, e.key) && (found.program != nil || limit <= found.limit) {
		if !isNew {
			ps.keep(hash, found)
		}
		return found.program
	}
	e.arrange(w, limit)
	if w.stopped() {
		return nil // the search may not be through
	}
	found = &keyedProgram{slices.Clone(e.key), nil, limit}
	if len(e.order.best) == len(e.nodes) {
		found.program = e.compile(w, limit)
	}
	ps.keep(hash, found)
	return found.program
}

func (ps *programs) keep(hash uint64, p *keyedProgram) {
	ps.lock.Lock()
	defer ps.lock.Unlock()
	if ps.held > mostHeld {
		ps.older, ps.newer, ps.held = ps.newer, nil, 0
	}
	if ps.newer == nil {
		ps.newer = map[uint64]*keyedProgram{}
	}
	if before := ps.newer[hash]; before != nil {
		ps.held -= before.numbers()
	}
	ps.newer[hash] = p
	ps.held += p.numbers()
}

// openTogether bounds how many slots the values of coupled units take at once, for
// work.given goes through them in one table: the most of any units that joints connect.
func (w *work) openTogether() (most int) {
	if len(w.joints) == 0 {
		return 0
	}
	group := make([]int32, len(w.units))
	for u := range group {
		group[u] = int32(u)
	}
	for again := true; again; {
		again = false
		for j := range w.joints {
			members := w.membersOf(&w.joints[j])
			least := group[members[0]]
			for _, u := range members {
				least = min(least, group[u])
			}
			for _, u := range members {
				again = again || group[u] != least
				group[u] = least
			}
		}
	}
	widths := make([]int, len(w.units))
	for u, g := range group {
		widths[g] += w.units[u].width()
		most = max(most, widths[g])
	}
	return most
}

// numbers returns how many 32-bit numbers all of it takes, about.
func (p *keyedProgram) numbers() int {
	if p.program == nil {
		return len(p.key) + 16
	}
	return len(p.key) + 16 + p.program.numbers()
}
