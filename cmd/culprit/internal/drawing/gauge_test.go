package drawing

import (
	"math"
	"math/rand/v2"
	"testing"

	"culprit/engine"
)

func limits(from, to float64) *engine.Limits {
	l := &engine.Limits{}
	if !math.IsInf(from, 0) {
		l.From = &from
	}
	if !math.IsInf(to, 0) {
		l.To = &to
	}
	return l
}

var inf = math.Inf(1)

// Places are worked out by hand: a scale reaches from 44 to 256.
func TestGauge(t *testing.T) {
	tests := []struct {
		reason       string
		limits       *engine.Limits
		value, u     float64
		x            px
		band         Span
		away         *Span
		below, above bool
	}{
		{"in the middle of a band with half a band on either side",
			limits(800, 900), 850, 5, 150, Span{97, 203}, nil, false, false},
		{"on the upper limit is not outside",
			limits(800, 900), 900, 5, 203, Span{97, 203}, nil, false, false},
		{"outside, on a scale of half a band on either side: 5 to 25",
			limits(10, 20), 22, 1, 224.2, Span{97, 203}, &Span{203, 224.2}, false, false},
		{"farther outside, so the scale reaches a little past the whisker: 5 to 32.4",
			limits(10, 20), 30, 1, 237.4, Span{82.7, 160.1}, &Span{160.1, 237.4}, false, false},
		{"more than six bands above is off the scale: 26 to 41",
			limits(27, 29), 90, 0.3, 256, Span{58.1, 86.4}, &Span{86.4, 256}, false, true},
		{"more than six bands below is off the scale: 15 to 30",
			limits(27, 29), -90, 0.3, 44, Span{213.6, 241.9}, &Span{44, 213.6}, true, false},
		{"a single limit of a reading that is never negative: 0 to 1.25",
			limits(-inf, 1), 0.5, 0, 128.8, Span{44, 213.6}, nil, false, false},
		{"a single lower limit: 9 to 15",
			limits(12, inf), 14, 0, 220.7, Span{150, 256}, nil, false, false},
		{"a limit of nought has the scale of its readings: -3 to 3",
			limits(-inf, 0), 3, 0, 256, Span{44, 44}, &Span{44, 256}, false, false},
	}
	near := func(a, b px) bool { return math.Abs(float64(a-b)) < 0.06 }
	for _, c := range tests {
		t.Run(c.reason, func(t *testing.T) {
			g := NewGauge(c.limits, Point{c.value, c.u}, nil)
			if !near(g.Now.X, c.x) || !near(g.Band.From, c.band.From) || !near(g.Band.To, c.band.To) {
				t.Errorf("mark %v, band %v; want %v, %v", g.Now.X, g.Band, c.x, c.band)
			}
			if g.Now.Below != c.below || g.Now.Above != c.above {
				t.Errorf("below %v, above %v", g.Now.Below, g.Now.Above)
			}
			if (g.Away == nil) != (c.away == nil) || g.Away != nil && (!near(g.Away.From, c.away.From) || !near(g.Away.To, c.away.To)) {
				t.Errorf("away %v; want %v", g.Away, c.away)
			}
		})
	}
}

func TestGaugeWithoutLimits(t *testing.T) {
	ten := 10.0
	for _, l := range []*engine.Limits{nil, {}, {Reference: &ten}} {
		if g := NewGauge(l, Point{1, 1}, nil); g != nil {
			t.Errorf("%+v has a gauge", l)
		}
	}
}

// TestGaugeLaws: everything lies on the scale in its order; on the scale the whisker
// reaches two standard uncertainties to either side, which is 4 u long; what lies
// outside has a line to its limit, and nothing else has.
func TestGaugeLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	for range 5000 {
		size := math.Pow(10, 12*r.Float64()-6)
		from, to := size*(4*r.Float64()-2), inf
		if r.IntN(3) > 0 {
			to = from + size*r.Float64()
			if r.IntN(3) == 0 {
				from = -inf
			}
		}
		now := Point{size * (20*r.Float64() - 10), size * r.Float64() * r.Float64()}
		before := &Point{size * (20*r.Float64() - 10), 0}
		if r.IntN(2) == 0 {
			before = nil
		}
		g := NewGauge(limits(from, to), now, before)
		for name, x := range map[string]px{"band from": g.Band.From, "band to": g.Band.To, "mark": g.Now.X} {
			if !(x >= g.From && x <= g.To) {
				t.Fatalf("%s at %v: %v to %v, %+v", name, x, from, to, now)
			}
		}
		if g.Band.Len() < 0 {
			t.Fatalf("band %v of %v to %v", g.Band, from, to)
		}
		outside := now.Value < from || now.Value > to
		if outside != (g.Away != nil) || g.Away != nil && g.Away.Len() < 0 {
			t.Fatalf("%+v of %v to %v: away %v", now, from, to, g.Away)
		}
		if both := !math.IsInf(from, 0) && !math.IsInf(to, 0); g.Now.Off() && !outside && both {
			t.Fatalf("%+v is off the scale and within %v to %v", now, from, to)
		}
		w := g.Now.Whisker
		if w == nil || w.From <= g.From+1e-6 || w.To >= g.To-1e-6 || math.IsInf(from, 0) || math.IsInf(to, 0) || to == from {
			continue
		}
		perUnit := float64(g.Band.Len()) / (to - from)
		if g.Band.From > g.From && g.Band.To < g.To && math.Abs(float64(w.Len())-4*now.Uncertainty*perUnit) > 1e-6*gaugeWidth {
			t.Fatalf("whisker of %v units; want %v", w.Len(), 4*now.Uncertainty*perUnit)
		}
	}
}

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		x    float64
		want string
	}{{11, "11"}, {0.0889, "0.0889"}, {1.03, "1.03"}, {1.0 / 3, "0.333"}, {123456, "123000"}, {-2, "-2"}, {0, "0"}, {3e20, "3e+20"}, {1.5e-9, "1.5e-09"}} {
		if got := Number(c.x); got != c.want {
			t.Errorf("%v is written %q, want %q", c.x, got, c.want)
		}
	}
}
