package truth

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Samples is a trace: values at a fixed interval. A value of NaN is a sample
// that was lost.
type Samples struct {
	Every  float64 // seconds
	Values []float64
}

// MaxSamples is the longest trace taken.
const MaxSamples = 100_000

// The sampling intervals taken, in seconds: far beyond any meter on either side,
// and near enough to 1 that rates and their uncertainties stay numbers.
const (
	shortestInterval = 1e-6
	longestInterval  = 3600.0
)

// NewSamples checks a trace: the interval must be positive and finite, at least
// three and at most [MaxSamples] values must be there, none infinite, and not
// all of them lost. The values are not copied.
func NewSamples(every float64, values []float64) (*Samples, error) {
	switch {
	case !(every > 0) || math.IsInf(every, 0):
		return nil, fmt.Errorf("the sampling interval must be a time above zero, not %v s", every)
	case every < shortestInterval || every > longestInterval:
		return nil, fmt.Errorf("no meter samples every %v s; from %v to %v s is taken", every, shortestInterval, longestInterval)
	case len(values) < 3:
		return nil, fmt.Errorf("a trace needs at least 3 samples, not %d", len(values))
	case len(values) > MaxSamples:
		return nil, fmt.Errorf("a trace takes at most %d samples, not %d", MaxSamples, len(values))
	case slices.ContainsFunc(values, func(x float64) bool { return math.IsInf(x, 0) }):
		return nil, errors.New("a trace holds only finite values")
	case !slices.ContainsFunc(values, func(x float64) bool { return !math.IsNaN(x) }):
		return nil, errors.New("every sample of the trace is lost")
	}
	return &Samples{Every: every, Values: values}, nil
}

// Seconds is the time that the trace covers.
func (s *Samples) Seconds() float64 { return s.Every * float64(len(s.Values)-1) }

// figures is what a trace comes to.
type figures struct {
	least, most, mean float64 // in the trace's unit

	rate, rateU float64 // Hz
	rateErr     error
	timing      [1]term // sensitivity of the rate to its own uncertainty

	toggles    bool
	togglesErr error
}

func (s *Samples) figures() *figures {
	f := &figures{mean: mean(s.Values)}
	smoothed := s.smooth()
	f.least, f.most = math.Inf(1), math.Inf(-1)
	for _, x := range smoothed {
		if !math.IsNaN(x) {
			f.least, f.most = min(f.least, x), max(f.most, x)
		}
	}
	w := s.watch(smoothed)
	f.rate, f.rateU, f.rateErr = w.switchRate()
	f.toggles, f.togglesErr = w.toggles()
	return f
}

// mean of the samples that were not lost. The running form cannot overflow.
func mean(values []float64) float64 {
	m, n := 0.0, 0.0
	for _, x := range values {
		if !math.IsNaN(x) {
			n++
			m += x/n - m/n
		}
	}
	return m
}

// smooth returns the median of each sample and its two neighbours, which takes
// out single spikes and drop-outs and moves no edge. A neighbour that was lost
// is passed over, as long as no more than maxGap in a row were; at the ends of
// the trace, and where more were lost, the two nearest on the other side count.
func (s *Samples) smooth() []float64 {
	out := slices.Clone(s.Values)
	here := make([]int, 0, len(out)) // of the current stretch: samples that were not lost
	flush := func() {
		for k, i := range here {
			if len(here) < 3 {
				break
			}
			m := min(max(k, 1), len(here)-2)
			a, b, c := s.Values[here[m-1]], s.Values[here[m]], s.Values[here[m+1]]
			out[i] = max(min(a, b), min(max(a, b), c))
		}
		here = here[:0]
	}
	for i, x := range s.Values {
		if math.IsNaN(x) {
			continue
		}
		if n := len(here); n > 0 && i-here[n-1]-1 > maxGap {
			flush()
		}
		here = append(here, i)
	}
	flush()
	return out
}
