package proof

import (
	"slices"

	"culprit/engine/source"
	"culprit/engine/truth"
)

// asksFigures finds the questions that need the figures of a car.
var asksFigures = source.Pattern(`\b(ok|high|low|reference)\s*\(\s*([a-z][a-z0-9_]*)\s*\)`)

// unfigured reports questions about figures that no vehicle of the pack has. A pack without vehicles is for cars whose figures
// come with the job, and nothing can be said of it.
func (r *reader) unfigured() {
	if len(r.pack.Vehicles) == 0 {
		return
	}
	for _, d := range r.pack.Readings {
		if d.From != nil {
			r.figuresOf(excuses{d.Excuses}, d.From, d.FromText, d.FromAt)
		}
	}
	for _, f := range r.pack.Faults {
		for _, l := range f.Brings {
			if l.Given != nil {
				r.figuresOf(excuses{f.Excuses}, l.Given, l.GivenText, l.GivenAt)
			}
		}
	}
	for _, rule := range r.pack.Rules {
		if rule.Given != nil {
			r.figuresOf(excuses{rule.Excuses}, rule.Given, rule.GivenText, rule.GivenAt)
		}
		r.figuresOf(excuses{rule.Excuses}, rule.When, rule.WhenText, rule.WhenAt)
	}
}

// figuresOf looks at one expression. Each question is told once.
func (r *reader) figuresOf(about excuses, e *truth.Expr, text string, spot source.Spot) {
	needs := e.Specs()
	told := map[string]bool{}
	for _, m := range asksFigures().FindAllStringSubmatchIndex(text, -1) {
		asks, id := text[m[2]:m[3]], text[m[4]:m[5]]
		reading := r.pack.Reading(id)
		question := asks + "(" + id + ")"
		if reading == nil || !slices.Contains(needs, reading.Index) || told[question] || r.hasFigures(reading.Index, asks == "reference") {
			continue
		}
		told[question] = true
		what := "figures"
		if asks == "reference" {
			what = "a reference"
		}
		p := within(spot, m[0], m[1]-m[0], "no vehicle has %s of %q, so %s can be answered for none of them", what, id, question)
		p.Hint = "give them under \"spec\" of a vehicle, or write a limit of your own"
		r.add("no-figures", about, p)
	}
}

// hasFigures reports whether any vehicle has figures of a reading, or a reference.
func (r *reader) hasFigures(reading int, reference bool) bool {
	for _, v := range r.pack.Vehicles {
		if s, ok := v.Spec(reading); ok && (s.HasReference || !reference) {
			return true
		}
	}
	return false
}
