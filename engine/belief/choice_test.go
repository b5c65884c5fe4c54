package belief

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestProgramDoesNotHangOnTheLimit: which program is found does not depend on limits that
// were asked for before, be they too low for any.
func TestProgramDoesNotHangOnTheLimit(t *testing.T) {
	s := shape{faults: 12, conditions: 8, states: 2, links: 40, findings: 14, seen: 12, odd: true}
	found := 0
	for seed := range uint64(60) {
		m, e := s.random(rand.New(rand.NewPCG(seed, 5)))
		of := func(limits ...float64) (p *program) {
			w := newWork(must(t, m))
			for _, limit := range limits {
				if err := w.reduce(&e, -1); err != nil {
					return nil
				}
				if p = nil; w.elim.ready(w) {
					p = w.n.programs.find(&w.elim, w, limit)
				}
			}
			return p
		}
		want := of(math.Inf(1))
		if want == nil {
			continue
		}
		found++
		if p := of(want.work / 1000); want.work > 0 && p != nil {
			t.Errorf("seed %d: a program within a thousandth of its products", seed)
		}
		for _, limits := range [][]float64{{0.001, math.Inf(1)}, {0.001, want.work, want.work + 1}, {want.work * 2}} {
			if p := of(limits...); p != nil && (p.work != want.work || !slices.Equal(p.ops, want.ops)) {
				t.Errorf("seed %d: after limits %v another program", seed, limits)
			}
		}
		if p := of(0.001, math.Inf(1)); p == nil {
			t.Errorf("seed %d: no program after a low limit", seed)
		}
	}
	if found < 30 {
		t.Errorf("only %d found", found)
	}
}
