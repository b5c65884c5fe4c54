package belief

import (
	"fmt"
	"math"
	"slices"
)

// Set is a set of faults with the probability that exactly these are present.
type Set struct {
	Faults      []int // ascending
	Probability float64
}

// MaxSet is the largest size of set that Sets looks for.
const MaxSet = 3

// Sets returns the most probable sets of exactly size faults, at most most of
// them, the most probable first; sets of probability 0 are left out. Errors are
// as for Posterior, or a size outside 0..MaxSet.
//
// A set can be no more probable than any of its faults; with the faults in the
// order of their posteriors, the search ends where that bound falls to the last
// of the sets found.
func (n *Network) Sets(e Evidence, size, most int) ([]Set, error) {
	if size < 0 || size > MaxSet {
		return nil, fmt.Errorf("sets: size %d is not within 0..%d", size, MaxSet)
	}
	w := n.take()
	defer n.scratch.Put(w)
	if err := w.checkEvidence(&e); err != nil {
		return nil, err
	}
	if err := w.solve(&e, false); err != nil {
		return nil, err
	}
	w.given.prepare(w)
	if most <= 0 {
		return nil, nil
	}
	s := search{w: w, most: most, log: w.logEvidence()}
	s.rank()
	s.extend(make([]int32, 0, MaxSet), size, len(s.faults))
	return s.best, nil
}

// search is a search for the most probable sets.
type search struct {
	w      *work
	most   int
	log    float64 // ln P(evidence)
	faults []int32 // those that can be present, most probable first
	bound  []float64
	best   []Set
}

func (s *search) rank() {
	posterior := make([]float64, len(s.w.weights))
	for f := range posterior {
		if posterior[f], _ = s.w.fault(f); posterior[f] > 0 {
			s.faults = append(s.faults, int32(f))
		}
	}
	slices.SortStableFunc(s.faults, func(a, b int32) int {
		switch {
		case posterior[a] > posterior[b]:
			return -1
		case posterior[a] < posterior[b]:
			return 1
		}
		return 0
	})
	for _, f := range s.faults {
		s.bound = append(s.bound, posterior[f])
	}
}

// extend tries all sets that add size faults, before the first end in rank, to
// those chosen.
func (s *search) extend(chosen []int32, size, end int) {
	if size == 0 {
		s.try(chosen)
		return
	}
	for k := size - 1; k < end && s.bound[k] > s.least(); k++ {
		s.extend(append(chosen, s.faults[k]), size-1, k)
	}
}

// least is what a set must exceed to be among the best.
func (s *search) least() float64 {
	if len(s.best) < s.most {
		return 0
	}
	return s.best[len(s.best)-1].Probability
}

func (s *search) try(chosen []int32) {
	p := math.Exp(s.w.given.log(s.w, chosen) - s.log)
	if !(p > s.least()) {
		return
	}
	set := Set{make([]int, len(chosen)), p}
	for i, f := range chosen {
		set.Faults[i] = int(f)
	}
	slices.Sort(set.Faults)
	at := len(s.best)
	for at > 0 && s.best[at-1].Probability < p {
		at--
	}
	s.best = slices.Insert(s.best, at, set)
	if len(s.best) > s.most {
		s.best = s.best[:s.most]
	}
}
