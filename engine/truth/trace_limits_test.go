package truth

import (
	"math"
	"testing"
)

// TestSwitchRateLimits works the uncertainty of two rates out by hand, from limits ±a as u = a/√3 (JCGM 100:2008, 4.3.7;
// from memory).
func TestSwitchRateLimits(t *testing.T) {
	// 1 Hz, watched for 10.2 s every 0.05 s: twenty passes, so nine whole cycles from the first fall to the last and nine from
	// the first rise to the last. Either end of either span lies within one interval, and the spans may err alike.
	f := trace(50, 205, square(1, 0.5, 0.025)).figures()
	near(t, "rate", f.rate, 1, 1e-12)
	near(t, "its uncertainty", f.rateU, 2*math.Hypot(0.05, 0.05)/math.Sqrt(3)/18, 1e-12)
	// No pass in 14.95 s: half a cycle may have gone unseen.
	f = trace(50, 300, flat(0.1)).figures()
	near(t, "rate of what stands still", f.rate, 0, 0)
	near(t, "its uncertainty", f.rateU, 0.5/14.95/math.Sqrt(3), 1e-12)
}

// TestSizeOnItsLimit: a size without its sign that is just as large as a reading is at most it and not below it, on either
// side of nought.
func TestSizeOnItsLimit(t *testing.T) {
	for _, x := range []float64{1, 5} {
		j := newJob(t).number("x", x, 0).number("y", 3, 0).number("z", 2, 0)
		for src, want := range map[string]Truth{
			"abs(x - y) <= z": holds, "abs(x - y) < z": fails, "abs(x - y) >= z": holds, "abs(x - y) > z": fails,
			"z >= abs(x - y)": holds, "z > abs(x - y)": fails,
		} {
			if got := j.truth(src); got != want {
				t.Errorf("%s with x = %v: %v, want %v", src, x, got, want)
			}
		}
	}
}
