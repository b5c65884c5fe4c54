package main

import (
	"fmt"
	"slices"

	"culprit/cmd/culprit/internal/drawing"
	"culprit/engine"
)

// sheetPoint is a point of the set-up list.
type sheetPoint struct {
	Label, MustBe, Is string
	Known, Met        bool
	Do                string // where it is not met, or nobody said
}

// sheetReading is a reading against its limits.
type sheetReading struct {
	ID, Label     string
	Value, Within string
	Limits        string
	Stands        string // where it stands to its limits; "" where there are none
	Out           bool
	Derived       bool
	Gauge         *drawing.Gauge
}

// setUp lists every point of the set-up list, and what was taken for granted.
func (b *sheetBuilder) setUp() {
	wrong := map[string]engine.SetUp{}
	for _, x := range b.v.SetUp {
		wrong[x.Reading] = x
	}
	for _, o := range b.pack.SetUpOutlines() {
		p := sheetPoint{Label: o.Label, MustBe: yesOrNo(o.MustBe), Known: true, Met: true, Is: yesOrNo(o.MustBe)}
		if x, ok := wrong[o.Reading]; ok {
			p.Met, p.Known, p.Do = false, x.Known, x.Do
			p.Is = "not known"
			if x.Known {
				p.Is = yesOrNo(!o.MustBe)
			}
		} else if !b.was(o.Reading) {
			p.Is += ", taken for granted"
		}
		b.s.SetUp = append(b.s.SetUp, p)
	}
	for _, a := range b.v.Assumed {
		if !b.inSetUp(a.Reading) {
			b.s.Assumed = append(b.s.Assumed, a.Label+": "+yesOrNo(a.Is))
		}
	}
}

func yesOrNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

// was tells whether a reading is among those of the verdict.
func (b *sheetBuilder) was(id string) bool {
	return slices.ContainsFunc(b.v.Readings, func(r engine.Reading) bool { return r.Reading == id })
}

func (b *sheetBuilder) inSetUp(id string) bool {
	return slices.ContainsFunc(b.pack.SetUpOutlines(), func(o engine.SetUpOutline) bool { return o.Reading == id })
}

// readings lists what was read and what follows from it. What stands in the set-up
// list or beside its value of before is not said twice.
func (b *sheetBuilder) readings() {
	for _, r := range b.v.Readings {
		if b.inSetUp(r.Reading) || b.changed(r.Reading) {
			continue
		}
		b.s.Readings = append(b.s.Readings, readingRow(&r))
	}
	for _, d := range b.v.Doubtful {
		b.s.Doubtful = append(b.s.Doubtful, b.name(d.Reading)+": "+d.Text)
	}
}

func (b *sheetBuilder) changed(id string) bool {
	return b.v.FollowUp != nil && slices.ContainsFunc(b.v.FollowUp.Changes, func(c engine.Change) bool { return c.Reading == id })
}

// Drawn tells whether any of the readings has a drawing.
func (s *sheet) Drawn() bool {
	return slices.ContainsFunc(s.Readings, func(r sheetReading) bool { return r.Gauge != nil })
}

func readingRow(r *engine.Reading) sheetReading {
	row := sheetReading{ID: r.Reading, Label: r.Label, Value: r.Text, Derived: r.Derived}
	if r.Value == nil {
		return row
	}
	row.Within = uncertain(r.Uncertainty)
	if r.Limits == nil {
		return row
	}
	row.Limits = r.Limits.Text
	row.Gauge = drawing.NewGauge(r.Limits, drawing.Point{Value: *r.Value, Uncertainty: *r.Uncertainty}, nil)
	row.Stands, row.Out = stands(*r.Value, r.Unit, r.Limits, r.InSpec)
	if row.Gauge != nil && row.Gauge.Now.Off() {
		row.Stands += "; off the scale of the drawing"
	}
	return row
}

// stands says in words where a value lies to its limits.
func stands(x float64, unit string, l *engine.Limits, in *engine.Graded) (text string, out bool) {
	if unit != "" {
		unit = " " + unit
	}
	p := 1.0
	if in != nil {
		p = (in.Least + in.Most) / 2
	}
	switch {
	case l.From != nil && x < *l.From:
		text, out = fmt.Sprintf("below by %s%s", drawing.Number(*l.From-x), unit), true
	case l.To != nil && x > *l.To:
		text, out = fmt.Sprintf("above by %s%s", drawing.Number(x-*l.To), unit), true
	default:
		text = "in order"
	}
	if p > 0.05 && p < 0.95 {
		text = fmt.Sprintf("on the limit: inside with probability %.2f", p)
	}
	return text, out
}
