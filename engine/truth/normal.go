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
