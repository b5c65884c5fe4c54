package advice

import (
	"math"
	"testing"

	"culprit/engine/belief"
)

// TestBlameIsThatOfSets weighs every set of faults by hand: the network gives the
// probability of each exactly, a further fault of a set counts several times less,
// and no fault as much as asked for.
func TestBlameIsThatOfSets(t *testing.T) {
	const several, outside = 0.2, 0.1
	compared := 0
	for seed := range uint64(80) {
		p := random(t, seed)
		if p.Net.Faults() > belief.MaxSet {
			continue // not all of its sets can be listed
		}
		compared++
		p.Several, p.Outside = several, outside
		weights := func(e belief.Evidence) (sum float64, faults []float64, none float64) {
			faults = make([]float64, p.Net.Faults())
			for size := range belief.MaxSet + 1 {
				sets, err := p.Net.Sets(e, size, 1000)
				if err != nil {
					t.Fatal(err)
				}
				for _, s := range sets {
					w := s.Probability * math.Pow(several, float64(size))
					if size == 0 {
						none = w
						continue
					}
					sum += w
					for _, f := range s.Faults {
						faults[f] += w
					}
				}
			}
			return sum, faults, none
		}
		sum, _, none := weights(belief.Evidence{})
		factor := outside / (1 - outside) * sum / none
		sum, faults, none := weights(p.Evidence)
		all := sum + factor*none
		a := advise(t, p, Options{Ahead: -1})
		for f := range faults {
			if want := faults[f] / all; !(math.Abs(a.Faults[f]-want) <= 1e-9) {
				t.Fatalf("seed %d, fault %d: %v, sets %v", seed, f, a.Faults[f], want)
			}
		}
		if want := factor * none / all; !(math.Abs(a.None-want) <= 1e-9) {
			t.Fatalf("seed %d: outside %v, sets %v", seed, a.None, want)
		}
		again := *p
		again.Evidence = belief.Evidence{}
		again.Checks = append([]Check(nil), p.Checks...)
		if b := advise(t, &again, Options{Ahead: -1}); !(math.Abs(b.None-outside) <= 1e-9) {
			t.Fatalf("seed %d: before any evidence %v lies outside, not %v", seed, b.None, outside)
		}
	}
	if compared < 10 {
		t.Fatalf("only %d networks compared", compared)
	}
}
