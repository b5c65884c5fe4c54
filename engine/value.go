package engine

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"culprit/engine/quantity"
	"culprit/engine/rulefile"
	"culprit/engine/source"
	"culprit/engine/truth"
)

// Value is one reading as somebody gives it. The zero Value means that the
// reading was not taken. Which forms a reading takes depends on its kind; a
// form that does not fit is refused by [Pack.Diagnose], not here.
type Value struct {
	form    form
	yes     bool
	limited bool   // within was given
	text    string // what was typed; of a measured number its unit, of a trace its interval
	number  float64
	within  float64
	samples []float64
}

type form uint8

const (
	notTaken form = iota
	asNumber
	asText
	asYesNo
	asMeasured
	asTrace
)

// Number is a value in the unit of its reading.
func Number(x float64) Value { return Value{form: asNumber, number: x} }

// Text is a value as a person types it: "25.2 deg dwell4", "yes", "rough".
func Text(s string) Value { return Value{form: asText, text: s} }

// YesNo is the value of a yes/no reading.
func YesNo(yes bool) Value { return Value{form: asYesNo, yes: yes} }

// Measured is a number with a unit ("" for the reading's own) and the limits
// ±within of the instrument that gave it, in the same unit.
func Measured(x float64, unit string, within float64) Value {
	return Value{form: asMeasured, number: x, text: unit, within: within, limited: true}
}

// InUnit is a number with a unit, its uncertainty being the reading's usual one.
func InUnit(x float64, unit string) Value {
	return Value{form: asMeasured, number: x, text: unit}
}

// Trace is a series of samples in the unit of the reading, taken every so often
// ("50 ms"); a sample that was lost is NaN.
func Trace(every string, samples []float64) Value {
	return Value{form: asTrace, text: every, samples: slices.Clone(samples)}
}

// Taken reports whether there is a value at all.
func (v Value) Taken() bool { return v.form != notTaken }

// valueError is a value that its reading does not take.
type valueError struct{ text, hint string }

func refuse(hint, format string, args ...any) *valueError {
	return &valueError{fmt.Sprintf(format, args...), hint}
}

// huge is more than any reading, figure or sample comes to in any unit; sums,
// products and squares of less than that stay finite. A judgement.
const huge = 1e30

// refused takes over an error about a quantity.
func refused(err error) *valueError {
	text, hint := inWords(err)
	return &valueError{text, hint}
}

// set puts a value into the values of a job.
func (v Value) set(r *rulefile.Reading, into *truth.Values) *valueError {
	switch r.Kind {
	case truth.Number:
		return v.setNumber(r, into)
	case truth.YesNo:
		return v.setYesNo(r, into)
	case truth.Choice:
		return v.setChoice(r, into)
	}
	return v.setTrace(r, into)
}

func (v Value) setNumber(r *rulefile.Reading, into *truth.Values) *valueError {
	var q quantity.Quantity
	switch v.form {
	case asNumber:
		q.Value = v.number
	case asText:
		var err error
		if q, err = quantity.Parse(v.text); err != nil {
			return refused(err)
		}
	case asMeasured:
		q.Value = v.number
		if v.text != "" {
			u, err := quantity.ParseUnit(v.text)
			if err != nil {
				return refused(err)
			}
			q.Unit, q.HasUnit = u, true
		}
		if v.limited {
			if !(v.within >= 0) || math.IsInf(v.within, 0) {
				return refuse("write the instrument's limits as a positive number", "within is %v", v.within)
			}
			q.U, q.HasU = quantity.Limits{Within: v.within}.U(0), true
		}
	default:
		return refuse(numberHint(r), "%q is a number, not %s", r.ID, v.describe())
	}
	if math.IsNaN(q.Value) || math.IsInf(q.Value, 0) {
		return refuse("leave the reading out, or write null, where it was not taken", "%v is not a reading", q.Value)
	}
	q, err := q.In(r.Unit)
	if err != nil {
		return refused(err)
	}
	u := q.U
	if !q.HasU {
		u = r.Accuracy.U(q.Value)
	}
	if math.Abs(q.Value) > huge || u > huge {
		return refuse("", "no instrument reads that much")
	}
	into.SetNumber(r.Index, q.Value, u)
	return nil
}

func numberHint(r *rulefile.Reading) string {
	if s := r.Unit.String(); s != "" {
		return "write a number in " + s + ", or text with a unit"
	}
	return "write a plain number"
}

func (v Value) setYesNo(r *rulefile.Reading, into *truth.Values) *valueError {
	yes := v.yes
	switch {
	case v.form == asYesNo:
	case v.form == asText && (v.text == "yes" || v.text == "true"):
		yes = true
	case v.form == asText && (v.text == "no" || v.text == "false"):
		yes = false
	default:
		return refuse("write yes or no (in JSON true or false)", "%q is yes or no, not %s", r.ID, v.describe())
	}
	into.SetYesNo(r.Index, yes)
	return nil
}

func (v Value) setChoice(r *rulefile.Reading, into *truth.Values) *valueError {
	among := "it is one of " + strings.Join(r.Among, ", ")
	if v.form != asText {
		return refuse(among, "%q is a word, not %s", r.ID, v.describe())
	}
	word := slices.Index(r.Among, v.text)
	if word < 0 {
		if near := source.Nearest(v.text, r.Among); near != "" {
			among = fmt.Sprintf("did you mean %q?", near)
		}
		return refuse(among, "%q is never %q", r.ID, short(v.text))
	}
	into.SetChoice(r.Index, word)
	return nil
}

func (v Value) setTrace(r *rulefile.Reading, into *truth.Values) *valueError {
	const form = `write {"every": "50 ms", "values": [0.1, 0.8, …]}`
	if v.form != asTrace {
		return refuse(form, "%q is a trace, not %s", r.ID, v.describe())
	}
	every, err := quantity.Parse(v.text)
	if err == nil {
		every, err = every.In(quantity.Second)
	}
	if err != nil {
		e := refused(err)
		e.text = "every: " + e.text
		return e
	}
	if slices.ContainsFunc(v.samples, func(x float64) bool { return math.Abs(x) > huge }) {
		return refuse("", "no instrument reads that much")
	}
	samples, err := truth.NewSamples(every.Value, v.samples)
	if err != nil {
		return refused(err)
	}
	into.SetTrace(r.Index, samples, r.Accuracy.U(0))
	return nil
}

// describe names a value in a sentence.
func (v Value) describe() string {
	switch v.form {
	case asNumber, asMeasured:
		return "the number " + quantity.Number(v.number)
	case asText:
		return fmt.Sprintf("%q", short(v.text))
	case asYesNo:
		return map[bool]string{true: "yes", false: "no"}[v.yes]
	case asTrace:
		return "a trace"
	}
	return "nothing"
}
