package main

import (
	"strings"

	"culprit/cmd/culprit/internal/drawing"
	"culprit/engine"
)

// sheetAfter is what became of the job after a repair.
type sheetAfter struct {
	Now      string // what the last set of readings is called
	Repaired []sheetRepaired
	Changes  []sheetChange
	Lists    []sheetLine
}

// sheetRepaired is a repair that was done.
type sheetRepaired struct{ Label, Found, Outcome string }

// sheetChange is a reading before and now.
type sheetChange struct {
	Label, Since, Before, Now, Within string
	Limits, Stands                    string
	Out                               bool
	Gauge                             *drawing.Gauge
}

// after tells what the repairs did.
func (b *sheetBuilder) after() {
	f := b.v.FollowUp
	if f == nil {
		return
	}
	a := &sheetAfter{Now: f.Sets[len(f.Sets)-1]}
	for _, d := range f.Repaired {
		a.Repaired = append(a.Repaired, sheetRepaired{d.Label, d.Found, b.outcome(&d)})
	}
	for _, c := range f.Changes {
		a.Changes = append(a.Changes, b.change(&c))
	}
	list := func(label string, all []engine.Odd) {
		for _, o := range all {
			name := label
			if o.New {
				name = "New"
			}
			a.Lists = append(a.Lists, sheetLine{name, o.Says})
		}
	}
	list("Still so", f.StillOdd)
	list("Cleared", f.Cleared)
	list("Not known now", f.Open)
	if len(f.NotAgain) > 0 {
		var labels []string
		for _, x := range f.NotAgain {
			labels = append(labels, x.Label+" (was "+x.Before+")")
		}
		a.Lists = append(a.Lists, sheetLine{"Not measured again", strings.Join(labels, "; ")})
	}
	if len(f.CarriedOver) > 0 {
		var labels []string
		for _, x := range f.CarriedOver {
			labels = append(labels, x.Label)
		}
		a.Lists = append(a.Lists, sheetLine{"Counts as before", "no repair could have moved it: " + strings.Join(labels, "; ")})
	}
	b.s.After = a
}

// outcome says what the readings make of a repair.
func (b *sheetBuilder) outcome(d *engine.Repaired) string {
	switch d.Outcome {
	case engine.Removed:
		text := "The fault is out. Changed: " + b.nameAll(d.Changed) + "."
		if len(d.Same) > 0 {
			text += " As before: " + b.nameAll(d.Same) + "."
		}
		return text
	case engine.NoChange:
		return "No change: " + b.nameAll(d.Same) + " as before. Either this was not the fault, or the repair did not take; it is not ruled out."
	}
	return "The fault is out, but on the word of the repair alone: no odd reading that it explains was taken again."
}

func (b *sheetBuilder) change(c *engine.Change) sheetChange {
	row := sheetChange{Label: c.Label, Since: c.Since, Before: c.Before, Now: c.After, Stands: changeText(*c)}
	row.Out = c.NowIn != nil && !in(c.NowIn)
	if c.Limits != nil {
		row.Limits = c.Limits.Text
	}
	if c.AfterValue == nil {
		return row
	}
	now := drawing.Point{Value: *c.AfterValue}
	for _, r := range b.v.Readings {
		if r.Reading == c.Reading && r.Uncertainty != nil {
			now.Uncertainty, row.Within = *r.Uncertainty, uncertain(r.Uncertainty)
		}
	}
	var before *drawing.Point
	if c.BeforeValue != nil {
		before = &drawing.Point{Value: *c.BeforeValue}
	}
	row.Gauge = drawing.NewGauge(c.Limits, now, before)
	if row.Gauge == nil {
		return row
	}
	if row.Gauge.Now.Off() {
		row.Stands += "; off the scale of the drawing"
	}
	if row.Gauge.Before != nil && row.Gauge.Before.Off() {
		row.Stands += "; before, off the scale of the drawing"
	}
	return row
}
