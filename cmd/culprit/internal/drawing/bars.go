package drawing

import (
	"fmt"
	"math"
)

// The size of bars.
const (
	barWidth  = 240
	barMargin = 2
)

// Share is a probability as a bar.
type Share struct{ Width, Full px }

// NewShare draws a probability. What is possible at all has a bar that can be seen.
func NewShare(p float64) Share {
	full := px(barWidth * min(1, max(0, p)))
	if p > 0 {
		full = max(full, 1)
	}
	return Share{barWidth, full}
}

// Weights is the scale on which weights of evidence are drawn, so that those of
// several faults can be compared: from Against (not above -5) to For (not below
// 10) decibans.
type Weights struct{ Against, For float64 }

// NewWeights makes the scale for weights in decibans; an infinite one does not
// stretch it.
func NewWeights(decibans []float64) Weights {
	s := Weights{-5, 10}
	for _, w := range decibans {
		if !math.IsInf(w, 0) && !math.IsNaN(w) {
			s.Against, s.For = min(s.Against, 5*math.Floor(w/5)), max(s.For, 5*math.Ceil(w/5))
		}
	}
	return s
}

// Weight is a weight of evidence as a bar to the right (for) or to the left
// (against) of nought.
type Weight struct {
	Width, Zero px
	Bar         Span
	For         bool
	Tens        []px   // where the odds are ten times as large or small, and again
	Arrow       string // of an infinite weight: the corners of its arrowhead
}

// Weight draws a weight of evidence in decibans; it may be infinite.
func (s Weights) Weight(decibans float64) Weight {
	w := Weight{Width: barWidth, Zero: s.at(0), For: decibans >= 0}
	from, to := s.at(min(0, decibans)), s.at(max(0, decibans))
	w.Bar = Span{from, to}
	switch {
	case math.IsInf(decibans, 1):
		w.Arrow = to.String() + ",2 " + (to + 8).String() + ",10 " + to.String() + ",18"
	case math.IsInf(decibans, -1):
		w.Arrow = from.String() + ",2 " + (from - 8).String() + ",10 " + from.String() + ",18"
	}
	for x := 10 * math.Ceil(s.Against/10); x <= s.For && len(w.Tens) < 40; x += 10 {
		if x != 0 {
			w.Tens = append(w.Tens, s.at(x))
		}
	}
	return w
}

// at maps a weight to a place; the ends leave room for an arrowhead.
func (s Weights) at(decibans float64) px {
	const room = barMargin + 8
	share := (decibans - s.Against) / (s.For - s.Against)
	return px(room + min(1, max(0, share))*(barWidth-2*room))
}

// Percent writes a probability so that it never looks certain when it is not.
func Percent(p float64) string {
	switch {
	case p < 0.005:
		return "<1 %"
	case p > 0.995:
		return ">99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}
