package cases

import (
	"fmt"
	"slices"
	"strings"

	"culprit/engine"
)

// ruleGaps tells which of holding and not holding was never seen, and why.
func (c *Counter) ruleGaps(r *RuleCoverage, o engine.RuleOutline) []Gap {
	gaps := []Gap{}
	for _, x := range []struct {
		never string
		seen  int
	}{{"held", r.Held}, {"did not hold", r.NotHeld}} {
		if x.seen > 0 {
			continue
		}
		why := c.silent(r, o)
		if n := r.Held + r.NotHeld; n > 0 {
			why = fmt.Sprintf("it could tell in %s, always on the same side of its limit; it asks for %s", counted(n, "case"), strings.Join(o.When, ", "))
		}
		gaps = append(gaps, Gap{x.never, why})
	}
	return gaps
}

// silent says why a rule never came to speak.
func (c *Counter) silent(r *RuleCoverage, o engine.RuleOutline) string {
	var why []string
	if r.CannotTell > 0 {
		why = append(why, c.waits(r))
	}
	if r.DoesNotApply > 0 {
		why = append(why, fmt.Sprintf("in %s its given is not met, which asks for %s", counted(r.DoesNotApply, "case"), strings.Join(o.Given, ", ")))
	}
	if why == nil {
		return "no case was run"
	}
	return strings.Join(why, "; ")
}

// waits names what a rule that cannot tell waits for: what no case gives, else
// figures that it lacks every time, else what it lacks most often.
func (c *Counter) waits(r *RuleCoverage) string {
	var never, figures, often []string
	most := 0
	for l, n := range c.lacks[r.Rule] {
		switch {
		case l.figure && n == r.CannotTell:
			figures = append(figures, l.reading)
			continue
		case l.figure:
			continue
		case c.given[l.reading] == 0:
			never = append(never, l.reading)
		}
		if n > most {
			most, often = n, nil
		}
		if n == most {
			often = append(often, l.reading)
		}
	}
	list := func(names []string) string {
		slices.Sort(names)
		return strings.Join(names, ", ")
	}
	switch {
	case len(never) > 0:
		return "no case gives " + list(never)
	case len(figures) > 0:
		return "no case has the figures of " + list(figures)
	case len(often) > 0:
		return "no case gives all that it asks for; most often it waits for " + list(often)
	}
	return fmt.Sprintf("in %s its answer is left open", counted(r.CannotTell, "case"))
}

func (c *Counter) faultGaps(f *FaultCoverage) []Gap {
	if f.Led > 0 {
		return []Gap{}
	}
	best, ok := c.best[f.Fault]
	if !ok {
		return []Gap{{"led", "no case was run"}}
	}
	return []Gap{{"led", fmt.Sprintf("at best it ranks %d, behind %s in case %s", best.rank, best.id, best.in)}}
}

func (c *Counter) checkGaps(k *CheckCoverage, o engine.CheckOutline) []Gap {
	if k.Given+k.InPart > 0 {
		return []Gap{}
	}
	why := "no case gives " + strings.Join(o.Yields, ", ")
	if len(o.Rules) == 0 {
		why += ", and no rule asks for it"
	}
	return []Gap{{"given", why}}
}

func counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
