package belief

import (
	"slices"
	"sync"
)

// orders remembers the sequences that were found for structures met before: jobs
// of one workshop, and the questions that an advice asks, differ in what was
// read more often than in what it bears on. The search gives the same sequence
// for the same structure always, so an answer does not depend on what was asked before.
type orders struct {
	lock sync.RWMutex
	all  map[uint64]known
	held int // by all, in 64-bit numbers
}

type known struct {
	key      []uint64
	sequence []int32
	peak     int
	cost     float64
}

// mostOrders bounds the memory, to 32 MiB; a judgement.
const mostOrders = 4 << 20

// structure writes all that the search looks at: the bits of the movers, the units
// of the bits, and the units that joints couple.
func (o *order) structure(w *work) (key []uint64, hash uint64) {
	key = append(o.key[:0], uint64(len(w.bits)), uint64(len(w.movers)), uint64(len(w.units)))
	key = append(key, o.arcs...)
	key = append(key, o.coupled...)
	for i := range w.bits {
		b := &w.bits[i]
		key = append(key, uint64(b.unit)<<1|min(1, uint64(b.movers)))
	}
	o.key = key
	hash = 14695981039346656037 // FNV-1a by words (Fowler, Noll, Vo; from memory)
	for _, x := range key {
		hash = (hash ^ x) * 1099511628211
		hash ^= hash >> 29
	}
	return key, hash
}

// find copies a remembered sequence into o.
func (s *orders) find(o *order, key []uint64, hash uint64) bool {
	s.lock.RLock()
	found, ok := s.all[hash]
	s.lock.RUnlock()
	if !ok || !slices.Equal(found.key, key) {
		return false
	}
	o.sequence = append(o.sequence[:0], found.sequence...)
	o.peak, o.cost = found.peak, found.cost
	return true
}

func (s *orders) keep(o *order, key []uint64, hash uint64) {
	s.lock.Lock()
	defer s.lock.Unlock()
	if s.all == nil || s.held > mostOrders {
		s.all, s.held = map[uint64]known{}, 0
	}
	s.held += len(key) + len(o.sequence)/2 + 16
	s.all[hash] = known{slices.Clone(key), slices.Clone(o.sequence), o.peak, o.cost}
}
