package belief

import (
	"errors"
	"math"
	"slices"
	"sync"
)

// loneChances remembers how often findings with several parents arise when nothing
// else is known. That hangs on the network and on how far the links into their
// conditions act, and not on the evidence, so jobs of one workshop share it.
type loneChances struct {
	lock sync.RWMutex
	all  map[int][]loneChance // by finding
}

type loneChance struct {
	acting      []float64 // of the links in question; nil where all act
	holds, none float64   // ln P
}

// mostLone bounds what is remembered of a finding; a judgement.
const mostLone = 64

// lone returns ln P that a finding with one outcome holds, and that it does not.
func (w *work) lone(finding int, acting []float64) (loneChance, error) {
	n := w.n
	bearing := w.bears[:0]
	if acting != nil {
		for i := range n.findings[finding].shown {
			c := n.findings[finding].shown[i].condition
			for s := n.first[c]; s < n.first[c+1]; s++ {
				for _, k := range n.into.of(s) {
					bearing = append(bearing, acting[k])
				}
			}
		}
	}
	w.bears = bearing
	n.lone.lock.RLock()
	known := n.lone.all[finding]
	n.lone.lock.RUnlock()
	for _, k := range known {
		if slices.Equal(k.acting, bearing) {
			return k, nil
		}
	}
	found := loneChance{acting: slices.Clone(bearing)}
	for outcome, to := range []*float64{&found.holds, &found.none} {
		p, err := w.logOf(&Evidence{Seen: []Seen{n.Sure(finding, outcome)}, Acting: acting, Done: w.done})
		if errors.Is(err, ErrImpossible) {
			p, err = math.Inf(-1), nil
		}
		if err != nil {
			return loneChance{}, err
		}
		*to = p
	}
	n.lone.lock.Lock()
	defer n.lone.lock.Unlock()
	if n.lone.all == nil {
		n.lone.all = map[int][]loneChance{}
	}
	if known := n.lone.all[finding]; len(known) < mostLone {
		n.lone.all[finding] = append(known[:len(known):len(known)], found)
	}
	return found, nil
}
