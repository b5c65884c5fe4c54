package engine

import (
	"slices"

	"culprit/engine/belief"
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

// try is one check, or several that rules need together, with what it may tell.
type try struct {
	checks   []*rulefile.Check
	contrast *belief.Contrast
}

// tries lists every check, and every set of checks that a rule needs.
func (p *Pack) tries(car *readyCar, counted []int) ([]try, error) {
	var out []try
	for _, c := range p.rules.Checks {
		out = append(out, try{checks: []*rulefile.Check{c}})
	}
	for _, f := range counted {
		for _, r := range p.findings[f].rules {
			needs := car.needs(r)
			known := slices.ContainsFunc(out, func(t try) bool { return sameChecks(t.checks, needs) })
			if len(needs) > 1 && !known {
				out = append(out, try{checks: needs})
			}
		}
	}
	for i := range out {
		of := slices.DeleteFunc(slices.Clone(counted), func(f int) bool {
			return !slices.ContainsFunc(p.findings[f].rules, func(r *rulefile.Rule) bool { return car.answers(out[i].checks, r) })
		})
		contrast, err := p.net.Contrast(belief.Evidence{Acting: car.acting}, of)
		if err != nil {
			return nil, err
		}
		out[i].contrast = contrast
	}
	return out, nil
}

func sameChecks(a, b []*rulefile.Check) bool {
	return len(a) == len(b) && !slices.ContainsFunc(a, func(c *rulefile.Check) bool { return !slices.Contains(b, c) })
}

// needs picks checks that together yield what a rule's question asks for: the one
// that yields most first. It is nil where that is not to be had.
func (c *readyCar) needs(r *rulefile.Rule) []*rulefile.Check {
	var open []int
	for _, i := range c.pack.sources(r.When.Reads()) {
		if _, sure := c.sure[i]; !sure && c.pack.rules.Readings[i].From == nil {
			open = append(open, i)
		}
	}
	var out []*rulefile.Check
	for len(open) > 0 {
		var best *rulefile.Check
		most := 0
		for _, check := range c.pack.rules.Checks {
			n := 0
			for _, i := range open {
				if slices.Contains(check.Yields, i) {
					n++
				}
			}
			if n > most {
				best, most = check, n
			}
		}
		if best == nil {
			return nil
		}
		out = append(out, best)
		open = slices.DeleteFunc(open, func(i int) bool { return slices.Contains(best.Yields, i) })
	}
	return out
}

// answers tells whether a rule's question is answered by what checks yield and by
// what is settled beforehand, and any of them bears on it.
func (c *readyCar) answers(checks []*rulefile.Check, r *rulefile.Rule) bool {
	var had func(i int) bool
	had = func(i int) bool {
		if _, sure := c.sure[i]; sure {
			return true
		}
		if slices.ContainsFunc(checks, func(k *rulefile.Check) bool { return slices.Contains(k.Yields, i) }) {
			return true
		}
		from := c.pack.rules.Readings[i].From
		return from != nil && !slices.ContainsFunc(from.Reads(), func(k int) bool { return !had(k) })
	}
	return slices.ContainsFunc(checks, func(k *rulefile.Check) bool { return c.pack.bears(k, r) }) &&
		!slices.ContainsFunc(r.When.Reads(), func(i int) bool { return !had(i) })
}
