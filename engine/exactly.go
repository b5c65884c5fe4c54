package engine

import (
	"context"
	"fmt"
	"math"

	"culprit/engine/belief"
)

// Exactly gives the posterior of every set of exactly so many faults, given that
// there are exactly so many, the most probable first: what to believe of a car that
// was picked for having that many. A size is one to three. Sets that are impossible
// are left out; where all are, there are none. Errors are as for [Pack.Diagnose].
func (p *Pack) Exactly(ctx context.Context, j *Job, size int) ([]Set, error) {
	if size < 1 || size > belief.MaxSet {
		return nil, fmt.Errorf("sets of %d faults are not looked for, only of 1 to %d", size, belief.MaxSet)
	}
	return ask(ctx, p, j, func(s *session) ([]Set, error) {
		all, err := p.net.Sets(s.evidence, size, math.MaxInt)
		if err != nil {
			return nil, err
		}
		sum := 0.0
		for _, set := range all {
			sum += set.Probability
		}
		out := []Set{}
		for _, set := range all {
			x := Set{Probability: set.Probability / sum}
			for _, f := range set.Faults {
				x.Faults = append(x.Faults, p.rules.Faults[f].ID)
			}
			out = append(out, x)
		}
		return out, nil
	})
}
