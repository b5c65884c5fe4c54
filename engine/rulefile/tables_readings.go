package rulefile

import (
	"culprit/engine/quantity"
	"culprit/engine/source"
	"culprit/engine/truth"
)

type rawReading struct {
	label, kind, unit, from, how, doc source.Got[string]

	plausible source.Got[rawRange]
	accuracy  source.Got[rawAccuracy]
	among     source.Got[[]source.Got[string]]
	assume    source.Got[bool]
	setUp     source.Got[rawSetUp]
	excuse    rawExcuses
}

type rawRange struct{ from, to source.Got[quantity.Quantity] }

type rawAccuracy struct {
	within  source.Got[quantity.Quantity]
	percent source.Got[float64]
}

type rawSetUp struct {
	mustBe  source.Got[bool]
	do      source.Got[string]
	minutes source.Got[float64]
	stays   source.Got[bool]
}

var readingTable = source.NewTable("reading",
	source.Key("label", source.Text, func(r *rawReading) *source.Got[string] { return &r.label },
		"its name for people").Required(),
	source.Key("kind", source.Word(truth.Kinds()...), func(r *rawReading) *source.Got[string] { return &r.kind },
		"what sort of thing it is; number where not given"),
	source.Key("unit", source.Text, func(r *rawReading) *source.Got[string] { return &r.unit },
		"the unit of a number or trace; none means a plain number"),
	source.Key("plausible", plausibleTable.Type(), func(r *rawReading) *source.Got[rawRange] { return &r.plausible },
		"the range outside which a value is a slip"),
	source.Key("accuracy", accuracyTable.Type(), func(r *rawReading) *source.Got[rawAccuracy] { return &r.accuracy },
		"the usual meter's stated limits; where both are given the larger holds"),
	source.Key("among", source.ListOf("a list of words", source.ID("a choice", wordSpelling)),
		func(r *rawReading) *source.Got[[]source.Got[string]] { return &r.among },
		"the words that a choice can be"),
	source.Key("from", expression, func(r *rawReading) *source.Got[string] { return &r.from },
		"the expression that works it out where a job does not give it"),
	source.Key("assume", source.YesNo, func(r *rawReading) *source.Got[bool] { return &r.assume },
		"what a yes/no reading is taken to be where a job does not say"),
	source.Key("set_up", setUpTable.Type(), func(r *rawReading) *source.Got[rawSetUp] { return &r.setUp },
		"makes a yes/no reading part of the set-up list"),
	source.Key("how", source.Text, func(r *rawReading) *source.Got[string] { return &r.how },
		"how to measure it"),
	source.Key("doc", source.Text, func(r *rawReading) *source.Got[string] { return &r.doc },
		"more about it, at length"),
	excuseKey(func(r *rawReading) *rawExcuses { return &r.excuse }),
)

var plausibleTable = source.NewTable("plausible range",
	source.Key("from", figure, func(r *rawRange) *source.Got[quantity.Quantity] { return &r.from }, "the least value"),
	source.Key("to", figure, func(r *rawRange) *source.Got[quantity.Quantity] { return &r.to }, "the largest value"),
).Short("from", "to")

var accuracyTable = source.NewTable("accuracy",
	source.Key("within", figure, func(a *rawAccuracy) *source.Got[quantity.Quantity] { return &a.within },
		"± this much, in the reading's unit"),
	source.Key("percent", source.Number(source.NumberFrom(0, false, 100, false)),
		func(a *rawAccuracy) *source.Got[float64] { return &a.percent }, "± this many percent of the value"),
).Short("within")

var setUpTable = source.NewTable("set-up",
	source.Key("must_be", source.YesNo, func(s *rawSetUp) *source.Got[bool] { return &s.mustBe },
		"how it has to be before other readings count").Required(),
	source.Key("do", source.Text, func(s *rawSetUp) *source.Got[string] { return &s.do },
		"what to do when it is not").Required(),
	source.Key("minutes", source.Number(source.NumberFrom(0, false, 100_000, false)),
		func(s *rawSetUp) *source.Got[float64] { return &s.minutes },
		"how long that takes; 0 where not given"),
	source.Key("stays", source.YesNo, func(s *rawSetUp) *source.Got[bool] { return &s.stays },
		"yes: it cannot be put right on the spot, so what needs it stays out"),
)
