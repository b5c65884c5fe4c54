package engine

import (
	"cmp"
	"math"
	"slices"

	"culprit/engine/belief"
)

// findConflict measures whether the findings contradict each other, and which
// readings to take again if they do.
func (p *Pack) findConflict(v *Verdict, s *session, left []belief.Left) error {
	c, err := p.net.Conflict(s.evidence, left)
	if err != nil {
		return err
	}
	v.Conflict = Conflict{Measure: c.Value, TakeAgain: []Again{}}
	if c.Value <= 0 {
		return nil
	}
	for i, r := range p.rules.Readings {
		if !s.values.Given(i) || s.assumes(r) {
			continue
		}
		without, err := p.conflictWithout(i, s, c)
		if err != nil {
			return err
		}
		if without < c.Value-math.Ln2/2 {
			v.Conflict.TakeAgain = append(v.Conflict.TakeAgain, Again{Reading: r.ID, Label: r.Label, Without: without})
		}
	}
	slices.SortStableFunc(v.Conflict.TakeAgain, func(a, b Again) int { return cmp.Compare(a.Without, b.Without) })
	v.Conflict.TakeAgain = v.Conflict.TakeAgain[:min(len(v.Conflict.TakeAgain), 3)]
	return nil
}

// conflictWithout is the measure without every finding that a reading bears on.
func (p *Pack) conflictWithout(reading int, s *session, c belief.Conflict) (float64, error) {
	drop := map[int]bool{}
	for _, rule := range p.readBy[reading] {
		drop[p.findingOf[rule]] = true
	}
	rest := belief.Evidence{Acting: s.evidence.Acting}
	singles := 0.0
	for i, seen := range s.evidence.Seen {
		if !drop[seen.Finding] {
			rest.Seen = append(rest.Seen, seen)
			singles += c.Alone[i]
		}
	}
	if len(rest.Seen) == len(s.evidence.Seen) {
		return c.Value, nil
	}
	var post belief.Posterior
	if err := p.net.Posterior(rest, &post); err != nil {
		return 0, err
	}
	return singles - post.LogEvidence, nil
}
