package drawing

import (
	"math"

	"culprit/engine"
)

// The size of a gauge, and the room left and right in which the limits are written.
const (
	gaugeWidth  = 300
	gaugeMargin = 44
)

// Two judgements about scales: a band is drawn no narrower than a thirteenth of the
// scale, so that its two ends can be told apart; of a single limit the scale shows
// at most three times its own size on either side.
const (
	bandsBeside  = 6
	limitsBeside = 3
)

// coverage is how many standard uncertainties a whisker reaches to either side:
// about 95 in 100 (JCGM 100:2008, 6.2.2 and G.1.3).
const coverage = 2

// Point is a reading on a gauge.
type Point struct {
	Value       float64
	Uncertainty float64 // standard uncertainty; 0 where it is not known
}

// Gauge is a reading against its limits: a straight scale with the allowed band, a
// mark with a whisker of ±2 standard uncertainties, and a heavy line from the limit
// to the mark where the mark lies outside.
type Gauge struct {
	Width            px
	From, To         px // the scale
	Band             Span
	OpenFrom, OpenTo bool // the band has no limit on that side
	Low, High        string
	Reference        *px
	Now              Mark
	Before           *Mark
	Away             *Span // from the limit to a mark outside
}

// Span is a part of a scale.
type Span struct{ From, To px }

// Len is the length of a span.
func (s Span) Len() px { return s.To - s.From }

// Mark is a reading's place on a scale.
type Mark struct {
	X       px
	Whisker *Span
	// Below and Above say that the reading lies off the scale; X is its end then.
	Below, Above bool
	Arrow        string // of a mark off the scale: the corners of its arrowhead
}

// Off tells whether the reading lies off the scale.
func (m Mark) Off() bool { return m.Below || m.Above }

// NewGauge draws a reading against its limits, and what it was before if that is
// not nil. It is nil where there is no limit.
func NewGauge(l *engine.Limits, now Point, before *Point) *Gauge {
	if l == nil || l.From == nil && l.To == nil {
		return nil
	}
	points := []Point{now}
	if before != nil {
		points = append(points, *before)
	}
	s := scaleOf(l, points)
	g := &Gauge{Width: gaugeWidth, From: gaugeMargin, To: gaugeWidth - gaugeMargin, OpenFrom: l.From == nil, OpenTo: l.To == nil}
	g.Band = Span{g.From, g.To}
	if l.From != nil {
		g.Band.From, g.Low = s.at(*l.From), Number(*l.From)
	}
	if l.To != nil {
		g.Band.To, g.High = s.at(*l.To), Number(*l.To)
	}
	if l.Reference != nil && *l.Reference >= s.from && *l.Reference <= s.to {
		x := s.at(*l.Reference)
		g.Reference = &x
	}
	g.Now = s.mark(now)
	if before != nil {
		m := s.mark(*before)
		g.Before = &m
	}
	switch {
	case l.From != nil && now.Value < *l.From:
		g.Away = &Span{g.Now.X, g.Band.From}
	case l.To != nil && now.Value > *l.To:
		g.Away = &Span{g.Band.To, g.Now.X}
	}
	return g
}

// scale maps values to places.
type scale struct{ from, to float64 }

func (s scale) at(x float64) px {
	share := (x - s.from) / (s.to - s.from)
	return px(gaugeMargin + min(1, max(0, share))*(gaugeWidth-2*gaugeMargin))
}

func (s scale) mark(p Point) Mark {
	m := Mark{X: s.at(p.Value), Below: p.Value < s.from, Above: p.Value > s.to}
	switch {
	case m.Below:
		m.Arrow = arrow(m.X, -1)
	case m.Above:
		m.Arrow = arrow(m.X, 1)
	case p.Uncertainty > 0:
		m.Whisker = &Span{s.at(p.Value - coverage*p.Uncertainty), s.at(p.Value + coverage*p.Uncertainty)}
	}
	return m
}

// arrow is an arrowhead at the end of a scale, pointing off it.
func arrow(x px, way px) string {
	tip, base := x+12*way, x
	return base.String() + ",7 " + tip.String() + ",16 " + base.String() + ",25"
}

// scaleOf chooses a scale that shows the band and, as far as that leaves the band
// legible, the readings with their whiskers.
func scaleOf(l *engine.Limits, points []Point) scale {
	var s, most scale
	beside := uncertainty(points) * 2 * coverage
	if l.From != nil && l.To != nil {
		band := *l.To - *l.From
		if band <= 0 {
			band = max(beside, math.Abs(*l.To)/10, math.SmallestNonzeroFloat32)
		}
		s = scale{*l.From - band/2, *l.To + band/2}
		most = scale{*l.From - bandsBeside*band, *l.To + bandsBeside*band}
	} else {
		limit := *either(l.From, l.To)
		d := max(beside, math.Abs(limit)/4, math.SmallestNonzeroFloat32)
		s = scale{limit - d, limit + d}
		d = max(d, limitsBeside*math.Abs(limit))
		if limit == 0 {
			d = max(d, farthest(points, 0))
		}
		most = scale{limit - d, limit + d}
	}
	for _, p := range points {
		s.from = min(s.from, p.Value-1.2*coverage*p.Uncertainty)
		s.to = max(s.to, p.Value+1.2*coverage*p.Uncertainty)
	}
	s.from, s.to = max(s.from, most.from), min(s.to, most.to)
	// What is never negative does not get a scale that says it might be; where it has
	// an upper limit only, the scale begins at nought.
	if nonNegative(l, points) {
		s.from = max(0, s.from)
		if l.From == nil {
			s.from = 0
		}
	}
	return s
}

func nonNegative(l *engine.Limits, points []Point) bool {
	for _, p := range points {
		if p.Value < 0 {
			return false
		}
	}
	limit := *either(l.From, l.To)
	return limit > 0
}

func uncertainty(points []Point) float64 {
	most := 0.0
	for _, p := range points {
		most = max(most, p.Uncertainty)
	}
	return most
}

func farthest(points []Point, from float64) float64 {
	most := 0.0
	for _, p := range points {
		most = max(most, math.Abs(p.Value-from)+2*coverage*p.Uncertainty)
	}
	return most
}

func either(a, b *float64) *float64 {
	if a != nil {
		return a
	}
	return b
}
