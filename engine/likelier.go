package engine

import (
	"cmp"
	"math"
)

// likelier orders probabilities from the highest down. Those that differ by rounding
// alone count as equal, so that what the evidence does not tell apart keeps the order
// of the pack whatever way the numbers were worked out.
func likelier(a, b float64) int { return cmp.Compare(coarse(b), coarse(a)) }

// coarse rounds a number to 28 bits, eight decimal digits.
func coarse(x float64) float64 {
	const dropped = 24
	return math.Float64frombits((math.Float64bits(x) + 1<<(dropped-1)) >> dropped << dropped)
}
