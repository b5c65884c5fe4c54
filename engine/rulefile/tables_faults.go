package rulefile

import "culprit/engine/source"

type rawCondition struct {
	label, doc source.Got[string]
	states     source.Got[[]source.Entry[string]]
	ofItself   source.Got[[]source.Entry[float64]]
	excuse     rawExcuses
}

var conditionTable = source.NewTable("condition",
	source.Key("label", source.Text, func(c *rawCondition) *source.Got[string] { return &c.label },
		"its name for people").Required(),
	source.Key("states", source.MapOf("state", idSpelling, idWording, source.Text),
		func(c *rawCondition) *source.Got[[]source.Entry[string]] { return &c.states },
		"the ways it can be, beside not being at all").Required(),
	source.Key("of_itself", source.MapOf("state", idSpelling, idWording, howOften),
		func(c *rawCondition) *source.Got[[]source.Entry[float64]] { return &c.ofItself },
		"how often a state comes without any of the faults; 0 where not given"),
	source.Key("doc", source.Text, func(c *rawCondition) *source.Got[string] { return &c.doc },
		"more about it, at length"),
	excuseKey(func(c *rawCondition) *rawExcuses { return &c.excuse }),
)

type rawFault struct {
	label, doc, settle source.Got[string]

	per1000 source.Got[float64]
	brings  source.Got[[]source.Got[rawLink]]
	repair  source.Got[rawRepair]
	excuse  rawExcuses
}

type rawLink struct {
	condition, state, given source.Got[string]
	howOften                source.Got[float64]
}

type rawRepair struct {
	minutes  source.Got[float64]
	do       source.Got[string]
	needs    source.Got[[]source.Got[string]]
	cautions source.Got[[]source.Got[string]]
}

var faultTable = source.NewTable("fault",
	source.Key("label", source.Text, func(f *rawFault) *source.Got[string] { return &f.label },
		"its name for people").Required(),
	source.Key("per_1000", source.Number(source.NumberFrom(0, true, 1000, true)),
		func(f *rawFault) *source.Got[float64] { return &f.per1000 },
		"in how many of 1000 cars that come in it is present").Required(),
	source.Key("brings", source.ListOf("a list of links", linkTable.Type()),
		func(f *rawFault) *source.Got[[]source.Got[rawLink]] { return &f.brings },
		"the states that it brings about"),
	source.Key("settle", source.Name("a check", idSpelling), func(f *rawFault) *source.Got[string] { return &f.settle },
		"the check that settles whether it is present"),
	source.Key("repair", repairTable.Type(), func(f *rawFault) *source.Got[rawRepair] { return &f.repair },
		"what ends it"),
	source.Key("doc", source.Text, func(f *rawFault) *source.Got[string] { return &f.doc },
		"more about it, at length"),
	excuseKey(func(f *rawFault) *rawExcuses { return &f.excuse }),
)

var linkTable = source.NewTable("link",
	source.Key("condition", source.Name("a condition", idSpelling), func(l *rawLink) *source.Got[string] { return &l.condition },
		"the condition that it acts on").Required(),
	source.Key("state", source.Name("a state", idSpelling), func(l *rawLink) *source.Got[string] { return &l.state },
		"the state that it brings").Required(),
	source.Key("how_often", howOften, func(l *rawLink) *source.Got[float64] { return &l.howOften },
		"how often the state is there when only this fault is").Required(),
	source.Key("given", expression, func(l *rawLink) *source.Got[string] { return &l.given },
		"a yes/no expression: only then does it act; always where not given"),
)

var repairTable = source.NewTable("repair",
	source.Key("minutes", minutes, func(r *rawRepair) *source.Got[float64] { return &r.minutes },
		"how long it takes").Required(),
	source.Key("do", source.Text, func(r *rawRepair) *source.Got[string] { return &r.do },
		"what to do").Required(),
	source.Key("needs", tools, func(r *rawRepair) *source.Got[[]source.Got[string]] { return &r.needs },
		"the tools that it takes"),
	source.Key("cautions", cautionIDs, func(r *rawRepair) *source.Got[[]source.Got[string]] { return &r.cautions },
		"the dangers that it meets"),
)
