package rulefile

import "culprit/engine/source"

type rawCheck struct {
	label, doc source.Got[string]
	minutes    source.Got[float64]

	yields, prepare, needs, do, cautions source.Got[[]source.Got[string]]

	excuse rawExcuses
}

var checkTable = source.NewTable("check",
	source.Key("label", source.Text, func(c *rawCheck) *source.Got[string] { return &c.label },
		"its name for people").Required(),
	source.Key("yields", source.ListOf("a list of reading ids", source.Name("a reading", readingSpelling)),
		func(c *rawCheck) *source.Got[[]source.Got[string]] { return &c.yields },
		"the readings that are known afterwards").Required(),
	source.Key("minutes", minutes, func(c *rawCheck) *source.Got[float64] { return &c.minutes },
		"how long it takes, with all that prepare names").Required(),
	source.Key("prepare", source.ListOf("a list of preparation ids", source.Name("a preparation", idSpelling)),
		func(c *rawCheck) *source.Got[[]source.Got[string]] { return &c.prepare },
		"what is done first, once for all checks that need it"),
	source.Key("needs", tools, func(c *rawCheck) *source.Got[[]source.Got[string]] { return &c.needs },
		"the tools that it takes, beside those of its preparations"),
	source.Key("do", source.OneOrMore("a list of steps", source.Text), func(c *rawCheck) *source.Got[[]source.Got[string]] { return &c.do },
		"what to do, after the preparations"),
	source.Key("cautions", cautionIDs, func(c *rawCheck) *source.Got[[]source.Got[string]] { return &c.cautions },
		"the dangers that it meets, beside those of its preparations"),
	source.Key("doc", source.Text, func(c *rawCheck) *source.Got[string] { return &c.doc },
		"more about it, at length"),
	excuseKey(func(c *rawCheck) *rawExcuses { return &c.excuse }),
)

type rawPreparation struct {
	label, doc source.Got[string]
	minutes    source.Got[float64]

	needs, do, cautions source.Got[[]source.Got[string]]

	excuse rawExcuses
}

var preparationTable = source.NewTable("preparation",
	source.Key("label", source.Text, func(p *rawPreparation) *source.Got[string] { return &p.label },
		"its name for people").Required(),
	source.Key("minutes", minutes, func(p *rawPreparation) *source.Got[float64] { return &p.minutes },
		"how long it takes").Required(),
	source.Key("needs", tools, func(p *rawPreparation) *source.Got[[]source.Got[string]] { return &p.needs },
		"the tools that it takes"),
	source.Key("do", source.OneOrMore("a list of steps", source.Text), func(p *rawPreparation) *source.Got[[]source.Got[string]] { return &p.do },
		"what to do"),
	source.Key("cautions", cautionIDs, func(p *rawPreparation) *source.Got[[]source.Got[string]] { return &p.cautions },
		"the dangers that it meets"),
	source.Key("doc", source.Text, func(p *rawPreparation) *source.Got[string] { return &p.doc },
		"more about it, at length"),
	excuseKey(func(p *rawPreparation) *rawExcuses { return &p.excuse }),
)
