package engine

import (
	"cmp"
	"slices"

	"culprit/engine/belief"
)

// Judgements of what is worth telling about the best explanation: something
// that holds although it would do so in less than a third of such cases, and
// something that does not hold although it would in more than six of seven.
const (
	hardlyExpected = 0.33
	fullyExpected  = 0.85
)

// findTogether finds the most probable exact sets of faults, and what the best
// of them leaves unexplained.
func (p *Pack) findTogether(v *Verdict, s *session) error {
	v.Together, v.Unexplained = []Set{}, []Unexplained{}
	var all []belief.Set
	for size := range belief.MaxSet + 1 {
		sets, err := p.net.Sets(s.evidence, size, 3)
		if err != nil {
			return err
		}
		all = append(all, sets...)
	}
	slices.SortStableFunc(all, func(a, b belief.Set) int { return cmp.Compare(b.Probability, a.Probability) })
	for _, set := range all {
		out := Set{Faults: []string{}, Probability: set.Probability}
		for _, f := range set.Faults {
			out.Faults = append(out.Faults, p.rules.Faults[f].ID)
		}
		v.Together = append(v.Together, out)
	}
	if len(all) == 0 {
		return nil
	}
	for _, seen := range s.evidence.Seen {
		outcomes, err := p.net.Predict(s.evidence, all[0].Faults, seen.Finding)
		if err != nil {
			return err
		}
		for k, r := range p.findings[seen.Finding].rules {
			a := &s.answers[r.Index]
			unseen := a.status == DoesNotHold && a.holds < 0.1 && outcomes[k] > fullyExpected
			odd := a.status == Holds && a.holds > 0.9 && outcomes[k] < hardlyExpected
			if odd || unseen {
				v.Unexplained = append(v.Unexplained, Unexplained{Rule: r.ID, Says: r.Says, Status: a.status, Predicted: outcomes[k]})
			}
		}
	}
	return nil
}
