package truth

import "math"

// below is the standard normal distribution function, exact in both tails.
func below(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// inside is the probability that a standard normal value lies between two
// bounds, taken on the side of the tail where nothing cancels.
func inside(from, to float64) float64 {
	switch {
	case from >= to:
		return 0
	case from > 0:
		return max(0, below(-from)-below(-to))
	case to < 0:
		return max(0, below(to)-below(from))
	}
	// One bound on each side: what is left of both tails.
	return 1 - below(from) - below(-to)
}

// density is the standard normal density.
func density(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }

// reach is the number of standard uncertainties beyond which nothing is
// counted: the two tails together hold 2e-17, below the rounding of 1.
const reach = 8.5

// bivariate is the probability that two standard normal values with correlation
// r lie below h and k; s is √(1-r²). Its derivative by the correlation is the
// density at (h, k) (Plackett 1954), so with r = sin θ
//
//	P(r) = P(0) + 1/2π ∫ exp(-(h² + k² - 2hk sin θ) / 2cos²θ) dθ,  0 ≤ θ ≤ asin r
//
// where P(0) is the product. Near r = 1 the integral is taken from the other
// end, where P(1) is the lesser of both. The error is below 1e-14.
func bivariate(h, k, r, s float64) float64 {
	switch {
	case h <= -reach || k <= -reach:
		return 0
	case h >= reach:
		return below(k)
	case k >= reach:
		return below(h)
	case r < 0:
		return below(h) - bivariate(h, -k, -r, s)
	case r < 0.8:
		p := adaptive(func(angle float64) Truth {
			sin, cos := math.Sincos(angle)
			y := math.Exp((h*k*sin - (h*h+k*k)/2) / (cos * cos))
			return Truth{y, y}
		}, 0, math.Atan2(r, s), bivariateError, deepest)
		return below(h)*below(k) + p.Least/(2*math.Pi)
	}
	p := adaptive(func(angle float64) Truth { // from the other end: the angle's complement
		sin, cos := math.Sincos(angle)
		away := (h - k) / sin
		y := math.Exp(-away*away/2 - h*k/(1+cos))
		return Truth{y, y}
	}, 0, math.Atan2(s, r), bivariateError, deepest)
	return below(min(h, k)) - p.Least/(2*math.Pi)
}

// bivariateError is smallError for the closed form, which quadratures integrate.
const bivariateError = 1e-12
