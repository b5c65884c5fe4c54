package proof

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"culprit/engine/quantity"
	"culprit/engine/rulefile"
	"culprit/engine/source"
	"culprit/engine/truth"
)

// plausible gives the ranges that the pack states.
func (r *reader) plausible(reading int) (from, to float64, ok bool) {
	p := r.pack.Readings[reading].Plausible
	if p == nil {
		return 0, 0, false
	}
	return p.From, p.To, true
}

// expressions reads every expression that is true or false, and the figures of vehicles.
func (r *reader) expressions() {
	for _, d := range r.pack.Readings {
		if d.From != nil && d.Kind == truth.YesNo {
			r.one(excuses{d.Excuses}, d.From, d.FromText, d.FromAt, "so the reading is always no", "so the reading is always yes")
		}
	}
	for _, f := range r.pack.Faults {
		for _, l := range f.Brings {
			if l.Given != nil {
				r.one(excuses{f.Excuses}, l.Given, l.GivenText, l.GivenAt, "so the fault never acts this way", "so it can be left out")
			}
		}
	}
	for _, rule := range r.pack.Rules {
		r.rule(rule)
	}
	for _, v := range r.pack.Vehicles {
		for _, s := range v.Specs {
			r.figures(v, s)
		}
	}
}

const meant = "correct the limit or the reading; where it is meant so, excuse it with the reason"

// one reads an expression by itself, and reports whether anything was said of it.
func (r *reader) one(about excuses, e *truth.Expr, text string, spot source.Spot, never, always string) bool {
	if r.limits(about, e, text, spot) {
		return true
	}
	hold, fail := e.Range(r.plausible)
	switch {
	case !hold:
		p := whole(spot, text, "this can never hold within the plausible ranges, %s", never)
		p.Hint = meant
		r.add("never-holds", about, p)
	case !fail:
		p := whole(spot, text, "this always holds within the plausible ranges, %s", always)
		p.Hint = meant
		r.add("always-holds", about, p)
	}
	return !hold || !fail
}

func (r *reader) rule(rule *rulefile.Rule) {
	about := excuses{rule.Excuses}
	said := false
	if rule.Given != nil {
		said = r.one(about, rule.Given, rule.GivenText, rule.GivenAt, "so the rule never applies", "so it can be left out")
	}
	if r.one(about, rule.When, rule.WhenText, rule.WhenAt, "so the rule never holds", "so the rule says nothing") || said || rule.Given == nil {
		return
	}
	applies := truth.Claim{Expr: rule.Given, Holds: true}
	switch scope := r.pack.Scope; {
	case !scope.Possible(r.plausible, applies, truth.Claim{Expr: rule.When, Holds: true}):
		p := whole(rule.WhenAt, rule.WhenText, "this can never hold where \"given\" does, so the rule never holds")
		p.Hint, p.Other = meant, &rule.GivenAt.Pos
		r.add("never-holds", about, p)
	case !scope.Possible(r.plausible, applies, truth.Claim{Expr: rule.When}):
		p := whole(rule.WhenAt, rule.WhenText, "this always holds where \"given\" does, so the rule says nothing")
		p.Hint, p.Other = meant, &rule.GivenAt.Pos
		r.add("always-holds", about, p)
	}
}

// limits reports the limits of an expression that lie where its readings cannot.
func (r *reader) limits(about excuses, e *truth.Expr, text string, spot source.Spot) (said bool) {
	for _, l := range e.Limits() {
		reading := r.pack.Readings[l.Reading]
		hint, bad := r.implausible(reading, l.At)
		if !bad {
			continue
		}
		said = true
		offset, width := limitIn(text, reading.ID, l.At)
		p := within(spot, offset, width, "the limit %s lies outside what is plausible of %q, %s",
			with(l.At, reading.Unit), reading.ID, r.stretch(reading))
		p.Hint = hint
		r.add("limit-implausible", about, p)
	}
	return said
}

// figures reports the figures of a vehicle that lie where the reading cannot.
func (r *reader) figures(v *rulefile.Vehicle, s rulefile.VehicleSpec) {
	reading := r.pack.Readings[s.Reading]
	for _, f := range []struct {
		name string
		at   float64
		has  bool
	}{
		{"reference", s.Spec.Reference, s.Spec.HasReference},
		{"lower limit", s.Spec.From, s.Spec.HasFrom},
		{"upper limit", s.Spec.To, s.Spec.HasTo},
	} {
		if hint, bad := r.implausible(reading, f.at); f.has && bad {
			p := at(s.At, reading.ID, "the %s %s lies outside what is plausible of %q, %s", f.name, with(f.at, reading.Unit), reading.ID, r.stretch(reading))
			p.Hint = hint
			r.add("limit-implausible", excuses{v.Excuses}, p)
			return
		}
	}
}

// implausible reports whether a limit lies outside the range of its reading, and in which unit it would
// lie inside.
func (r *reader) implausible(reading *rulefile.Reading, limit float64) (hint string, bad bool) {
	b := r.pack.Scope.ReadingBounds(r.plausible, reading.Index)
	if limit >= b.From && limit <= b.To {
		return "", false
	}
	type fit struct {
		unit quantity.Unit
		at   float64
	}
	var fits []fit
	if u := reading.Unit; u != quantity.None {
		for _, other := range quantity.Units(u.Dimension()) {
			q, err := quantity.Quantity{Value: limit, Unit: other, HasUnit: true}.In(u)
			if err == nil && other != u && q.Value >= b.From && q.Value <= b.To {
				fits = append(fits, fit{other, q.Value})
			}
		}
	}
	middle := (b.From + b.To) / 2
	slices.SortStableFunc(fits, func(a, b fit) int { return cmp.Compare(math.Abs(a.at-middle), math.Abs(b.at-middle)) })
	var words []string
	for _, f := range fits[:min(2, len(fits))] {
		words = append(words, fmt.Sprintf("%s would be %s", with(limit, f.unit), with(f.at, reading.Unit)))
	}
	if words == nil {
		return "correct the limit, or the plausible range of the reading", true
	}
	return "is it in another unit? " + strings.Join(words, ", "), true
}

// stretch says where a reading can lie.
func (r *reader) stretch(reading *rulefile.Reading) string {
	b := r.pack.Scope.ReadingBounds(r.plausible, reading.Index)
	switch {
	case math.IsInf(b.From, -1):
		return "at most " + with(b.To, reading.Unit)
	case math.IsInf(b.To, 1):
		return "at least " + with(b.From, reading.Unit)
	}
	return quantity.Number(b.From) + " to " + with(b.To, reading.Unit)
}

func with(value float64, u quantity.Unit) string {
	return strings.TrimSpace(quantity.Number(value) + " " + u.String())
}

var numbers = source.Pattern(`[0-9]+(\.[0-9]*)?([eE][-+]?[0-9]+)?|\.[0-9]+`)

// limitIn finds the limit in the text of an expression: the number of that size nearest
// to the reading's name, or the whole text.
func limitIn(text, name string, limit float64) (offset, width int) {
	offset, width = 0, len(text)
	nearest := math.MaxInt
	names := regexp.MustCompile(`\b`+name+`\b`).FindAllStringIndex(text, -1)
	for _, m := range numbers().FindAllStringIndex(text, -1) {
		if x, err := strconv.ParseFloat(text[m[0]:m[1]], 64); err != nil || x != math.Abs(limit) {
			continue
		}
		for _, n := range names {
			if d := max(m[0]-n[1], n[0]-m[1]); d >= 0 && d < nearest {
				nearest, offset, width = d, m[0], m[1]-m[0]
			}
		}
	}
	if limit < 0 && offset > 0 && text[offset-1] == '-' {
		return offset - 1, width + 1
	}
	return offset, width
}
