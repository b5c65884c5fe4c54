package belief

import (
	"errors"
	"math"
)

// Values of conditions by elimination. P(evidence) is linear in the weights of each node, so
// its derivative by them, times what one value adds to them, is P(value, evidence).

// errLost says that too many digits of a value's probability would cancel. The passes have
// them, for they never subtract.
var errLost = errors.New("a value's digits cancel")

// mostValueLoss is by how much rounding errors may grow on the way to a value's probability,
// with what has cancelled before: it leaves eleven of a float64's 16 digits.
const mostValueLoss = 1 << 16

// leastSums is what the sums by value of a condition must add up to: where it is less, what
// lies below the range of float64 may be more than the 1e-250 of the package comment.
const leastSums = 0x1p-166

// asks reports whether a node's values are asked for.
func (e *elimination) asks(w *work, d *node) bool {
	return e.forValues && d.joint < 0 && d.unit >= 0 && w.units[d.unit].condition >= 0
}

// sumWeights leaves the sums by value of a node in w.run.byValue, given the derivative by its
// weights, which it spoils. On a cumulative slot the weight of off less that of on stands
// for off, and that of on for either: by the weight of on itself the derivative is that of either
// less that of off. It reports whether the digits of all sums are left.
func (e *elimination) sumWeights(w *work, d *node, back []float64) (ok bool) {
	u := &w.units[d.unit]
	sums := w.run.byValue[u.weights:][:u.values]
	back = back[:d.numbers]
	e.sizes = sized(e.sizes, len(back)+len(sums))
	sizes, ofSums := e.sizes[:len(back)], e.sizes[len(back):]
	clear(ofSums)
	for i, x := range back {
		sizes[i] = math.Abs(x)
	}
	for k := range int(d.slots) {
		if e.slots[int(d.slot)+k].apart {
			continue
		}
		for i := range back {
			if on := i | 1<<k; on != i {
				back[on] -= back[i]
				sizes[on] += sizes[i]
			}
		}
	}
	e.eachWeight(w, d, func(at int, value int32, x float64) {
		sums[value] += x * back[at]
		ofSums[value] += x * sizes[at]
	})
	for v, size := range ofSums {
		if !(sums[v]*mostValueLoss >= size*w.loss) {
			return false
		}
	}
	return total(sums) >= leastSums
}
