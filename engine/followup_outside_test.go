package engine

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestOutsideCoverage: of pairs of readings of one and the same thing, with normal
// errors, the share that is called changed is what lies outside a coverage factor
// of 2: 100 - 95.45 in 100 (JCGM 100:2008, table G.1; from memory).
func TestOutsideCoverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 528))
	const n = 400_000
	changed := 0
	for range n {
		ub, ua := 0.2+rng.Float64(), 0.2+rng.Float64()
		if _, yes := difference(7+ub*rng.NormFloat64(), ub, 7+ua*rng.NormFloat64(), ua); yes {
			changed++
		}
	}
	// The standard deviation of such a share is sqrt(0.0455 (1 - 0.0455) / n).
	around(t, "share called changed", float64(changed)/n, 1-0.9545, 4*math.Sqrt(0.0455*0.9545/n))
}

// TestOutsideScores: called changed is what has |E_n| above 1 with expanded
// uncertainties of k = 2 (ISO/IEC 17043:2010, B.3.1.3 e) and ISO 13528:2015, 9.7;
// from memory), which is a zeta score above 2 (ISO 13528:2015, 9.6; from memory).
func TestOutsideScores(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 43))
	seen := map[bool]int{}
	for range 10_000 {
		before, after := 10*rng.Float64(), 10*rng.Float64()
		ub, ua := 2*rng.Float64(), 2*rng.Float64()
		en := (after - before) / math.Sqrt((2*ub)*(2*ub)+(2*ua)*(2*ua))
		zeta := (after - before) / math.Sqrt(ub*ub+ua*ua)
		u, changed := difference(before, ub, after, ua)
		seen[changed]++
		if changed != (math.Abs(en) > 1) || changed != (math.Abs(zeta) > 2) {
			t.Errorf("%v±%v and %v±%v: changed %v, E_n %v, zeta %v", before, ub, after, ua, changed, en, zeta)
		}
		// Combined uncertainty of a difference: JCGM 100:2008, 5.1.2, equation 10
		// with sensitivities 1 and -1 (from memory).
		around(t, "u", u*u, ub*ub+ua*ua, 1e-12)
	}
	if seen[true] < 1000 || seen[false] < 1000 {
		t.Errorf("one-sided: %v", seen)
	}
}
