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

// NewSamples checks a trace: the interval must be positive and finite, at least
// three and at most [MaxSamples] values must be there, none infinite, and not
// all of them lost.
func NewSamples(every float64, values []float64) (*Samples, error) {
	switch {
	case !(every > 0) || math.IsInf(every, 0):
		return nil, fmt.Errorf("the sampling interval must be a time above zero, not %v s", every)
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

// The oxygen signal is judged by one threshold with hysteresis: it counts as
// rich once it has risen above 0.50 V and as lean once it has fallen below
// 0.40 V. The threshold, 0.45 V, is common practice; the width of the
// hysteresis is a judgement: wide enough for the noise of a bench meter, far
// narrower than the swing of a live sensor.
const (
	threshold  = 0.45
	hysteresis = 0.05
)

// shortest is the time in seconds that a trace without a crossing must cover
// before it is said to stand still: two periods of the slowest toggling that
// still counts as toggling, 0.2 Hz. A judgement.
const shortest = 10

// smooth returns the median of each sample and its two neighbours, which takes
// out single spikes and drop-outs and moves no edge. Lost samples stay lost.
func (s *Samples) smooth() []float64 {
	out := slices.Clone(s.Values)
	for i := 1; i+1 < len(out); i++ {
		a, b, c := s.Values[i-1], s.Values[i], s.Values[i+1]
		if !math.IsNaN(a + b + c) {
			out[i] = max(min(a, b), min(max(a, b), c))
		}
	}
	return out
}

func (s *Samples) min() (value, u float64, err error) {
	least := math.Inf(1)
	for _, x := range s.smooth() {
		if x < least {
			least = x
		}
	}
	return least, 0, nil
}

func (s *Samples) max() (value, u float64, err error) {
	most := math.Inf(-1)
	for _, x := range s.smooth() {
		if x > most {
			most = x
		}
	}
	return most, 0, nil
}

func (s *Samples) mean() (value, u float64, err error) {
	sum, n := 0.0, 0
	for _, x := range s.Values {
		if !math.IsNaN(x) {
			sum += x
			n++
		}
	}
	return sum / float64(n), 0, nil
}

// crossing is one pass through the threshold.
type crossing struct {
	at   float64 // seconds from the start of the trace
	rich bool    // upwards
}

// maxGap is how many lost samples in a row a crossing may be sought across.
const maxGap = 2

// crossings finds the passes through the threshold, in stretches: a stretch
// ends where more than maxGap samples in a row are lost, since nobody knows
// what happened in between. A pass is placed where the straight line between
// the samples around the threshold meets it.
func (s *Samples) crossings() [][]crossing {
	values := s.smooth()
	var stretches [][]crossing
	var now []crossing
	state, lost := 0, 0 // state: +1 rich, -1 lean, 0 not yet known
	last := -1          // the last sample that was not lost
	mid := 0.0          // when the line last met the threshold
	for i, x := range values {
		if math.IsNaN(x) {
			lost++
			continue
		}
		if lost > maxGap || last < 0 {
			if len(now) > 0 {
				stretches = append(stretches, now)
			}
			now, state = nil, 0
		} else if p := values[last]; (p < threshold) != (x < threshold) {
			mid = s.Every * (float64(last) + float64(i-last)*(threshold-p)/(x-p))
		}
		lost, last = 0, i
		next := state
		if x > threshold+hysteresis {
			next = 1
		} else if x < threshold-hysteresis {
			next = -1
		}
		if state != 0 && next != state {
			now = append(now, crossing{at: mid, rich: next > 0})
		}
		state = next
	}
	if len(now) > 0 {
		stretches = append(stretches, now)
	}
	return stretches
}

// switchRate is the number of whole cycles (through the threshold and back) a
// second: from the first to the last pass in the same direction, in every
// stretch and both directions together, so that an uneven share of rich and
// lean does not bend it. Its uncertainty is that of placing the two ends, each
// anywhere within one sampling interval (JCGM 100:2008, 4.3.7). A trace in
// which nothing passes the threshold has rate 0, if it is long enough to say so.
func (s *Samples) switchRate() (hertz, u float64, err error) {
	cycles, seconds := 0, 0.0
	total := 0
	for _, stretch := range s.crossings() {
		total += len(stretch)
		for _, rich := range [2]bool{true, false} {
			first, last, count := 0.0, 0.0, 0
			for _, c := range stretch {
				if c.rich != rich {
					continue
				}
				if count == 0 {
					first = c.at
				}
				last = c.at
				count++
			}
			if count > 1 {
				cycles += count - 1
				seconds += last - first
			}
		}
	}
	if cycles == 0 {
		if s.Seconds() < shortest {
			return 0, 0, fmt.Errorf("the trace covers %.3g s without a whole cycle; it needs %d s to say how slow the signal is", s.Seconds(), shortest)
		}
		return float64(total) / 2 / s.Seconds(), 1 / s.Seconds() / math.Sqrt(12), nil
	}
	hertz = float64(cycles) / seconds
	edge := s.Every / math.Sqrt(12)
	return hertz, hertz * edge * math.Sqrt2 / seconds, nil
}

// toggles reports whether the signal goes through the threshold and back. A
// trace too short to say so is an error.
func (s *Samples) toggles() (bool, error) {
	total := 0
	for _, stretch := range s.crossings() {
		total += len(stretch)
	}
	switch {
	case total >= 2:
		return true, nil
	case s.Seconds() < shortest:
		return false, fmt.Errorf("the trace covers %.3g s; it needs %d s to say that the signal stands still", s.Seconds(), shortest)
	}
	return false, nil
}
