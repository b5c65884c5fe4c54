package belief

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestOpposedIsExact: a chance that is raised and lowered again keeps its digits, however
// little is left of it (against numbers of 2000 bits).
func TestOpposedIsExact(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	small := 0
	for range 20000 {
		leak := pick(r, 0, 1e-3, 0.1, 0.5, 1-1e-12, 1-0x1p-53, r.Float64())
		var strengths []float64
		for range r.IntN(7) {
			p := pick(r, 0, 1, r.Float64(), leak*r.Float64(), leak, leak+(1-leak)*1e-12)
			strengths = append(strengths, p)
		}
		if len(strengths) == 2 && r.IntN(2) == 0 { // all but undone: (1-p)(1-q) near 1-leak
			strengths[0] = leak / 2
			strengths[1] = min(1, 1-(1-leak)*(1-leak)/(1-leak/2)+pick(r, 1e-15, 1e-12, 1e-9))
		}
		o := Outcome{Leak: leak}
		x := &exact{values: []int{1, 1, 1, 1, 1, 1, 1}}
		for k, p := range strengths {
			o.States = append(o.States, Shown{k, 0, p})
		}
		want := x.outcome(0, o)
		wantOff, _ := oneLess(want).Float64()
		q, off := opposed(leak, strengths)
		w, _ := want.Float64()
		if w > 0x1p-90 && w < 1e-9 {
			small++
		}
		if w > 0x1p-90 && math.Abs(q-w) > 1e-14*w || w == 0 && q > 0 || math.Abs(off-wantOff) > 1e-14*wantOff {
			t.Fatalf("leak %v, strengths %v: %v and %v, exactly %v and %v", leak, strengths, q, off, w, wantOff)
		}
	}
	if small < 300 {
		t.Errorf("only %d small chances", small)
	}
	many := make([]float64, 25) // overflows where the products are not kept in range
	if q, off := opposed(1-0x1p-53, many); q != 0 || off != 1 {
		t.Errorf("25 that make it rarer: %v and %v", q, off)
	}
}
