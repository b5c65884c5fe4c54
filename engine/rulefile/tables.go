package rulefile

import (
	"errors"
	"iter"

	"culprit/engine/quantity"
	"culprit/engine/source"
)

// How ids look. Those of readings are names in expressions.
var (
	readingSpelling = source.Spelt(`^[a-z][a-z0-9_]{0,63}$`)
	idSpelling      = source.Spelt(`^[a-z][a-z0-9-]{0,63}$`)
	wordSpelling    = source.Spelt(`^[a-z0-9][a-z0-9-]{0,63}$`)
	shownSpelling   = source.Spelt(`^[a-z][a-z0-9-]*(\.[a-z][a-z0-9-]*)?$`)
)

const (
	readingWording = "lower case letters, digits and '_', beginning with a letter, at most 64"
	idWording      = "lower case letters, digits and '-', beginning with a letter, at most 64"
)

// Shape describes a whole rule file: a record whose keys are the sections.
func Shape() *source.Shape { return fileTable.Type().Shape }

// Tables goes over every kind of thing that a rule file holds and that has keys of its own, the file itself first, each once.
func Tables() iter.Seq[*source.Shape] {
	return func(yield func(*source.Shape) bool) {
		seen := make(map[*source.Shape]bool)
		var visit func(*source.Shape) bool
		visit = func(s *source.Shape) bool {
			if s == nil || seen[s] {
				return true
			}
			seen[s] = true
			if s.Form == source.FormRecord && !yield(s) {
				return false
			}
			for _, k := range s.Keys {
				if !visit(k.Shape) {
					return false
				}
			}
			for _, c := range s.Choices {
				if !visit(c) {
					return false
				}
			}
			return visit(s.Of)
		}
		visit(Shape())
	}
}

// The raw structs hold what was read, before anything is looked up.
type rawFile struct {
	about      source.Got[rawAbout]
	readings   source.Got[[]source.Entry[rawReading]]
	conditions source.Got[[]source.Entry[rawCondition]]
	faults     source.Got[[]source.Entry[rawFault]]
	rules      source.Got[[]source.Entry[rawRule]]
	checks     source.Got[[]source.Entry[rawCheck]]
	cautions   source.Got[[]source.Entry[string]]
	vehicles   source.Got[[]source.Entry[rawVehicle]]

	preparations source.Got[[]source.Entry[rawPreparation]]
}

type rawAbout struct {
	label, doc, notice source.Got[string]
	lastResort         source.Got[rawLastResort]
}

type rawLastResort struct {
	label, do source.Got[string]
	minutes   source.Got[float64]
}

var (
	expression = source.Scalar(source.Shape{Name: "an expression"})
	minutes    = source.Number(source.NumberFrom(0, true, 100_000, false))
	tools      = source.ListOf("a list of tools", source.Text)
	cautionIDs = source.ListOf("a list of caution ids", source.Name("a caution", idSpelling))
)

var fileTable = source.NewTable("rule file",
	source.Key("about", aboutTable.Type(), func(f *rawFile) *source.Got[rawAbout] { return &f.about },
		"what the pack is; at most once in a pack"),
	source.Key("readings", source.MapOf("reading", readingSpelling, readingWording, readingTable.Type()),
		func(f *rawFile) *source.Got[[]source.Entry[rawReading]] { return &f.readings },
		"what can be measured, seen or worked out"),
	source.Key("conditions", source.MapOf("condition", idSpelling, idWording, conditionTable.Type()),
		func(f *rawFile) *source.Got[[]source.Entry[rawCondition]] { return &f.conditions },
		"states of affairs in the engine, which faults bring about and rules show"),
	source.Key("faults", source.MapOf("fault", idSpelling, idWording, faultTable.Type()),
		func(f *rawFile) *source.Got[[]source.Entry[rawFault]] { return &f.faults },
		"causes that can be repaired"),
	source.Key("rules", source.MapOf("rule", idSpelling, idWording, ruleTable.Type()),
		func(f *rawFile) *source.Got[[]source.Entry[rawRule]] { return &f.rules },
		"what can be said of the readings, and what it points at"),
	source.Key("checks", source.MapOf("check", idSpelling, idWording, checkTable.Type()),
		func(f *rawFile) *source.Got[[]source.Entry[rawCheck]] { return &f.checks },
		"what can be done to learn more"),
	source.Key("preparations", source.MapOf("preparation", idSpelling, idWording, preparationTable.Type()),
		func(f *rawFile) *source.Got[[]source.Entry[rawPreparation]] { return &f.preparations },
		"what several checks need and what is done once for all of them"),
	source.Key("cautions", source.MapOf("caution", idSpelling, idWording, source.Text),
		func(f *rawFile) *source.Got[[]source.Entry[string]] { return &f.cautions },
		"dangers, and how to keep out of them"),
	source.Key("vehicles", source.MapOf("vehicle", idSpelling, idWording, vehicleTable.Type()),
		func(f *rawFile) *source.Got[[]source.Entry[rawVehicle]] { return &f.vehicles },
		"cars with their figures"),
)

var aboutTable = source.NewTable("pack",
	source.Key("label", source.Text, func(a *rawAbout) *source.Got[string] { return &a.label }, "the pack's name for people"),
	source.Key("doc", source.Text, func(a *rawAbout) *source.Got[string] { return &a.doc }, "what it covers, at length"),
	source.Key("notice", source.Text, func(a *rawAbout) *source.Got[string] { return &a.notice }, "what every verdict from it should say"),
	source.Key("last_resort", lastResortTable.Type(), func(a *rawAbout) *source.Got[rawLastResort] { return &a.lastResort },
		"what is done when every repair was tried in vain"),
).Short("label")

var lastResortTable = source.NewTable("last resort",
	source.Key("label", source.Text, func(l *rawLastResort) *source.Got[string] { return &l.label },
		"its name for people").Required(),
	source.Key("minutes", minutes, func(l *rawLastResort) *source.Got[float64] { return &l.minutes },
		"how long it takes").Required(),
	source.Key("do", source.Text, func(l *rawLastResort) *source.Got[string] { return &l.do },
		"what to do").Required(),
)

// figure is a number in the reading's unit, or text with a unit.
var figure = figureType()

func figureType() source.Type[quantity.Quantity] {
	text := source.Scalar(source.Shape{Name: `a number, or text with a unit such as "75 psi"`, Thing: "figure", Pattern: quantity.Pattern()})
	return source.Type[quantity.Quantity]{Shape: text.Shape, Read: func(r *source.Report, n source.Node) (quantity.Quantity, bool) {
		s, ok := text.Read(r, n)
		if !ok {
			return quantity.Quantity{}, false
		}
		q, err := quantity.Parse(s)
		if err != nil {
			text, hint := inWords(err)
			r.At(n.Spot(), "%s", text).Hint = hint
			return q, false
		}
		if q.HasU {
			r.At(n.Spot(), "a figure has no ± of its own: %q", s)
			return q, false
		}
		return q, true
	}}
}

// inWords parts what is wrong with a quantity from how to mend it.
func inWords(err error) (text, hint string) {
	if p, ok := errors.AsType[*quantity.ParseError](err); ok {
		return p.Text, p.Hint
	}
	return err.Error(), ""
}
