package engine

import (
	"cmp"
	"math"
	"slices"

	"culprit/engine/belief"
	"culprit/engine/truth"
)

// relieves is the least drop of the conflict measure for which a reading is
// worth taking again: the rest of the findings then goes together better by a
// factor of the square root of two. A judgement.
const relieves = math.Ln2 / 2

// mostAgain is how many readings are named at most.
const mostAgain = 3

// findConflict measures whether the findings contradict each other, and which
// readings to take again if they do: those without whose findings the measure
// falls most. A reading that only decides whether rules apply is not blamed, for
// without it nothing would be left that could contradict.
func (p *Pack) findConflict(v *Verdict, s *session, left []belief.Left) error {
	c, err := p.net.Conflict(s.evidence, left)
	if err != nil {
		return err
	}
	v.Conflict = Conflict{Measure: c.Value, TakeAgain: []Again{}}
	if c.Value <= 0 {
		return nil
	}
	again := &v.Conflict.TakeAgain
	for i, seen := range p.measuredBy(s) {
		r := p.rules.Readings[i]
		if len(seen) == 0 || s.assumes(r) {
			continue
		}
		without, err := p.conflictWithout(seen, s, &c)
		if err != nil {
			return err
		}
		if without < c.Value-relieves {
			*again = append(*again, Again{Reading: r.ID, Label: r.Label, Without: without})
		}
	}
	slices.SortStableFunc(*again, func(a, b Again) int { return cmp.Compare(a.Without, b.Without) })
	*again = (*again)[:min(len(*again), mostAgain)]
	return nil
}

// measuredBy lists for each given reading the seen findings (as indexes of the
// evidence, ascending) whose rules ask for it, themselves or through what is
// derived from it.
func (p *Pack) measuredBy(s *session) [][]int {
	by := make([][]int, len(p.rules.Readings))
	for k, seen := range s.evidence.Seen {
		mark := func(i int) {
			if n := len(by[i]); n == 0 || by[i][n-1] != k {
				by[i] = append(by[i], k)
			}
		}
		for _, r := range p.findings[seen.Finding].rules {
			if s.answers[r.Index].counts() {
				p.given(r.When, s.values, mark)
			}
		}
	}
	return by
}

// given calls do with the readings of an expression that the job gives, and for
// derived ones with those that they come from.
func (p *Pack) given(e *truth.Expr, values *truth.Values, do func(reading int)) {
	for _, i := range e.Reads() {
		switch from := p.rules.Readings[i].From; {
		case values.Given(i):
			do(i)
		case from != nil:
			p.given(from, values, do)
		}
	}
}

// conflictWithout is the measure without some of the seen findings.
func (p *Pack) conflictWithout(drop []int, s *session, c *belief.Conflict) (float64, error) {
	if len(drop) == 1 {
		return c.Without[drop[0]], nil
	}
	rest := belief.Evidence{Acting: s.evidence.Acting, Done: s.evidence.Done}
	singles := 0.0
	for i, seen := range s.evidence.Seen {
		if !slices.Contains(drop, i) {
			rest.Seen = append(rest.Seen, seen)
			singles += c.Alone[i]
		}
	}
	var post belief.Posterior
	if err := p.net.Posterior(rest, &post); err != nil {
		return 0, err
	}
	return singles - post.LogEvidence, nil
}
