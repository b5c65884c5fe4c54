package belief

import (
	"math"
	"slices"
)

// mostStarts bounds the trials of coupleOrder; a judgement.
const mostStarts = 8

// coupleOrder returns an order of the joints for work.given that keeps the tables over the
// values of the units that they couple small: of several orders that begin with different
// joints and go on with the one that leaves the fewest slots open, the cheapest.
func (w *work) coupleOrder() []int32 {
	var best, trial []int32
	pending := make([]int, len(w.units))
	isOpen := make([]bool, len(w.units))
	applied := make([]bool, len(w.joints))
	least := math.Inf(1)
	for start := range min(len(w.joints), mostStarts) {
		trial = trial[:0]
		clear(pending)
		clear(applied)
		for j := range w.joints {
			for _, u := range w.membersOf(&w.joints[j]) {
				pending[u]++
			}
		}
		open, cost := 0, 0.0
		next := start * len(w.joints) / min(len(w.joints), mostStarts)
		for next >= 0 {
			applied[next] = true
			trial = append(trial, int32(next))
			opened, closed, _ := w.opens(next, isOpen, pending)
			cost += math.Ldexp(1, open+opened)
			open += opened - closed
			for _, u := range w.membersOf(&w.joints[next]) {
				pending[u]--
				isOpen[u] = pending[u] > 0
			}
			next = w.nextJoint(applied, isOpen, pending)
		}
		if cost < least {
			least = cost
			best, trial = trial, best
		}
	}
	return slices.Clone(best)
}

// nextJoint returns the joint, not applied yet, that leaves the fewest slots open, of those
// that share a unit with what is open where there are any; -1 when all are applied.
func (w *work) nextJoint(applied, isOpen []bool, pending []int) int {
	best, least, near := -1, 0, false
	for j := range w.joints {
		if applied[j] {
			continue
		}
		opened, closed, touches := w.opens(j, isOpen, pending)
		if best < 0 || touches && !near || touches == near && opened-closed < least {
			best, least, near = j, opened-closed, touches
		}
	}
	return best
}

// opens returns how many slots a joint opens and closes, and whether it has units that
// are open.
func (w *work) opens(joint int, isOpen []bool, pending []int) (opened, closed int, touches bool) {
	for _, u := range w.membersOf(&w.joints[joint]) {
		width := w.units[u].width()
		if isOpen[u] {
			touches = true
		} else {
			opened += width
		}
		if pending[u] == 1 {
			closed += width
		}
	}
	return opened, closed, touches
}
