package rulefile

import (
	"fmt"
	"slices"
)

func (l *loader) resolveCautions() {
	for i, e := range l.cautions.raw {
		*l.cautions.things[i] = Caution{ID: e.ID, Index: i, At: e.At.Pos, Text: e.V}
	}
}

func (l *loader) resolvePreparations() {
	for i, e := range l.preparations.raw {
		raw := &e.V
		*l.preparations.things[i] = Preparation{
			ID: e.ID, Index: i, At: e.At.Pos, Label: raw.label.V, Doc: raw.doc.V,
			Minutes: raw.minutes.V, Needs: texts(raw.needs), Do: texts(raw.do),
			Cautions: lookAll(l, &l.cautions, "caution", raw.cautions), Excuses: excuses(raw.excuse),
		}
	}
}

func (l *loader) resolveChecks() {
	for i, e := range l.checks.raw {
		raw := &e.V
		c := l.checks.things[i]
		*c = Check{
			ID: e.ID, Index: i, At: e.At.Pos, Label: raw.label.V, Doc: raw.doc.V,
			Minutes: raw.minutes.V, Needs: texts(raw.needs), Do: texts(raw.do),
			Cautions: lookAll(l, &l.cautions, "caution", raw.cautions), Excuses: excuses(raw.excuse),
		}
		for _, r := range lookAll(l, &l.readings, "reading", raw.yields) {
			c.Yields = append(c.Yields, r.Index)
		}
		l.resolvePrepare(c, raw)
	}
}

// resolvePrepare adds what a check shares with others: its tools and dangers are the check's too, and its minutes are among
// the check's.
func (l *loader) resolvePrepare(c *Check, raw *rawCheck) {
	first := lookAll(l, &l.preparations, "preparation", raw.prepare)
	sum, known := 0.0, raw.minutes.Set
	var parts []string
	for _, p := range first {
		c.Prepare = append(c.Prepare, p.Index)
		c.Needs = join(c.Needs, p.Needs)
		c.Cautions = join(c.Cautions, p.Cautions)
		sum += p.Minutes
		known = known && l.preparations.raw[p.Index].V.minutes.Set
		parts = append(parts, fmt.Sprintf("%s %v", p.ID, p.Minutes))
	}
	const rounding = 1e-9
	if known && sum > c.Minutes+rounding {
		problem := l.At(raw.minutes.Spot, "the preparations of check %q take %.6g minutes, and the check with them only %.6g", c.ID, sum, c.Minutes)
		problem.Hint = "minutes include the preparations: " + list(parts)
		problem.Other = &raw.prepare.Pos
	}
}

// join adds to a list what is not in it.
func join[T comparable](all, more []T) []T {
	for _, x := range more {
		if !slices.Contains(all, x) {
			all = append(all, x)
		}
	}
	return all
}
