package engine

import (
	"slices"

	"culprit/engine/belief"
)

// Judgements of what is worth telling about the best explanation: something
// that holds although it would do so in less than a third of such cases, and
// something that does not hold although it would in more than six of seven.
const (
	hardlyExpected = 0.33
	fullyExpected  = 0.85
	// plainly is the probability from which a rule plainly holds, or not.
	plainly = 0.9
	// setsOfSize is how many sets of one, two and three faults are told.
	setsOfSize = 3
)

// findTogether finds the most probable exact sets of faults, and what the best
// of them leaves unexplained.
func (p *Pack) findTogether(v *Verdict, s *session) error {
	v.Together, v.Unexplained = []Set{}, []Unexplained{}
	all := []belief.Set{{Probability: s.posterior.None}}
	for size := 1; size <= belief.MaxSet; size++ {
		sets, err := p.net.Sets(s.evidence, size, setsOfSize)
		if err != nil {
			return err
		}
		all = append(all, sets...)
	}
	slices.SortStableFunc(all, func(a, b belief.Set) int { return likelier(a.Probability, b.Probability) })
	for _, set := range all {
		out := Set{Faults: []string{}, Probability: set.Probability}
		for _, f := range set.Faults {
			out.Faults = append(out.Faults, p.rules.Faults[f].ID)
		}
		v.Together = append(v.Together, out)
	}
	best := s.explanation(all[0].Faults)
	for _, seen := range s.evidence.Seen {
		outcomes, err := p.net.Predict(s.evidence, best, seen.Finding)
		if err != nil {
			return err
		}
		v.Unexplained = append(v.Unexplained, p.unexplained(seen.Finding, outcomes, s)...)
	}
	return nil
}

// explanation is the set of faults that findings are predicted from: the most
// probable one, or, where more faults than a set can hold are each more
// probable than not, all of those.
func (s *session) explanation(best []int) []int {
	var likely []int
	for f, probability := range s.posterior.Faults {
		if probability > 0.5 {
			likely = append(likely, f)
		}
	}
	if len(likely) > belief.MaxSet {
		return likely
	}
	return best
}

// unexplained lists what the outcomes of a finding should not have been. Of
// rules that exclude each other the one that oddly holds says enough.
func (p *Pack) unexplained(finding int, outcomes []float64, s *session) []Unexplained {
	var odd, unseen []Unexplained
	for k, r := range p.findings[finding].rules {
		a := &s.answers[r.Index]
		u := Unexplained{Rule: r.ID, Says: r.Says, Status: a.status, Predicted: outcomes[k]}
		switch {
		case a.status == Holds && a.holds > plainly && outcomes[k] < hardlyExpected:
			odd = append(odd, u)
		case a.status == DoesNotHold && a.holds < 1-plainly && outcomes[k] > fullyExpected:
			unseen = append(unseen, u)
		}
	}
	if len(odd) > 0 {
		return odd
	}
	return unseen
}
