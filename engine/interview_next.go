package engine

import (
	"context"
	"slices"

	"culprit/engine/rulefile"
)

// askSettled proposes the repair of every fault that is settled.
func (iv *Interview) askSettled(s *sitting, v *view) bool {
	var faults []Leading
	for _, f := range v.faults {
		x := iv.pack.rules.Fault(f.Fault)
		if f.Probability < Settled || x.Repair == nil {
			continue
		}
		if x.Settle == nil || len(iv.open(v, x.Settle.Yields)) == 0 {
			faults = append(faults, f)
		}
	}
	if len(faults) == 0 {
		return false
	}
	iv.propose(s, true, faults)
	return true
}

func (iv *Interview) propose(s *sitting, certain bool, faults []Leading) {
	p := &Proposal{Settled: certain}
	var ids []string
	for _, f := range faults {
		r := describeRepair(iv.pack.rules.Fault(f.Fault).Repair)
		p.Faults = append(p.Faults, ProposedRepair{f, *r})
		ids = append(ids, r.Cautions...)
	}
	p.Cautions = iv.pack.cautionsOf(ids)
	s.question = &Question{Ask: AskRepaired, Label: "Is it done?", Propose: p}
}

// askAgain asks for what the repair could have moved, check by check; when all of
// it was asked for and nothing is odd, the interview is at its end.
func (iv *Interview) askAgain(s *sitting, v *view) bool {
	if !s.after() || v.follow == nil {
		return false
	}
	for _, n := range v.follow.NotAgain {
		if n.Check == nil {
			continue
		}
		same := slices.DeleteFunc(slices.Clone(iv.pack.rules.Check(n.Check.Check).Yields), func(i int) bool {
			return !slices.ContainsFunc(v.follow.NotAgain, func(other NotAgain) bool { return other.Reading == iv.pack.rules.Readings[i].ID })
		})
		step := func() *Step { return &Step{Check: *n.Check, Again: true, Minutes: n.Check.Minutes} }
		if iv.begin(s, v, iv.open(v, same), step) {
			return true
		}
	}
	if iv.onlyComplaint(s, v.follow) {
		r := iv.pack.rules.Reading(complaintReading)
		step := func() *Step { return &Step{Check: *iv.pack.describeCheck(iv.pack.quickest(r.Index)), Again: true} }
		return iv.begin(s, v, []string{r.ID}, step)
	}
	switch {
	case v.follow.InOrder:
		s.end(EndInOrder)
	case len(v.follow.StillOdd)+len(v.follow.Out) == 0:
		s.end(EndNotKnown)
	}
	return s.question != nil
}

// onlyComplaint tells whether the complaint of before is all that is still odd, and
// nobody has asked the customer again.
func (iv *Interview) onlyComplaint(s *sitting, f *FollowUp) bool {
	if _, said := s.readings()[complaintReading]; said || len(f.Out) > 0 || len(f.StillOdd) == 0 {
		return false
	}
	return !slices.ContainsFunc(f.StillOdd, func(o Odd) bool { return !slices.Equal(o.Readings, []string{complaintReading}) })
}

// askWorth asks for the check that is worth most; where none pays, it goes by the
// plan of repairing.
func (iv *Interview) askWorth(ctx context.Context, s *sitting, v *view) error {
	n, err := iv.pack.Next(ctx, s.job, NextOptions{Without: iv.o.Without, Done: iv.done(v), Most: -1, Quick: true})
	if err != nil {
		return err
	}
	goOn := s.resumed
	s.resumed = false
	for _, begun := range []bool{true, false} {
		for i := range n.Checks {
			c := &n.Checks[i]
			if c.Saves <= 0 || begun && !(goOn && iv.begun(s, c)) {
				continue
			}
			if iv.beginCheck(s, v, n, c) {
				return nil
			}
		}
	}
	if len(v.faults) == 0 || v.faults[0].Probability < standsOut {
		s.end(EndNoFault)
		return nil
	}
	for _, step := range n.Repair.Steps {
		if step.Check == nil && step.Faults[0].Probability >= standsOut {
			iv.propose(s, false, step.Faults)
			return nil
		}
		if step.Check != nil && iv.beginCheck(s, v, n, n.worth(*step.Check, step.Minutes)) {
			return nil
		}
	}
	s.end(EndNothing)
	return nil
}

// begun tells whether readings of a check were taken that nobody takes by another one.
func (iv *Interview) begun(s *sitting, c *NextCheck) bool {
	return slices.ContainsFunc(c.Yields, func(id string) bool {
		return s.readings()[id].Taken() && iv.pack.quickest(iv.pack.rules.Reading(id).Index).ID == c.Check.Check
	})
}

// worth finds what an advice says of a check; what it does not list takes these minutes.
func (n *Next) worth(c Check, minutes float64) *NextCheck {
	for i := range n.Checks {
		if n.Checks[i].Check.Check == c.Check {
			return &n.Checks[i]
		}
	}
	return &NextCheck{Check: c, AsThingsAre: minutes}
}

func (iv *Interview) beginCheck(s *sitting, v *view, n *Next, c *NextCheck) bool {
	open := iv.open(v, iv.pack.rules.Check(c.Check.Check).Yields)
	if len(open) == 0 {
		return false
	}
	if d := iv.quicker(c, open); d != nil {
		c = n.worth(*iv.pack.describeCheck(d), d.Minutes)
		open = iv.open(v, d.Yields)
	}
	return iv.begin(s, v, open, func() *Step {
		return &Step{Check: c.Check, Minutes: c.AsThingsAre, Saves: max(0, c.Saves), First: c.First}
	})
}

// quicker is the quickest check that yields all that is still open of one, where it
// is another: nobody turns a screw to see whether its mark is broken. Nil for none.
func (iv *Interview) quicker(c *NextCheck, open []string) *rulefile.Check {
	best := iv.pack.rules.Check(c.Check.Check)
	first := best
	for _, d := range iv.pack.rules.Checks {
		all := !slices.ContainsFunc(open, func(id string) bool { return !slices.Contains(d.Yields, iv.pack.rules.Reading(id).Index) })
		if all && d.Minutes < best.Minutes && !lacksTool(d, iv.o.Without) {
			best = d
		}
	}
	if best == first {
		return nil
	}
	return best
}
