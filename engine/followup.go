package engine

import (
	"cmp"
	"slices"

	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

// followUp compares the sets of readings of a job that has several.
func (p *Pack) followUp(v *Verdict, s *session) {
	h := s.past
	if h == nil || len(h.sets) < 2 {
		return
	}
	f := &FollowUp{Sets: []string{}, Repaired: []Repaired{}}
	for _, set := range h.sets {
		f.Sets = append(f.Sets, set.Label)
	}
	for _, d := range h.done {
		set := h.sets[d.set]
		f.Repaired = append(f.Repaired, Repaired{Fault: d.fault.ID, Label: d.fault.Label, Set: set.Label, Found: set.Found,
			Outcome: d.outcome, Changed: p.ids(d.changed), Same: p.ids(d.same)})
	}
	p.settings(f, v, h)
	p.oddities(f, h)
	p.changes(f, h)
	p.carried(f, h)
	f.InOrder = f.InOrder && len(f.Out)+len(f.StillOdd)+len(f.Open) == 0
	v.FollowUp = f
}

// last is the index of the set that is ranked.
func (h *past) last() int { return len(h.sets) - 1 }

// settings finds what is outside its limits, and whether all that had limits is
// known. How the car is set up is no setting: it is told with the set-up list.
func (p *Pack) settings(f *FollowUp, v *Verdict, h *past) {
	f.Out, f.InOrder = []string{}, true
	for _, r := range v.Readings {
		if r.InSpec != nil && middle(r.InSpec) < 0.5 {
			f.Out = append(f.Out, r.Reading)
		}
	}
	now := h.states[h.last()].values
	for i := range p.rules.Readings {
		if now.Spec(i) != (truth.Spec{}) && !h.setUp[i] && !now.Known(i) && h.lastKnown(i, h.last()) >= 0 {
			f.InOrder = false
		}
	}
}

func middle(g *Graded) float64 { return (g.Least + g.Most) / 2 }

// oddities sorts the rules that hold, or held, by what became of them.
func (p *Pack) oddities(f *FollowUp, h *past) {
	f.StillOdd, f.Cleared, f.Open = []Odd{}, []Odd{}, []Odd{}
	for _, r := range p.rules.Rules {
		if !odd(r) {
			continue
		}
		_, held := p.heldBefore(h, r, h.last())
		o := Odd{Rule: r.ID, Says: r.Says, Readings: p.ids(r.When.Reads())}
		switch status := h.states[h.last()].answers[r.Index].status; {
		case status == Holds:
			o.New = !held
			f.StillOdd = append(f.StillOdd, o)
		case held && status == DoesNotHold:
			f.Cleared = append(f.Cleared, o)
		case held:
			f.Open = append(f.Open, o)
		}
	}
}

// changes compares the readings of the last set, and what follows from them, with
// what they were before. How the car was set up is no result and is left out, and
// so are answers worked out from others that came out the same.
func (p *Pack) changes(f *FollowUp, h *past) {
	f.Changes = []Change{}
	last := h.last()
	for i, r := range p.rules.Readings {
		before := h.lastKnown(i, last)
		if before < 0 || p.takenAgain(h, i, last) < 0 || h.setUp[i] {
			continue
		}
		c, ok := p.compare(i, h.states[before], h.states[last])
		if !ok || r.Kind != truth.Number && h.taken[last][i] < 0 && !c.Changed {
			continue
		}
		c.Since = h.sets[p.takenIn(h, i, before)].Label
		c.Expected = p.expected(h, i, before+1)
		c.Unrelated = c.Changed && !slices.ContainsFunc(h.moved[before+1:], func(moved []bool) bool { return moved[i] })
		f.Changes = append(f.Changes, c)
	}
}

// takenIn is the set in which a reading that is known in set k was taken; of one
// that is worked out, the last of the sets that it is worked out from.
func (p *Pack) takenIn(h *past, i, k int) int {
	if at := h.taken[k][i]; at >= 0 {
		return at
	}
	at := -1
	for _, source := range p.sources([]int{i}) {
		at = max(at, h.taken[k][source])
	}
	if at < 0 {
		return k // it follows from what is taken for granted
	}
	return at
}

// carried tells what counts of earlier sets, and what does not any more.
func (p *Pack) carried(f *FollowUp, h *past) {
	f.CarriedOver, f.NotAgain = []Carried{}, []NotAgain{}
	last := h.last()
	for i, r := range p.rules.Readings {
		at := h.taken[last][i]
		if at >= 0 && at < last {
			f.CarriedOver = append(f.CarriedOver, Carried{Reading: r.ID, Label: r.Label, Set: h.sets[at].Label})
		}
		if at >= 0 || h.setUp[i] || h.states[last].values.Known(i) {
			continue
		}
		before := last - 1
		for before >= 0 && h.taken[before][i] < 0 {
			before--
		}
		if before < 0 {
			continue
		}
		f.NotAgain = append(f.NotAgain, p.notAgain(f, h, r, before))
	}
	slices.SortStableFunc(f.NotAgain, func(a, b NotAgain) int {
		return cmp.Compare(map[bool]int{true: 0, false: 1}[a.WasOdd], map[bool]int{true: 0, false: 1}[b.WasOdd])
	})
}

// notAgain describes a reading that was last known in a set before the last.
func (p *Pack) notAgain(f *FollowUp, h *past, r *rulefile.Reading, before int) NotAgain {
	var was Reading
	was.fill(r, h.states[before].values)
	n := NotAgain{Reading: r.ID, Label: r.Label, Before: was.Text, Faults: []string{}, Check: p.describeCheck(p.quickest(r.Index))}
	n.WasOdd = was.InSpec != nil && middle(was.InSpec) < 0.5 || slices.ContainsFunc(f.Open, func(o Odd) bool {
		return slices.Contains(p.sources(p.rules.Rule(o.Rule).When.Reads()), r.Index)
	})
	for _, d := range h.done {
		if d.set > before && !slices.Contains(n.Faults, d.fault.ID) && p.moved([]string{d.fault.ID}, h.setUp)[r.Index] {
			n.Faults = append(n.Faults, d.fault.ID)
		}
	}
	return n
}

// quickest is the check of fewest minutes that yields a reading, or nil.
func (p *Pack) quickest(reading int) *rulefile.Check {
	var best *rulefile.Check
	for _, c := range p.rules.Checks {
		if slices.Contains(c.Yields, reading) && (best == nil || c.Minutes < best.Minutes) {
			best = c
		}
	}
	return best
}
