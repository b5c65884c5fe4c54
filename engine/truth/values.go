package truth

import (
	"math"
	"slices"
)

// Values are the readings and figures of one job. A Values belongs to one
// goroutine: evaluating writes what derived readings come to into it.
type Values struct {
	scope   *Scope
	given   []given
	specs   []Spec
	derived []derived
	arena   []term // sensitivities of derived readings
	joint   joint  // scratch of the joint probability
}

// given is a reading as the job gives it.
type given struct {
	known   bool
	value   float64 // numbers
	u       float64 // numbers and traces: standard uncertainty
	yes     bool
	word    int
	samples *Samples
}

// derived remembers a derived number once it has been worked out.
type derived struct {
	done   bool
	result result
}

// Values makes an empty set: nothing known.
func (s *Scope) Values() *Values {
	return &Values{
		scope:   s,
		given:   make([]given, len(s.readings)),
		specs:   make([]Spec, len(s.readings)),
		derived: make([]derived, len(s.readings)),
	}
}

// Reset forgets everything, so that a Values can serve the next job.
func (v *Values) Reset() {
	clear(v.given)
	clear(v.specs)
	clear(v.derived)
	v.arena = v.arena[:0]
}

// SetNumber gives a number in the reading's unit with its standard
// uncertainty. Both must be finite, u not negative.
func (v *Values) SetNumber(reading int, value, u float64) {
	v.given[reading] = given{known: true, value: value, u: u}
	v.forget()
}

// SetYesNo gives a yes/no reading.
func (v *Values) SetYesNo(reading int, yes bool) {
	v.given[reading] = given{known: true, yes: yes}
	v.forget()
}

// SetChoice gives a choice by the index of its word.
func (v *Values) SetChoice(reading, word int) {
	v.given[reading] = given{known: true, word: word}
	v.forget()
}

// SetTrace gives a trace; u is the standard uncertainty of the meter, which
// shifts all samples alike.
func (v *Values) SetTrace(reading int, t *Samples, u float64) {
	v.given[reading] = given{known: true, samples: t, u: u}
	v.forget()
}

// Unset forgets one reading.
func (v *Values) Unset(reading int) {
	v.given[reading] = given{}
	v.forget()
}

// SetSpec gives a car's figures for a reading.
func (v *Values) SetSpec(reading int, s Spec) {
	v.specs[reading] = s
	v.forget()
}

// Spec is what SetSpec gave.
func (v *Values) Spec(reading int) Spec { return v.specs[reading] }

// Given reports whether the job gives the reading itself.
func (v *Values) Given(reading int) bool { return v.given[reading].known }

// Word is the index of the word of a given choice.
func (v *Values) Word(reading int) int { return v.given[reading].word }

// Samples is a given trace, nil where there is none.
func (v *Values) Samples(reading int) *Samples { return v.given[reading].samples }

// InSpec is the probability that a number lies inside its specification, an
// open question where number or specification is missing.
func (v *Values) InSpec(reading int) Truth {
	return (&Expr{scope: v.scope, logic: &logic{op: opOK, reading: reading}}).Truth(v)
}

func (v *Values) forget() {
	clear(v.derived)
	v.arena = v.arena[:0]
}

// Number is a reading's value and standard uncertainty, given or derived; ok
// is false where it is unknown.
func (v *Values) Number(reading int) (value, u float64, ok bool) {
	r := v.reading(reading)
	if r.status != known {
		return 0, 0, false
	}
	return r.value, v.uncertainty(r.terms), true
}

// YesNo is the truth of a yes/no reading, given or derived.
func (v *Values) YesNo(reading int) Truth {
	if g := &v.given[reading]; g.known {
		return certain(g.yes)
	}
	if e := v.scope.from[reading]; e != nil {
		return e.Truth(v)
	}
	return Truth{0, 1}
}

// Known reports whether a reading was taken or can be derived. A derived
// yes/no reading counts as known when its truth is more than an open question.
func (v *Values) Known(reading int) bool {
	if v.given[reading].known {
		return true
	}
	switch e := v.scope.from[reading]; {
	case e == nil:
		return false
	case e.kind == Number:
		return v.reading(reading).status == known
	default:
		return e.Truth(v).Settled()
	}
}

// status says whether a number could be had. The zero value is unknown, so
// that a result nobody filled in is never taken for a number.
type status uint8

const (
	unknown    status = iota
	known             //
	impossible        // the readings are there, but the arithmetic has no answer
)

// result is a number with its sensitivity to every uncertain reading.
type result struct {
	status status
	value  float64
	terms  []term
	reason string // of an impossible result
}

// term is the partial derivative by one reading, or by the timing of a trace,
// which stands at its reading's index plus the number of readings.
type term struct {
	reading int
	slope   float64
}

// spread is the standard uncertainty of what a term is a derivative by. The
// timing of a trace is counted in its own standard uncertainty.
func (v *Values) spread(i int) float64 {
	if i >= len(v.given) {
		return 1
	}
	return v.given[i].u
}

// reading evaluates a number by its index: given first, else derived.
func (v *Values) reading(i int) result {
	if g := &v.given[i]; g.known {
		if g.u == 0 {
			return result{status: known, value: g.value}
		}
		return result{status: known, value: g.value, terms: v.keep(term{i, 1})}
	}
	e := v.scope.from[i]
	if e == nil || e.value == nil {
		return result{}
	}
	d := &v.derived[i]
	if !d.done {
		*d = derived{done: true, result: e.value.evaluate(v)}
	}
	return d.result
}

// keep stores terms until the job changes.
func (v *Values) keep(terms ...term) []term {
	if len(terms) == 0 {
		return nil
	}
	start := len(v.arena)
	v.arena = append(v.arena, terms...)
	return slices.Clip(v.arena[start:])
}

// uncertainty is the standard uncertainty of a result by the law of
// propagation, the readings being independent (JCGM 100:2008, 5.1.2).
func (v *Values) uncertainty(terms []term) float64 {
	sum := 0.0
	for _, t := range terms {
		c := t.slope * v.spread(t.reading)
		sum += c * c
	}
	return math.Sqrt(sum)
}

// covariance of two results through the readings they share (JCGM 100:2008,
// F.1.2.3, equation F.2). Terms are ascending by reading.
func (v *Values) covariance(a, b []term) float64 {
	sum := 0.0
	for len(a) > 0 && len(b) > 0 {
		switch x, y := a[0], b[0]; {
		case x.reading < y.reading:
			a = a[1:]
		case x.reading > y.reading:
			b = b[1:]
		default:
			u := v.spread(x.reading)
			sum += x.slope * y.slope * u * u
			a, b = a[1:], b[1:]
		}
	}
	return sum
}
