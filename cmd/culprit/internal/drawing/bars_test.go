package drawing

import (
	"math"
	"testing"
)

// A bar's length is the number: twice the decibans are twice as long, on one side of
// nought or the other.
func TestWeights(t *testing.T) {
	s := NewWeights([]float64{18.1, -7, 3})
	if s.Against != -10 || s.For != 20 {
		t.Errorf("the scale is %+v, want -10 to 20: whole fives around the weights", s)
	}
	ten, five, against := s.Weight(10), s.Weight(5), s.Weight(-5)
	if d := float64(ten.Bar.Len() - 2*five.Bar.Len()); math.Abs(d) > 1e-9 {
		t.Errorf("10 decibans are %v, 5 are %v", ten.Bar.Len(), five.Bar.Len())
	}
	if d := float64(against.Bar.Len() - five.Bar.Len()); math.Abs(d) > 1e-9 || against.Bar.To != against.Zero || five.Bar.From != five.Zero {
		t.Errorf("for %+v and against %+v are not alike about nought", five, against)
	}
	if !ten.For || against.For {
		t.Error("for and against are mixed up")
	}
	if len(ten.Tens) != 3 || ten.Tens[1] != ten.Bar.To {
		t.Errorf("lines of ten at %v; want -10, 10 and 20", ten.Tens)
	}
}

func TestWeightsThatAreCertain(t *testing.T) {
	s := NewWeights([]float64{math.Inf(1), math.Inf(-1), 4})
	if s.Against != -5 || s.For != 10 {
		t.Errorf("what is certain stretches the scale to %+v", s)
	}
	for _, w := range []float64{math.Inf(1), math.Inf(-1)} {
		if b := s.Weight(w); b.Arrow == "" || b.Bar.From < 0 || b.Bar.To > barWidth {
			t.Errorf("%v is drawn as %+v", w, b)
		}
	}
	if b := s.Weight(4); b.Arrow != "" {
		t.Error("a weight on the scale has an arrowhead")
	}
}

func TestShare(t *testing.T) {
	for _, c := range []struct {
		reason string
		p      float64
		want   px
	}{
		{"half is half", 0.5, barWidth / 2},
		{"certain is all", 1, barWidth},
		{"what is possible can be seen", 1e-9, 1},
		{"what is impossible cannot", 0, 0},
	} {
		if got := NewShare(c.p).Full; got != c.want {
			t.Errorf("%s: %v, want %v", c.reason, got, c.want)
		}
	}
}
