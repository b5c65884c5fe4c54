package engine

import (
	"math"
	"slices"

	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

// coverage is how many standard uncertainties of their difference two readings
// have to lie apart before one is called changed: the usual coverage factor for
// about 95 % (JCGM 100:2008, 6.2 and G.6; from memory). It is the E_n score above
// 1 of two results whose expanded uncertainties are 2 u, and a zeta score above 2
// (ISO 13528, 9.6 and 9.7; from memory).
const coverage = 2

// difference is how far apart two numbers are, with its standard uncertainty: the
// root of the sum of squares (JCGM 100:2008, 5.1.2; from memory), as if their
// errors had nothing to do with each other. Two readings of one instrument share
// a part of it, so this is too large rather than too small.
func difference(before, ub, after, ua float64) (u float64, changed bool) {
	u = math.Hypot(ub, ua)
	return u, math.Abs(after-before) > coverage*u
}

// compare holds a reading in two states of a job against each other. Traces are
// not compared, only what is worked out from them.
func (p *Pack) compare(i int, before, after *session) (c Change, ok bool) {
	r := p.rules.Readings[i]
	if r.Kind == truth.Trace || !before.values.Known(i) || !after.values.Known(i) {
		return c, false
	}
	var was, now Reading
	was.fill(r, before.values)
	now.fill(r, after.values)
	c = Change{
		Reading: r.ID, Label: r.Label, Before: was.Text, After: now.Text,
		BeforeValue: was.Value, AfterValue: now.Value, Limits: now.Limits, WasIn: was.InSpec, NowIn: now.InSpec,
	}
	switch r.Kind {
	case truth.Number:
		if was.Value == nil || now.Value == nil {
			return c, false
		}
		var u float64
		u, c.Changed = difference(*was.Value, *was.Uncertainty, *now.Value, *now.Uncertainty)
		c.Uncertainty = &u
	case truth.YesNo:
		c.Changed = (*was.Probability >= 0.5) != (*now.Probability >= 0.5)
	default:
		c.Changed = was.Word != now.Word
	}
	return c, true
}

// lastKnown is the last set before set k in which a reading is known, or -1.
func (h *past) lastKnown(i, k int) int {
	for k--; k >= 0 && !h.states[k].values.Known(i); k-- {
	}
	return k
}

// takenAgain is the first set from k on in which a reading is known by something
// that was taken in k or later, or -1.
func (p *Pack) takenAgain(h *past, i, k int) int {
	sources := p.sources([]int{i})
	for m := k; m < len(h.sets); m++ {
		if h.states[m].values.Known(i) && slices.ContainsFunc(sources, func(source int) bool { return h.taken[m][source] >= k }) {
			return m
		}
	}
	return -1
}

// heldBefore tells whether a rule held when it was last answered before set k. A
// rule whose question was answered yes but that waited for the set-up counts, too:
// nobody said how the car was set up, but the reading was odd.
func (p *Pack) heldBefore(h *past, r *rulefile.Rule, k int) (at int, held bool) {
	for k--; k >= 0; k-- {
		if a := &h.states[k].answers[r.Index]; a.counts() {
			return k, a.status == Holds
		}
		if _, waits := p.waits(r, h.states[k]); waits {
			return k, true
		}
	}
	return -1, false
}

// judge holds the readings against a repair that was done before set k: what was
// odd before, as the fault would have it, and was taken again. A change that a
// later repair could have made says nothing of this one.
func (p *Pack) judge(h *past, k int, f *rulefile.Fault) done {
	d := done{set: k, fault: f, outcome: NotConfirmed}
	asked := map[int]bool{}
	for _, r := range p.rules.Rules {
		if _, held := p.heldBefore(h, r, k); !held || !p.leadsTo(f, r) {
			continue
		}
		for _, i := range r.When.Reads() {
			before, after := h.lastKnown(i, k), p.takenAgain(h, i, k)
			if asked[i] || h.setUp[i] || before < 0 || after < 0 {
				continue
			}
			asked[i] = true
			switch c, ok := p.compare(i, h.states[before], h.states[after]); {
			case !ok, c.Changed && slices.ContainsFunc(h.moved[k+1:after+1], func(moved []bool) bool { return moved[i] }):
			case c.Changed:
				d.changed = append(d.changed, i)
			default:
				d.same = append(d.same, i)
			}
		}
	}
	switch {
	case len(d.changed) > 0:
		d.outcome = Removed
	case len(d.same) > 0:
		d.outcome = NoChange
	}
	return d
}

// expected is which way the repairs done from set k on should move a reading: away
// from the limit that an odd result had it beyond.
func (p *Pack) expected(h *past, i, k int) string {
	for _, r := range p.rules.Rules {
		at, held := p.heldBefore(h, r, k)
		if !held || !slices.ContainsFunc(h.done, func(d done) bool { return d.set >= k && p.leadsTo(d.fault, r) }) {
			continue
		}
		for _, c := range r.When.Comparisons(h.states[at].values) {
			if c.Numeric && c.Known && slices.Equal(c.Reads, []int{i}) {
				if way := away(&c); way != "" {
					return way
				}
			}
		}
	}
	return ""
}

// away is the way out of what a comparison asks for, where it is met; "" where
// either way leads out of it.
func away(c *truth.Comparison) string {
	if (c.Truth.Middle() >= 0.5) == c.Negated {
		return ""
	}
	switch {
	case c.Negated && c.HasFrom && c.Value < c.From, !c.Negated && c.HasTo && !c.HasFrom:
		return "up"
	case c.Negated && c.HasTo && c.Value > c.To, !c.Negated && c.HasFrom && !c.HasTo:
		return "down"
	}
	return ""
}
