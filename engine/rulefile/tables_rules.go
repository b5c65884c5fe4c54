package rulefile

import (
	"culprit/engine/quantity"
	"culprit/engine/source"
)

type rawRule struct {
	says, given, when, alternatives, because, doc source.Got[string]

	shows     source.Got[[]source.Entry[float64]]
	otherwise source.Got[float64]
	excuse    rawExcuses
}

var ruleTable = source.NewTable("rule",
	source.Key("says", source.Text, func(r *rawRule) *source.Got[string] { return &r.says },
		"the sentence that a technician would say when it holds").Required(),
	source.Key("given", expression, func(r *rawRule) *source.Got[string] { return &r.given },
		"a yes/no expression: only then does the rule apply; always where not given"),
	source.Key("when", expression, func(r *rawRule) *source.Got[string] { return &r.when },
		"a yes/no expression: the rule holds as far as it is true").Required(),
	source.Key("shows", source.MapOf("state or fault", shownSpelling, "write condition.state, or the id of a fault", howOften),
		func(r *rawRule) *source.Got[[]source.Entry[float64]] { return &r.shows },
		"for each condition.state or fault: how often the rule holds when it is so").Required(),
	source.Key("otherwise", howOften, func(r *rawRule) *source.Got[float64] { return &r.otherwise },
		"how often the rule holds when nothing that it shows is so").Required(),
	source.Key("alternatives", source.ID("a group of alternatives", idSpelling), func(r *rawRule) *source.Got[string] { return &r.alternatives },
		"the group of rules of which at most one can hold"),
	source.Key("because", source.Text, func(r *rawRule) *source.Got[string] { return &r.because },
		"the reason that a trainer would give"),
	source.Key("doc", source.Text, func(r *rawRule) *source.Got[string] { return &r.doc },
		"more about it, at length"),
	excuseKey(func(r *rawRule) *rawExcuses { return &r.excuse }),
)

type rawVehicle struct {
	label, source, doc source.Got[string]
	demo               source.Got[bool]
	spec               source.Got[[]source.Entry[rawSpec]]
	excuse             rawExcuses
}

type rawSpec struct {
	from, to, reference, within source.Got[quantity.Quantity]
	source                      source.Got[string]
}

var vehicleTable = source.NewTable("vehicle",
	source.Key("label", source.Text, func(v *rawVehicle) *source.Got[string] { return &v.label },
		"its name for people").Required(),
	source.Key("demo", source.YesNo, func(v *rawVehicle) *source.Got[bool] { return &v.demo },
		"yes for an invented car; no where not given"),
	source.Key("source", source.Text, func(v *rawVehicle) *source.Got[string] { return &v.source },
		"where its figures come from"),
	source.Key("doc", source.Text, func(v *rawVehicle) *source.Got[string] { return &v.doc },
		"more about it, at length"),
	source.Key("spec", specType, func(v *rawVehicle) *source.Got[[]source.Entry[rawSpec]] { return &v.spec },
		"its figures, for each reading"),
	excuseKey(func(v *rawVehicle) *rawExcuses { return &v.excuse }),
)

var specType = source.MapOf("figure", readingSpelling, readingWording, specTable.Type())

var specTable = source.NewTable("spec",
	source.Key("from", figure, func(s *rawSpec) *source.Got[quantity.Quantity] { return &s.from },
		"the least value that is in order"),
	source.Key("to", figure, func(s *rawSpec) *source.Got[quantity.Quantity] { return &s.to },
		"the largest value that is in order"),
	source.Key("reference", figure, func(s *rawSpec) *source.Got[quantity.Quantity] { return &s.reference },
		"what it is set to; with within, or with from or to"),
	source.Key("within", figure, func(s *rawSpec) *source.Got[quantity.Quantity] { return &s.within },
		"how far from the reference is still in order"),
	source.Key("source", source.Text, func(s *rawSpec) *source.Got[string] { return &s.source },
		"where this figure comes from"),
).Short("reference", "within")
