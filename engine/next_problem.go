package engine

import (
	"slices"

	"culprit/engine/advice"
	"culprit/engine/belief"
	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

// moves is a job seen from the side of what can still be done: which checks have
// been made, what each would decide, and what it takes as things stand.
type moves struct {
	pack *Pack
	s    *session
	// wrong are set-up points that are known not to be met and can be put right,
	// open those of which nobody said. Everything here is worked out as if both were met.
	wrong, open []*rulefile.Reading
	listed      *rulefile.Check  // the quickest check that yields what is open; nil where none does
	before      []Status         // of rules, as the job is
	waiting     []*rulefile.Rule // those that count as soon as what is open is known to be met
	prepared    []bool           // by preparation: made for a check that has been made
	problem     advice.Problem
	needs       [][]*rulefile.Reading // by check: set-up points, of wrong and open, that its rules need
}

// moves sets a prepared session up for looking ahead. It changes the session's
// values: set-up points that are not met count as met, for whoever makes a check
// puts them right first.
func (p *Pack) moves(s *session, o NextOptions) *moves {
	b := &moves{pack: p, s: s, prepared: make([]bool, len(p.rules.Preparations))}
	for i := range s.answers {
		b.before = append(b.before, s.answers[i].status)
	}
	made := make([]bool, len(p.rules.Checks))
	for _, c := range p.rules.Checks {
		made[c.Index] = !slices.ContainsFunc(c.Yields, func(i int) bool { return !s.known(i) }) || slices.Contains(o.Done, c.ID)
		if slices.ContainsFunc(c.Yields, s.values.Given) && !p.onlyListed(c) {
			for _, k := range c.Prepare {
				b.prepared[k] = true
			}
		}
	}
	b.findSetUp()
	known := s.evidence // what is known besides rules
	b.meet(b.open)
	for i, r := range p.rules.Rules {
		if b.before[i] == CannotTell && s.answers[i].counts() {
			b.waiting = append(b.waiting, r)
		}
	}
	b.problem = advice.Problem{Net: p.net, Evidence: belief.Evidence{Faults: known.Faults, Conditions: known.Conditions, Done: s.done}}
	for _, x := range s.evidence.Seen {
		b.problem.Evidence.Seen = append(b.problem.Evidence.Seen, belief.Seen{Finding: x.Finding, Likelihood: slices.Clone(x.Likelihood)})
	}
	b.meet(b.wrong) // what was read while they were wrong still does not count
	b.problem.Evidence.Acting = slices.Clone(s.evidence.Acting)
	for _, c := range p.rules.Checks {
		a := advice.Check{Made: made[c.Index], Barred: lacksTool(c, o.Without)}
		var need []*rulefile.Reading
		if !a.Made {
			a.Findings, need = b.decides(c)
		}
		b.needs = append(b.needs, need)
		b.cost(&a, c, need)
		b.problem.Checks = append(b.problem.Checks, a)
	}
	b.problem.Preparations = b.preparations()
	b.problem.Faults, b.problem.LastResort = p.repairs(0), p.lastResort()
	return b
}

// known tells whether a reading was taken, not counting what was taken for granted.
func (s *session) known(i int) bool {
	if s.values.Given(i) {
		return !slices.ContainsFunc(s.assumed, func(r *rulefile.Reading) bool { return r.Index == i })
	}
	return s.values.Known(i)
}

// onlyListed tells whether a check yields nothing but points of the set-up list.
func (p *Pack) onlyListed(c *rulefile.Check) bool {
	return !slices.ContainsFunc(c.Yields, func(i int) bool { return p.rules.Readings[i].SetUp == nil })
}

// findSetUp finds out which set-up points are wrong, which are open, and which
// check would tell.
func (b *moves) findSetUp() {
	for _, r := range b.pack.rules.Readings {
		if r.SetUp == nil {
			continue
		}
		switch known, met := setUpMet(b.s.values, r); {
		case !known:
			b.open = append(b.open, r)
		case !met && !r.SetUp.Stays:
			b.wrong = append(b.wrong, r)
		}
	}
	for _, c := range b.pack.rules.Checks {
		all := len(b.open) > 0 && !slices.ContainsFunc(b.open, func(r *rulefile.Reading) bool { return !b.pack.canYield(c, r) })
		if all && (b.listed == nil || c.Minutes < b.listed.Minutes) {
			b.listed = c
		}
	}
}

// meet answers every rule again as if set-up points were met.
func (b *moves) meet(points []*rulefile.Reading) {
	for _, r := range points {
		b.s.values.SetYesNo(r.Index, r.SetUp.MustBe)
	}
	b.pack.observe(b.s)
}

// canYield tells whether a check yields a reading or all that it is worked out from.
func (p *Pack) canYield(c *rulefile.Check, r *rulefile.Reading) bool {
	if slices.Contains(c.Yields, r.Index) {
		return true
	}
	return r.From != nil && !slices.ContainsFunc(r.From.Reads(), func(i int) bool { return !p.canYield(c, p.rules.Readings[i]) })
}

// cost fills in what a check takes: its own minutes, and what it shares with
// others. Beside the pack's preparations these are the set-up points that are to
// be put right, and the check that finds out about the open ones.
func (b *moves) cost(a *advice.Check, c *rulefile.Check, need []*rulefile.Reading) {
	a.Minutes = b.pack.ownMinutes(c)
	a.Prepare = slices.Clone(c.Prepare)
	point := len(b.pack.rules.Preparations)
	open := false
	for _, r := range need {
		if i := slices.Index(b.wrong, r); i >= 0 {
			a.Prepare = append(a.Prepare, point+i)
		} else {
			open = true
		}
	}
	if open && b.listed != nil && b.listed != c {
		a.Prepare = append(a.Prepare, point+len(b.wrong))
	}
}

// preparations are the minutes of all that cost can name.
func (b *moves) preparations() []float64 {
	out := b.pack.preparing(b.prepared)
	for _, r := range b.wrong {
		out = append(out, r.SetUp.Minutes)
	}
	if b.listed != nil {
		out = append(out, b.listed.Minutes)
	}
	return out
}

// decides lists the findings that a check decides, and the set-up points, of
// those not known to be met, that their rules need.
func (b *moves) decides(c *rulefile.Check) (findings []int, need []*rulefile.Reading) {
	for f := range b.pack.findings {
		if slices.ContainsFunc(b.problem.Evidence.Seen, func(s belief.Seen) bool { return s.Finding == f }) {
			continue
		}
		for _, r := range b.pack.findings[f].rules {
			if !b.answers(c, r) {
				continue
			}
			if !slices.Contains(findings, f) {
				findings = append(findings, f)
			}
			need = append(need, b.points(r)...)
		}
	}
	return findings, distinct(need)
}

// answers tells whether a check leaves nothing open of what a rule asks, and bears
// on it.
func (b *moves) answers(c *rulefile.Check, r *rulefile.Rule) bool {
	v := b.s.values
	asked := b.pack.sources(r.When.Reads())
	bears := slices.ContainsFunc(c.Yields, func(i int) bool { return slices.Contains(asked, i) && !b.s.known(i) })
	if !bears || slices.ContainsFunc(r.When.Reads(), func(i int) bool { return !b.had(c, i) }) {
		return false
	}
	if slices.ContainsFunc(b.pack.specs(r.When), func(i int) bool { return v.Spec(i) == (truth.Spec{}) }) {
		return false // a figure of the car is missing
	}
	if r.Given == nil {
		return true
	}
	t := r.Given.Truth(v)
	return t.Most >= applies && (t.Settled() || !slices.ContainsFunc(r.Given.Reads(), func(i int) bool { return !b.had(c, i) }))
}

// had tells whether a reading is there once a check has been made.
func (b *moves) had(c *rulefile.Check, i int) bool {
	if b.s.values.Known(i) || slices.Contains(c.Yields, i) {
		return true
	}
	from := b.pack.rules.Readings[i].From
	return from != nil && !slices.ContainsFunc(from.Reads(), func(k int) bool { return !b.had(c, k) })
}

// specs lists the readings of which an expression needs the figures, with those
// that what it reads is worked out from.
func (p *Pack) specs(e *truth.Expr) []int {
	out := slices.Clone(e.Specs())
	for _, i := range e.Reads() {
		if from := p.rules.Readings[i].From; from != nil {
			out = append(out, p.specs(from)...)
		}
	}
	return out
}

// points lists the set-up points not known to be met that a rule's given needs.
func (b *moves) points(r *rulefile.Rule) []*rulefile.Reading {
	if r.Given == nil {
		return nil
	}
	reads := b.pack.sources(r.Given.Reads())
	var out []*rulefile.Reading
	for _, x := range slices.Concat(b.wrong, b.open) {
		if slices.Contains(reads, x.Index) {
			out = append(out, x)
		}
	}
	return out
}

func distinct[T comparable](all []T) []T {
	var out []T
	for _, x := range all {
		if !slices.Contains(out, x) {
			out = append(out, x)
		}
	}
	return out
}

func lacksTool(c *rulefile.Check, without []string) bool {
	return slices.ContainsFunc(c.Needs, func(t string) bool { return slices.Contains(without, t) })
}
