package main

import (
	"fmt"
	"slices"
	"strings"

	"culprit/engine"
)

// mostChecks is how many checks a sheet lists. A judgement: a page of them is not
// read, and each brings its cautions.
const mostChecks = 5

// worthMinutes is the least that a check must be expected to save, with the best
// check after it, to be listed beside the one that is advised. A judgement.
const worthMinutes = 0.5

// sheetCheck is a check that is still worth making.
type sheetCheck struct {
	ID, Label string
	Minutes   string
	Why       string // what it is for, or saves
	First     []string
	Needs     string
	Do        []string
	Cautions  []string
}

// checks says what to do next, and lists the checks that are worth their minutes.
func (b *sheetBuilder) checks() {
	n := b.next
	switch n.Do {
	case engine.DoSetUp:
		b.s.Advice = "Next: settle the set-up list first; " + waiting(len(n.Waiting)) + " for it"
	case engine.DoAgain:
		b.s.Advice = "Next: take again what the repair could have moved"
		b.again()
	case engine.DoNothing:
		b.s.Advice = "Nothing is left to be checked by these rules"
	case engine.DoRepair:
		b.repairNext(&n.Repair.Steps[0])
	case engine.DoLastResort:
		b.s.Advice = "No check and no repair in these rules pays any more"
		if l := n.Repair.LastResort; l != nil {
			b.s.Advice += ". Last resort: " + l.Label
		}
	}
	if n.Do != engine.DoNothing && n.Do != engine.DoAgain {
		for i := range n.Checks {
			c := &n.Checks[i]
			first := n.Do == engine.DoCheck && i == 0
			if (first || c.WithNext >= worthMinutes) && len(b.s.Checks) < mostChecks && !b.listed(c.Check.Check) {
				b.add(c, saves(c))
			}
		}
	}
	if n.Do != engine.DoNothing && len(b.s.Checks) == 0 {
		b.s.NoChecks = "No check in these rules saves more than it takes."
	}
	if n.Do == engine.DoCheck && len(b.s.Checks) > 0 {
		c := &b.s.Checks[0]
		b.s.Advice = fmt.Sprintf("Next: %s, %s", c.Label, c.Minutes)
	}
	for i := range b.s.Leading {
		l := &b.s.Leading[i]
		if s := l.Settle; s != nil && slices.ContainsFunc(b.s.Checks, func(c sheetCheck) bool { return c.Label == s.Do }) {
			s.Elsewhere = true
		}
	}
}

// saves says what a check is worth; of one that only pays with the check after it,
// that.
func saves(c *engine.NextCheck) string {
	if c.Saves < worthMinutes && c.WithNext >= worthMinutes {
		return "saves " + mins(c.WithNext) + " on the average with the best check after it, their own taken off"
	}
	return worth(c)
}

// listed tells whether a check is on the sheet already.
func (b *sheetBuilder) listed(id string) bool {
	return slices.ContainsFunc(b.s.Checks, func(c sheetCheck) bool { return c.ID == id })
}

func (b *sheetBuilder) add(c *engine.NextCheck, why string) {
	out := sheetCheck{ID: c.Check.Check, Label: c.Label, Minutes: mins(c.AsThingsAre), Why: why,
		Needs: strings.Join(c.Needs, ", "), Do: c.Do, Cautions: b.warn(c.Cautions)}
	for _, f := range c.First {
		out.First = append(out.First, fmt.Sprintf("%s, %s", f.Do, mins(f.Minutes)))
	}
	b.s.Checks = append(b.s.Checks, out)
}

// repairNext tells of a repair that pays more than any other check, and of the
// check that proves it first.
func (b *sheetBuilder) repairNext(s *engine.PlanStep) {
	if s.Check == nil {
		do := s.Faults[0].Label
		if len(s.Repairs) > 0 {
			do = s.Repairs[0].Do
		}
		b.s.Advice = fmt.Sprintf("Next: repair, no further check pays. %s (%s)", do, mins(s.Minutes))
		return
	}
	var proves []string
	for _, f := range s.Faults {
		proves = append(proves, fmt.Sprintf("%s (%s)", f.Label, percent(f.Probability)))
	}
	b.s.Advice = fmt.Sprintf("Next: %s, %s; repair what it finds", s.Check.Label, mins(s.Minutes))
	why := "proves before the repair: " + strings.Join(proves, "; ")
	if i := slices.IndexFunc(b.next.Checks, func(c engine.NextCheck) bool { return c.Check.Check == s.Check.Check }); i >= 0 {
		b.add(&b.next.Checks[i], why)
		return
	}
	b.s.Checks = append(b.s.Checks, sheetCheck{ID: s.Check.Check, Label: s.Check.Label, Minutes: mins(s.Minutes), Why: why,
		Needs: strings.Join(s.Check.Needs, ", "), Do: s.Check.Do, Cautions: b.warn(s.Check.Cautions)})
}

// again lists the checks that take again what a repair could have moved.
func (b *sheetBuilder) again() {
	for _, x := range b.v.FollowUp.NotAgain {
		if x.Check == nil || b.listed(x.Check.Check) {
			continue
		}
		var labels []string
		for _, y := range b.v.FollowUp.NotAgain {
			if y.Check != nil && y.Check.Check == x.Check.Check {
				labels = append(labels, y.Label)
			}
		}
		b.s.Checks = append(b.s.Checks, sheetCheck{ID: x.Check.Check, Label: x.Check.Label, Minutes: mins(x.Check.Minutes),
			Why: "takes again: " + strings.Join(labels, "; "), Needs: strings.Join(x.Check.Needs, ", "), Do: x.Check.Do, Cautions: b.warn(x.Check.Cautions)})
	}
}
