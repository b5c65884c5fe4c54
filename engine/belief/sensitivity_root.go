package belief

import (
	"errors"
	"math"
)

// steps is how many steps a search takes to each end of a range. A judgement.
const steps = 12

// search finds the turns of a number by the exact posterior.
func (s *Sensitivity) search(a *Sway, e Evidence, lead int) error {
	var post Posterior
	rival := 0
	// ahead is how far the best other fault is ahead, by logarithm; NaN where
	// the evidence cannot be.
	ahead := func(v float64) (float64, error) {
		n, err := New(s.m.With(a.Number, v))
		if err != nil {
			return 0, err
		}
		if err := n.Posterior(e, &post); errors.Is(err, ErrImpossible) {
			return math.NaN(), nil
		} else if err != nil {
			return 0, err
		}
		rival = -1
		for f, p := range post.Faults {
			if f != lead && (rival < 0 || p > post.Faults[rival]) {
				rival = f
			}
		}
		if rival < 0 {
			return -1, nil
		}
		return math.Log(post.Faults[rival]) - math.Log(post.Faults[lead]), nil
	}
	find := func(end float64) (*Turn, error) {
		near := a.Value
		before, err := ahead(near)
		if err != nil {
			return nil, err
		}
		for k := 1; k <= steps; k++ {
			part := float64(k) / steps
			if end > a.Value {
				part *= part // a leak is small: go slowly there
			}
			far := min(max(a.Value+part*(end-a.Value), a.Low), a.High)
			after, err := ahead(far)
			if err != nil || math.IsNaN(after) {
				return nil, err
			}
			if after > 0 {
				at, err := bracket(ahead, near, far, before, after)
				if err != nil || at == end {
					return nil, err
				}
				return &Turn{at, rival}, nil
			}
			near, before = far, after
		}
		return nil, nil
	}
	var err error
	if a.Value > a.Low {
		if a.Down, err = find(a.Low); err != nil {
			return err
		}
	}
	// Under a leak of 1 nothing else can be said.
	if high := min(a.High, 1-1e-9); a.Value < high {
		a.Up, err = find(high)
	}
	return err
}

// bracket finds where f turns from at most 0 at low to above 0 at high; either
// may be the larger number. It returns the end above 0 of what is left, having
// called f there last. It goes by chords, the value at an end that stays being
// halved (the Illinois rule), and every third time by halves, so that the
// bracket shrinks whatever f is like.
func bracket(f func(float64) (float64, error), low, high, fLow, fHigh float64) (float64, error) {
	stayed := 0 // above 0: low did the last time; below: high
	for k := 1; math.Abs(high-low) > rootWithin*max(math.Abs(high), math.Abs(low)) && k < 200; k++ {
		x := low + (high-low)*fLow/(fLow-fHigh)
		if k%3 == 0 || !(x > min(low, high) && x < max(low, high)) { // also where a value is infinite
			x = low + (high-low)/2
		}
		y, err := f(x)
		if err != nil {
			return 0, err
		}
		if y > 0 {
			high, fHigh = x, y
			if stayed > 0 {
				fLow /= 2
			}
			stayed = 1
		} else {
			low, fLow = x, y
			if stayed < 0 {
				fHigh /= 2
			}
			stayed = -1
		}
	}
	_, err := f(high)
	return high, err
}

// rootWithin is how closely, of itself, a root is found.
const rootWithin = 1e-10
