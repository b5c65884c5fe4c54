package belief

import "math"

// opposed returns the chance of an outcome, and that it does not arise, where some of what
// acts on it makes it rarer: 1 - (1-leak) prod (1-p)/(1-leak) over the strengths p, within
// 0..1. Raised and lowered again it can be the small difference of two products, so these are
// worked out to 30 digits. The leak is below 1.
func opposed(leak float64, strengths []float64) (chance, off float64) {
	if len(strengths) == 0 {
		return leak, 1 - leak
	}
	none := lessThanOne(leak)
	_, exp := math.Frexp(none.high)
	up := math.Ldexp(1, -exp) // keeps the products in range
	none = none.scaled(up)
	over, under := lessThanOne(strengths[0]), double{1, 0}
	for _, p := range strengths[1:] {
		over = over.times(lessThanOne(p).scaled(up))
		under = under.times(none)
		if over.high > huge {
			over, under = over.scaled(tiny), under.scaled(tiny)
		}
	}
	chance = under.less(over) / under.high
	if chance < sameProduct {
		chance = 0
	}
	return chance, min(1, over.high/under.high)
}

// sameProduct is a difference of products, as a share of them, that may be rounding.
const sameProduct = 0x1p-96

// double is a number of about 106 bits, high+low (Dekker 1971, "A floating-point technique
// for extending the available precision"; from memory).
type double struct{ high, low float64 }

// lessThanOne returns 1-x exactly, for x within 0..1.
func lessThanOne(x float64) double {
	high := 1 - x
	return double{high, (1 - high) - x}
}

func (a double) scaled(x float64) double { return double{a.high * x, a.low * x} }

func (a double) times(b double) double {
	high := a.high * b.high
	low := math.FMA(a.high, b.high, -high) + (a.high*b.low + a.low*b.high)
	sum := high + low
	return double{sum, low - (sum - high)}
}

// less returns a-b.
func (a double) less(b double) float64 {
	high := a.high - b.high
	t := high - a.high
	low := (a.high - (high - t)) - (b.high + t)
	return high + (low + (a.low - b.low))
}
