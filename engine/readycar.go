package engine

import (
	"slices"

	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

// readyCar is a car that is ready to be measured, before anything is.
type readyCar struct {
	pack   *Pack
	setUp  []Assumed
	acting []float64
	sure   map[int]bool // yes/no readings that are settled
	taken  []bool       // readings that can be had
}

func (p *Pack) readyCar() *readyCar {
	s := &session{values: p.rules.Scope.Values()}
	c := &readyCar{pack: p, setUp: []Assumed{}, sure: map[int]bool{}, taken: make([]bool, len(p.rules.Readings))}
	for _, r := range p.rules.Readings {
		switch {
		case r.SetUp != nil:
			s.values.SetYesNo(r.Index, r.SetUp.MustBe)
		case r.Assume != nil && r.From == nil:
			s.values.SetYesNo(r.Index, *r.Assume)
		default:
			continue
		}
		c.setUp = append(c.setUp, Assumed{Reading: r.ID, Label: r.Label, Is: s.values.YesNo(r.Index).Middle() > 0.5})
	}
	p.observe(s)
	c.acting = s.acting
	for _, r := range p.rules.Readings {
		if r.Kind != truth.YesNo || !s.values.Known(r.Index) {
			continue
		}
		if t := s.values.YesNo(r.Index); t.Settled() {
			c.sure[r.Index] = t.Middle() > 0.5
		}
	}
	for _, check := range p.rules.Checks {
		for _, r := range check.Yields {
			c.taken[r] = true
		}
	}
	for range p.rules.Readings { // derived from each other in any order
		for _, r := range p.rules.Readings {
			if _, sure := c.sure[r.Index]; sure {
				c.taken[r.Index] = true
			}
			if r.From != nil && !slices.ContainsFunc(r.From.Reads(), func(i int) bool { return !c.taken[i] }) {
				c.taken[r.Index] = true
			}
		}
	}
	return c
}

// canApply tells whether a rule's given can be so in this car, with everything
// known that can be.
func (c *readyCar) canApply(r *rulefile.Rule) bool {
	if r.Given == nil {
		return true
	}
	scope := c.pack.rules.Scope
	claims := []truth.Claim{{Expr: r.Given, Holds: true}}
	claim := func(text string, holds bool) {
		if e, err := scope.Compile(text, truth.YesNo, truth.InRule); err == nil {
			claims = append(claims, truth.Claim{Expr: e, Holds: holds})
		}
	}
	for _, i := range r.Given.Reads() {
		x := c.pack.rules.Readings[i]
		if is, ok := c.sure[i]; ok {
			claim(x.ID, is)
		}
		if c.taken[i] {
			claim("known("+x.ID+")", true)
		}
	}
	plausible := func(i int) (from, to float64, ok bool) {
		if p := c.pack.rules.Readings[i].Plausible; p != nil {
			return p.From, p.To, true
		}
		return 0, 0, false
	}
	return scope.Possible(plausible, claims...)
}

// answers tells whether a rule's question is answered by what a check yields and
// by what is settled beforehand.
func (c *readyCar) answers(check *rulefile.Check, r *rulefile.Rule) bool {
	var had func(i int) bool
	had = func(i int) bool {
		if _, sure := c.sure[i]; sure || slices.Contains(check.Yields, i) {
			return true
		}
		from := c.pack.rules.Readings[i].From
		return from != nil && !slices.ContainsFunc(from.Reads(), func(k int) bool { return !had(k) })
	}
	return !slices.ContainsFunc(r.When.Reads(), func(i int) bool { return !had(i) })
}
