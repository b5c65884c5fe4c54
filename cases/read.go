package cases

import (
	"fmt"
	"math"
	"strconv"

	"culprit/engine"
	"culprit/engine/source"
)

// The tables of a case file. They are the single description of its keys.
type (
	rawFile struct {
		cases source.Got[[]source.Entry[rawCase]]
	}
	rawCase struct {
		name, note, vehicle, because source.Got[string]
		spec                         source.Got[[]source.Entry[rawFigures]]
		readings                     source.Got[[]source.Entry[engine.Value]]
		expect                       source.Got[[]source.Got[rawExpected]]
		notLeading, notMet           source.Got[[]source.Got[string]]
	}
	rawFigures  struct{ from, to, reference, within, source source.Got[string] }
	rawExpected struct {
		fault         source.Got[string]
		rank, atLeast source.Got[float64]
	}
	rawMeasured struct {
		value, within source.Got[float64]
		unit          source.Got[string]
	}
	rawTrace struct {
		every  source.Got[string]
		values source.Got[[]source.Got[float64]]
	}
)

var (
	figure          = source.Scalar(engine.FigureShape())
	typed           = source.Scalar(source.Shape{Name: "a number, text or yes/no value"})
	anyID           = func(what string) source.Type[string] { return source.ID(what, idSpelling) }
	idSpelling      = source.Spelt(`^[a-z0-9][a-z0-9_-]*$`)
	readingSpelling = source.Spelt(`^[a-z][a-z0-9_]*$`)

	fileTable = source.NewTable("case file",
		source.Key("cases", source.MapOf("case", source.Spelt(`^[a-z0-9][a-z0-9-]*$`), "lower case letters, digits and hyphens", caseTable.Type()),
			func(f *rawFile) *source.Got[[]source.Entry[rawCase]] { return &f.cases }, "the cases, by id").Required(),
	)
	caseTable = source.NewTable("case",
		source.Key("name", source.Text, func(c *rawCase) *source.Got[string] { return &c.name }, "a name for people"),
		source.Key("note", source.Text, func(c *rawCase) *source.Got[string] { return &c.note }, "anything worth knowing"),
		source.Key("vehicle", anyID("a vehicle"), func(c *rawCase) *source.Got[string] { return &c.vehicle }, "whose figures hold"),
		source.Key("spec", source.MapOf("reading", readingSpelling, "lower case letters, digits and underscores", figuresTable.Type()),
			func(c *rawCase) *source.Got[[]source.Entry[rawFigures]] { return &c.spec }, "figures from the manual in hand; they win over the vehicle's"),
		source.Key("readings", source.MapOf("reading", readingSpelling, "lower case letters, digits and underscores", valueType()),
			func(c *rawCase) *source.Got[[]source.Entry[engine.Value]] { return &c.readings }, "what the bench shows").Required(),
		source.Key("expect", source.ListOf("a list of faults", expectedTable.Type()),
			func(c *rawCase) *source.Got[[]source.Got[rawExpected]] { return &c.expect }, "faults that must be found"),
		source.Key("not_leading", source.ListOf("a list of faults", anyID("a fault")),
			func(c *rawCase) *source.Got[[]source.Got[string]] { return &c.notLeading }, "faults that must not lead"),
		source.Key("not_met", source.ListOf("a list of readings", anyID("a reading")),
			func(c *rawCase) *source.Got[[]source.Got[string]] { return &c.notMet }, "set-up points that must be reported as not met"),
		source.Key("because", source.Text, func(c *rawCase) *source.Got[string] { return &c.because }, "why the readings are so, and what the case is for").Required(),
	)
	figuresTable = source.NewTable("spec",
		source.Key("from", figure, func(f *rawFigures) *source.Got[string] { return &f.from }, "the least that is in order"),
		source.Key("to", figure, func(f *rawFigures) *source.Got[string] { return &f.to }, "the most that is in order"),
		source.Key("reference", figure, func(f *rawFigures) *source.Got[string] { return &f.reference }, "what it is set to"),
		source.Key("within", figure, func(f *rawFigures) *source.Got[string] { return &f.within }, "how far from the reference is in order"),
		source.Key("source", source.Text, func(f *rawFigures) *source.Got[string] { return &f.source }, "where the figures come from"),
	).Short("reference", "within")
	expectedTable = source.NewTable("expected fault",
		source.Key("fault", anyID("a fault"), func(e *rawExpected) *source.Got[string] { return &e.fault }, "its id").Required(),
		source.Key("rank", source.Number(rankShape), func(e *rawExpected) *source.Got[float64] { return &e.rank }, "at this rank or better"),
		source.Key("at_least", source.Number(source.NumberFrom(0, false, 1, false)), func(e *rawExpected) *source.Got[float64] { return &e.atLeast }, "with at least this probability"),
	)
	measuredTable = source.NewTable("reading",
		source.Key("value", anyNumber, func(m *rawMeasured) *source.Got[float64] { return &m.value }, "the number").Required(),
		source.Key("unit", source.Text, func(m *rawMeasured) *source.Got[string] { return &m.unit }, "its unit; without one the reading's own"),
		source.Key("within", source.Number(source.NumberFrom(0, false, math.Inf(1), false)), func(m *rawMeasured) *source.Got[float64] { return &m.within }, "the limits of the instrument, in the same unit"),
	)
	traceTable = source.NewTable("trace",
		source.Key("every", figure, func(m *rawTrace) *source.Got[string] { return &m.every }, "the sampling interval").Required(),
		source.Key("values", source.ListOf("a list of numbers", anyNumber), func(m *rawTrace) *source.Got[[]source.Got[float64]] { return &m.values }, "the samples").Required(),
	)
	rankShape = source.Shape{Name: "a whole number from 1", Least: new(1.0), Whole: true}
	anyNumber = source.Number(source.NumberFrom(math.Inf(-1), false, math.Inf(1), false))
)

// valueType reads one reading: a word or number as typed, a mapping with value
// and unit or with every and values, or nothing for one that was not taken.
func valueType() source.Type[engine.Value] {
	measured, trace := measuredTable.Type(), traceTable.Type()
	shape := &source.Shape{Form: source.FormEither, Name: "a value, a value with its unit, or a trace", Thing: "value",
		Choices: []*source.Shape{typed.Shape, measured.Shape, trace.Shape, {Form: source.FormNothing, Name: "null"}}}
	return source.Type[engine.Value]{Shape: shape, Read: func(r *source.Report, n source.Node) (engine.Value, bool) {
		switch {
		case n.IsNothing():
			return engine.Value{}, true
		case n.Has("every") || n.Has("values"):
			t, ok := trace.Read(r, n)
			if !ok || !t.every.Set || !t.values.Set {
				return engine.Value{}, false
			}
			samples := make([]float64, len(t.values.V))
			for i, s := range t.values.V {
				samples[i] = s.V
			}
			return engine.Trace(t.every.V, samples), true
		case n.IsMap():
			m, ok := measured.Read(r, n)
			switch {
			case !ok || !m.value.Set:
				return engine.Value{}, false
			case m.within.Set:
				return engine.Measured(m.value.V, m.unit.V, m.within.V), true
			}
			return engine.InUnit(m.value.V, m.unit.V), true
		case n.IsList():
			source.Wants(r, n, shape)
			return engine.Value{}, false
		}
		text, ok := typed.Read(r, n)
		return engine.Text(text), ok
	}}
}

// Shape describes a case file: what may stand in it, and what it means.
func Shape() *source.Shape { return fileTable.Type().Shape }

// read reads one case file.
func read(f *source.File, report *source.Report) []*Case {
	top := source.Parse(f, report)
	if at, ok := ruleFileKey(top); ok {
		report.At(at, "this is a rule file, and case files are wanted here").Hint = "culprit proofread reads rule files; culprit rehearse --add FOLDER CASES runs cases with them"
		return nil
	}
	raw, ok := fileTable.Type().Read(report, top)
	if !ok {
		return nil
	}
	var all []*Case
	for _, e := range raw.cases.V {
		if e.Set {
			all = append(all, e.V.build(e.ID, e.At.Pos, report))
		}
	}
	return all
}

// ruleFileKey is the place of a key by which a file is a rule file and no case file.
func ruleFileKey(top source.Node) (source.Spot, bool) {
	if top.Has("cases") {
		return source.Spot{}, false
	}
	for _, key := range engine.RuleFileKeys() {
		if at, ok := top.Key(key); ok {
			return at, true
		}
	}
	return source.Spot{}, false
}

func (raw *rawCase) build(id string, at source.Pos, report *source.Report) *Case {
	c := &Case{ID: id, At: at, Because: raw.because.V, Job: &engine.Job{
		Name: raw.name.V, Note: raw.note.V, Vehicle: raw.vehicle.V,
		Spec: map[string]engine.Figures{}, Readings: map[string]engine.Value{},
	}}
	c.Job.Place("vehicle", raw.vehicle.Pos, len(raw.vehicle.V))
	for _, e := range raw.spec.V {
		c.Job.Spec[e.ID] = engine.Figures{From: e.V.from.V, To: e.V.to.V, Reference: e.V.reference.V, Within: e.V.within.V}
		c.Job.Place("spec."+e.ID, e.At.Pos, len(e.ID))
	}
	for _, e := range raw.readings.V {
		c.Job.Readings[e.ID] = e.V
		c.Job.Place("readings."+e.ID, e.At.Pos, len(e.ID))
		at, width := e.Whole()
		c.Job.Place("readings."+e.ID+"=", at, width)
	}
	for _, e := range raw.expect.V {
		c.Expect = append(c.Expect, Expected{Fault: Name{e.V.fault.V, e.V.fault.Spot}, Rank: int(e.V.rank.V), AtLeast: e.V.atLeast.V})
	}
	c.NotLeading, c.NotMet = names(raw.notLeading.V), names(raw.notMet.V)
	said := raw.expect.Line + raw.notLeading.Line + raw.notMet.Line // what was refused was said all the same
	if said == 0 {
		report.Add(source.Problem{Pos: at, Width: len(id), Text: fmt.Sprintf("case %s expects nothing", strconv.Quote(id)),
			Hint: "say expect, not_leading or not_met"})
	}
	return c
}

func names(list []source.Got[string]) []Name {
	var out []Name
	for _, g := range list {
		out = append(out, Name{g.V, g.Spot})
	}
	return out
}
