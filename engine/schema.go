package engine

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"culprit/engine/quantity"
	"culprit/engine/rulefile"
	"culprit/engine/source"
	"culprit/rules"
)

// SchemaKinds are the kinds of file and of record that have a JSON Schema.
var SchemaKinds = []string{"rules", "cases", "job", "verdict", "brief", "error"}

// ErrNoSchema means that there is no such kind of file.
var ErrNoSchema = errors.New("no such schema")

// Schema gives the JSON Schema (draft 2020-12) of a kind of file: rule files, case files, or jobs in JSON; or of a record that
// the program writes: verdicts, brief records, error records. What the schema of a file takes can still be wrong: a schema does
// not see whether a name exists, a unit fits, or an expression can be read.
func Schema(kind string) ([]byte, error) {
	text, err := rules.Schemas.ReadFile("schema/" + kind + ".schema.json")
	if err != nil {
		return nil, fmt.Errorf("%q: %w; there are %s", kind, ErrNoSchema, strings.Join(SchemaKinds, ", "))
	}
	return text, nil
}

// RuleFileKeys lists the keys that a rule file can have at its top.
func RuleFileKeys() []string {
	var keys []string
	for _, k := range rulefile.Shape().Keys {
		keys = append(keys, k.Name)
	}
	return keys
}

// FigureShape describes a figure of a specification: a number, or text with a unit.
func FigureShape() source.Shape {
	return source.Shape{Form: source.FormScalar, Name: "a number, or text with a unit", Thing: "figure", Pattern: quantity.Pattern()}
}

// JobShape describes a job in JSON as [ParseJob] reads it. Ids of readings look as rule files want them, since another exists in
// no pack.
func JobShape() *source.Shape {
	figure := FigureShape()
	null := &source.Shape{Form: source.FormNothing, Name: "null"}
	text := &source.Shape{Form: source.FormText, Name: "text", Empty: true}
	free := source.NumberFrom(math.Inf(-1), false, math.Inf(1), false)
	upwards := source.NumberFrom(0, false, math.Inf(1), false)
	blank := &source.Shape{Form: source.FormText, Name: "nothing", Pattern: "^$", Empty: true}
	either := func(name string, choices ...*source.Shape) *source.Shape {
		return &source.Shape{Form: source.FormEither, Name: name, Choices: choices}
	}
	byReading := func(of *source.Shape) *source.Shape {
		return &source.Shape{Form: source.FormMap, Name: "a mapping by readings", Pattern: `^[a-z][a-z0-9_]{0,63}$`, Empty: true, Of: of}
	}
	figureOrNull := either(figure.Name, &figure, blank, null)
	figures := &source.Shape{Form: source.FormRecord, Name: "figures of one reading", Thing: "figures", Keys: []source.KeyShape{
		{Name: "from", Doc: "the least that is in order", Shape: figureOrNull},
		{Name: "to", Doc: "the most that is in order", Shape: figureOrNull},
		{Name: "reference", Doc: "what it is set to", Shape: figureOrNull},
		{Name: "within", Doc: "how far from the reference is in order; instead of from and to", Shape: figureOrNull},
		{Name: "source", Doc: "where the figures come from; not used", Shape: either("text", text, null)},
	}}
	measured := &source.Shape{Form: source.FormRecord, Name: "a number with its unit", Thing: "measured", Keys: []source.KeyShape{
		{Name: "value", Required: true, Doc: "the number; null is a reading that was not taken", Shape: either("a number", &free, null)},
		{Name: "unit", Doc: "its unit; without one, the reading's own", Shape: either("text", text, null)},
		{Name: "within", Doc: "limits of error of the instrument, ± in the same unit; without them, those of the pack", Shape: either("a number from 0", &upwards, null)},
	}}
	sample := either("a number", &free, null)
	trace := &source.Shape{Form: source.FormRecord, Name: "a trace", Thing: "trace", Keys: []source.KeyShape{
		{Name: "every", Required: true, Doc: "the sampling interval, a number being seconds", Shape: either("text with a unit, or a number", text, &free)},
		{Name: "values", Required: true, Doc: "the samples in the unit of the reading; null is one that was lost",
			Shape: &source.Shape{Form: source.FormList, Name: "a list of numbers", Of: sample, Empty: true}},
		{Name: "value", Doc: "not with a trace", Shape: null},
		{Name: "unit", Doc: "not with a trace", Shape: null},
		{Name: "within", Doc: "not with a trace", Shape: null},
	}}
	yesNo := &source.Shape{Form: source.FormYesNo, Name: "true or false"}
	reading := either("a reading", &free, text, yesNo, measured, trace, null)
	reading.Thing = "reading"
	readings := either("readings by id", byReading(reading), null)
	fault := &source.Shape{Form: source.FormText, Name: "the id of a fault", Pattern: `^[a-z][a-z0-9-]{0,63}$`, Empty: true}
	set := &source.Shape{Form: source.FormRecord, Name: "a set of readings", Thing: "set", Keys: []source.KeyShape{
		{Name: "label", Doc: "what the workshop calls the set; no two have the same", Shape: either("text", text, null)},
		{Name: "note", Doc: "anything; not used", Shape: either("text", text, null)},
		{Name: "repaired", Doc: "ids of the faults whose repair was done since the set before this one",
			Shape: either("a list of ids of faults", &source.Shape{Form: source.FormList, Name: "a list of ids of faults", Of: fault, Empty: true}, null)},
		{Name: "found", Doc: "what was seen in doing it; comes back in the verdict", Shape: either("text", text, null)},
		{Name: "readings", Required: true, Doc: "what was read, by id of the reading", Shape: readings},
	}}
	return &source.Shape{Form: source.FormRecord, Name: "the keys of a job", Thing: "job", Rivals: [2]string{"readings", "sets"}, Keys: []source.KeyShape{
		{Name: "name", Doc: "what the workshop calls the job; comes back in the verdict", Shape: either("text", text, null)},
		{Name: "note", Doc: "anything; not used", Shape: either("text", text, null)},
		{Name: "vehicle", Doc: "id of a vehicle of the pack, whose figures are used", Shape: either("text", text, null)},
		{Name: "spec", Doc: "figures from the manual in hand, by id of the reading; they win over the vehicle's",
			Shape: either("figures by readings", byReading(either("figures", figures, null)), null)},
		{Name: "readings", Doc: "what was read, by id of the reading; it or sets has to be there", Shape: readings},
		{Name: "sets", Doc: "instead of readings: what was read before and after repairs, in order",
			Shape: either("a list of sets of readings", &source.Shape{Form: source.FormList, Name: "a list of sets of readings", Of: set}, null)},
		{Name: "truth", Doc: "what was really wrong, for whoever keeps score; not looked at", Shape: &source.Shape{Form: source.FormAny, Name: "anything"}},
	}}
}
