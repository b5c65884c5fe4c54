package truth

import (
	"math/rand/v2"
	"slices"
	"testing"

	"culprit/engine/quantity"
)

// TestBearing: what bears on an expression, and that while none of it is given nothing else, figures of the
// car among it, changes the answer.
func TestBearing(t *testing.T) {
	s := NewScope([]Reading{
		{ID: "a", Unit: quantity.Percent}, {ID: "b", Unit: quantity.Percent}, {ID: "warm", Kind: YesNo}, {ID: "look", Kind: Choice, Among: []string{"white", "sooty"}},
		{ID: "signal", Kind: Trace, Unit: quantity.Volt}, {ID: "off", Unit: quantity.Percent}, {ID: "ready", Kind: YesNo}, {ID: "goal", Unit: quantity.Percent}, {ID: "far", Unit: quantity.Percent},
		{ID: "strict", Kind: YesNo},
	})
	compile := func(text string, want Kind, use Use) *Expr {
		t.Helper()
		e, err := s.Compile(text, want, use)
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	for _, d := range []struct{ id, from string }{{"off", "a - reference(a)"}, {"ready", "warm and off < 3"}, {"goal", "reference(b)"}, {"far", "off + goal"}, {"strict", "goal > 3"}} {
		i, _ := s.Index(d.id)
		s.Derive(i, compile(d.from, s.Reading(i).Kind, InDerived))
	}
	r := rand.New(rand.NewPCG(1, 2))
	for _, c := range []struct {
		because, expr string
		bears         []string
		figures       bool
	}{
		{"a reading", "a > 1", []string{"a"}, false},
		{"a reading against its figures", "high(a) or ok(b)", []string{"a", "b"}, false},
		{"everything else that is asked", `not warm and (look == "sooty" or toggles(signal))`, []string{"warm", "look", "signal"}, false},
		{"whether it is known", "known(a) or b > 1", []string{"a", "b"}, false},
		{"derived ones with what is behind them", "ready", []string{"a", "warm", "off", "ready"}, false},
		{"a derived number with a figure in it", "high(off)", []string{"a", "off"}, false},
		{"a figure by itself", "goal > 3 or a > 1", []string{"a", "goal"}, true},
		{"a figure with a reading", "far > 3", []string{"a", "off", "goal", "far"}, false},
		{"a figure by itself, behind a reading of yes or no", "strict or a > 1", []string{"a", "goal", "strict"}, true},
		{"a figure by itself, if that is known", "known(goal) and a > 1", []string{"a", "goal"}, true},
	} {
		e := compile(c.expr, YesNo, InDerived)
		readings, figures := e.Bearing()
		var want []int
		for _, id := range c.bears {
			i, _ := s.Index(id)
			want = append(want, i)
		}
		slices.Sort(want)
		if !slices.Equal(readings, want) || figures != c.figures {
			t.Errorf("%s: %s bears on %v, %t; want %v, %t", c.because, c.expr, readings, figures, want, c.figures)
		}
		v := s.Values()
		blank := e.Truth(v)
		for range 200 {
			v.Reset()
			for i := range s.Len() {
				if r.IntN(2) == 0 && s.Reading(i).Kind == Number {
					v.SetSpec(i, Spec{From: r.Float64(), To: 1 + r.Float64(), Reference: 6 * r.Float64(), HasFrom: true, HasTo: true, HasReference: true})
				}
				if slices.Contains(readings, i) || r.IntN(2) == 0 {
					continue
				}
				switch s.Reading(i).Kind {
				case Number:
					v.SetNumber(i, 6*r.Float64(), r.Float64())
				case YesNo:
					v.SetYesNo(i, r.IntN(2) == 0)
				case Choice:
					v.SetChoice(i, r.IntN(2))
				}
			}
			if got := e.Truth(v); got != blank && !figures {
				t.Fatalf("%s: %s is %v, with nothing of it given %v", c.because, c.expr, blank, got)
			}
		}
	}
}

// TestJudge: where an expression certainly holds, and not by degree, what is joined to it is worth what it
// is by itself, to the last bit.
func TestJudge(t *testing.T) {
	s := NewScope([]Reading{{ID: "a", Unit: quantity.Percent}, {ID: "b", Unit: quantity.Percent}, {ID: "warm", Kind: YesNo}})
	compile := func(text string) *Expr {
		e, err := s.Compile(text, YesNo, InRule)
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	r := rand.New(rand.NewPCG(3, 4))
	given := []*Expr{compile("warm"), compile("a < 20"), compile("warm or a + b < 4"), compile("not (b > 3) or warm and a < 2")}
	when := []*Expr{compile("a > 1"), compile("between(a - b, -1, 1)"), compile("a > 1 and b < 2 or not warm"), compile("a + b > 3 and a < 2")}
	v := s.Values()
	certain := 0
	for range 500 {
		v.Reset()
		if r.IntN(4) > 0 {
			v.SetYesNo(2, r.IntN(4) > 0)
		}
		for i := range 2 {
			if r.IntN(5) > 0 {
				v.SetNumber(i, 4*r.Float64(), r.Float64()/float64(1+r.IntN(9)))
			}
		}
		for _, g := range given {
			truth, holds := g.Judge(v)
			if truth != g.Truth(v) || holds && truth != (Truth{1, 1}) {
				t.Fatalf("%s is judged %v, %t; its truth is %v", g.Source(), truth, holds, g.Truth(v))
			}
			for _, w := range when {
				if both := compile("(" + g.Source() + ") and (" + w.Source() + ")"); holds && both.Truth(v) != w.Truth(v) {
					t.Fatalf("%s is %v, and %s %v", w.Source(), w.Truth(v), both.Source(), both.Truth(v))
				}
			}
			if holds {
				certain++
			}
		}
	}
	if certain == 0 {
		t.Error("nothing was certain: the test has tried nothing")
	}
}
