package score

import (
	"context"
	"math"
	"slices"

	"culprit/engine"
)

// BareMention is the weight of evidence in decibans below which it is not worth more than a bare mention: a factor of
// the square root of ten (Jeffreys 1961, "Theory of Probability", appendix B; from memory).
const BareMention = 5

// firstFew is how many of the leading faults are looked at.
const firstFew = 4

// apart is how far the readings of a job tell two faults apart, in decibans: the largest weight, for one over the
// other, that a rule has which they answer, or that all of them have together, each fault being all that is wrong. The
// readings count as they came, and how common the faults are does not count.
//
// Two faults are alike in a job where that is less than BareMention: no reading in hand tells them apart.
func apart(a, b *engine.Alone) float64 {
	if a.Fault == b.Fault {
		return 0
	}
	most := math.Abs(a.LogLikelihood - b.LogLikelihood)
	for k := range a.LogEach {
		most = max(most, math.Abs(a.LogEach[k]-b.LogEach[k]))
	}
	if math.IsNaN(most) { // both impossible
		return math.Inf(1)
	}
	return most * 10 / math.Ln10
}

// compare finds how far each of the leading faults is from the nearest that is there.
func (s *stager) compare(ctx context.Context, job *engine.Job, out *outcome) error {
	leading := out.ranked[:min(firstFew, len(out.ranked))]
	alone, err := s.pack.Alone(ctx, job, append(slices.Clone(out.truth), leading...))
	if err != nil {
		return err
	}
	there, leads := alone[:len(out.truth)], alone[len(out.truth):]
	for k := range leads {
		nearest := math.Inf(1)
		for t := range there {
			nearest = min(nearest, apart(&leads[k], &there[t]))
		}
		out.apart = append(out.apart, nearest)
	}
	return nil
}

// alike tells whether one of the first n faults is there, or is not told apart from one that is.
func (o *outcome) alike(n int, decibans float64) bool {
	return slices.ContainsFunc(o.apart[:min(n, len(o.apart))], func(d float64) bool { return d < decibans })
}

// within counts the true faults among the first n.
func (o *outcome) within(n int) int {
	count := 0
	for _, f := range o.ranked[:min(n, len(o.ranked))] {
		if slices.Contains(o.truth, f) {
			count++
		}
	}
	return count
}
