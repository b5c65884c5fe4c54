package belief

import (
	"cmp"
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
// The search is a branch and bound over the faults in the order of their
// posteriors, and exact: a set can be no more probable than any of its faults,
// nor than the set without a fault times the most that this fault can gain.
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
	switch size {
	case 0:
		s.try()
	case 1:
		s.ones()
	case 2:
		s.twos()
	case 3:
		s.threes()
	}
	return s.best, nil
}

// search is a search for the most probable sets. Faults go by their rank.
type search struct {
	w    *work
	most int
	log  float64 // ln P(evidence)
	best []Set

	faults    []int32            // those that can be present, most probable first
	posterior []float64          // by rank
	gain      []float64          // by rank; infinite for a fault that is certain
	one       []float64          // by rank: P(exactly it), NaN until asked for
	byGain    []int              // ranks, from the largest gain down
	two       map[[2]int]float64 // by pair of ranks, as far as asked for
	ranks     [][]int            // of the best, the last rank first
}

func (s *search) rank() {
	posterior := make([]float64, len(s.w.weights))
	for f := range posterior {
		if posterior[f], _ = s.w.fault(f); posterior[f] > 0 {
			s.faults = append(s.faults, int32(f))
		}
	}
	slices.SortStableFunc(s.faults, func(a, b int32) int { return cmp.Compare(posterior[b], posterior[a]) })
	gains := s.w.given.gains(s.w)
	for _, f := range s.faults {
		s.posterior = append(s.posterior, posterior[f])
		s.gain = append(s.gain, gains[f])
	}
	s.one = unknown(len(s.faults))
	for a := range s.faults {
		s.byGain = append(s.byGain, a)
	}
	slices.SortStableFunc(s.byGain, func(a, b int) int { return cmp.Compare(s.gain[b], s.gain[a]) })
}

func unknown(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.NaN()
	}
	return out
}

func (s *search) ones() {
	for a := 0; a < len(s.faults) && s.posterior[a] > s.least(); a++ {
		s.try(a)
	}
}

// The loops over further members go by gain, and end where no more can be enough.

func (s *search) twos() {
	for b := 1; b < len(s.faults) && s.posterior[b] > s.least(); b++ {
		for _, a := range s.byGain {
			if !s.may(product(s.single(b), s.gain[a])) {
				break
			}
			if a < b && s.may(s.boundTwo(a, b)) {
				s.try(a, b)
			}
		}
	}
}

func (s *search) threes() {
	s.two = map[[2]int]float64{}
	for c := 2; c < len(s.faults) && s.posterior[c] > s.least(); c++ {
		for _, b := range s.byGain {
			if !s.may(product(product(s.single(c), s.gain[b]), s.gain[s.byGain[0]])) {
				break
			}
			if b >= c {
				continue
			}
			pair := s.boundTwo(b, c)
			for _, a := range s.byGain {
				if !s.may(product(pair, s.gain[a])) {
					break
				}
				if a < b && s.mayThree(a, b, c) {
					s.try(a, b, c)
				}
			}
		}
	}
}

// mayThree bounds a set by its pairs: first by what is known of them, then
// working them out one after the other.
func (s *search) mayThree(a, b, c int) bool {
	bound := min(product(s.boundPair(a, b), s.gain[c]), product(s.boundPair(a, c), s.gain[b]), product(s.boundPair(b, c), s.gain[a]))
	return s.may(bound) &&
		s.may(product(s.pair(a, b), s.gain[c])) &&
		s.may(product(s.pair(a, c), s.gain[b])) &&
		s.may(product(s.pair(b, c), s.gain[a]))
}

func (s *search) boundPair(a, b int) float64 {
	if known, ok := s.two[[2]int{a, b}]; ok {
		return known
	}
	return s.boundTwo(a, b)
}

func (s *search) boundTwo(a, b int) float64 {
	return min(product(s.single(a), s.gain[b]), product(s.single(b), s.gain[a]))
}

// single returns P(exactly the fault).
func (s *search) single(a int) float64 {
	if math.IsNaN(s.one[a]) {
		s.one[a] = s.probability(a)
	}
	return s.one[a]
}

// pair returns P(exactly the two faults), a above b in rank.
func (s *search) pair(a, b int) float64 {
	p, ok := s.two[[2]int{a, b}]
	if !ok {
		p = s.probability(a, b)
		s.two[[2]int{a, b}] = p
	}
	return p
}

// least is what a set must exceed to be among the best.
func (s *search) least() float64 {
	if len(s.best) < s.most {
		return 0
	}
	return s.best[len(s.best)-1].Probability
}

// may reports whether a set with this bound may be among the best, with room
// for the rounding of the bound.
func (s *search) may(bound float64) bool { return bound*(1+1e-9) > s.least() }

func (s *search) probability(ranks ...int) float64 {
	var faults [MaxSet]int32
	for i, a := range ranks {
		faults[i] = s.faults[a]
	}
	return min(1, math.Exp(s.w.given.log(s.w, faults[:len(ranks)])-s.log))
}

// try enters a set if it is among the best so far. Of equals, those of more probable
// faults come first, in whatever order they are tried.
func (s *search) try(ranks ...int) {
	p := s.probability(ranks...)
	if !(p > 0) || p < s.least() {
		return
	}
	key := slices.Clone(ranks)
	slices.Reverse(key)
	at := len(s.best)
	for at > 0 && (s.best[at-1].Probability < p || s.best[at-1].Probability == p && slices.Compare(s.ranks[at-1], key) > 0) {
		at--
	}
	if at == s.most {
		return
	}
	set := Set{make([]int, len(ranks)), p}
	for i, a := range ranks {
		set.Faults[i] = int(s.faults[a])
	}
	slices.Sort(set.Faults)
	s.best, s.ranks = slices.Insert(s.best, at, set), slices.Insert(s.ranks, at, key)
	if len(s.best) > s.most {
		s.best, s.ranks = s.best[:s.most], s.ranks[:s.most]
	}
}
