package modelcar

import "math"

// root finds where f, continuous on [a, b], is zero, to within tolerance of x. Where f has the same sign at both
// ends it gives the end at which f is nearer to zero, and false. It keeps the zero bracketed all the time
// (regula falsi, Illinois variant: Dowell and Jarratt 1971, BIT 11), so it cannot leave [a, b] or give NaN for
// an f that has none. Where it says true, the last call of f was at the x that it gives.
func root(f func(float64) float64, a, b, tolerance float64) (x float64, found bool) {
	fa := f(a)
	if fa == 0 {
		return a, true
	}
	fb := f(b)
	switch {
	case fb == 0:
		return b, true
	case (fa > 0) == (fb > 0):
		if math.Abs(fa) < math.Abs(fb) {
			return a, false
		}
		return b, false
	}
	side := 0
	for i := range 100 {
		x = (a*fb - b*fa) / (fb - fa)
		if i%8 == 7 || !(x > min(a, b) && x < max(a, b)) {
			x = (a + b) / 2 // now and then halve, which bounds the number of steps
		}
		fx := f(x)
		if fx == 0 {
			return x, true
		}
		if (fx > 0) == (fb > 0) {
			if math.Abs(x-b) < tolerance {
				return x, true
			}
			b, fb = x, fx
			if side == 1 {
				fa /= 2
			}
			side = 1
		} else {
			if math.Abs(x-a) < tolerance {
				return x, true
			}
			a, fa = x, fx
			if side == -1 {
				fb /= 2
			}
			side = -1
		}
		if math.Abs(b-a) < tolerance {
			return x, true
		}
	}
	return x, true
}
