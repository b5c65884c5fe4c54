package truth

// Values are the readings and figures of one job. A Values belongs to one
// goroutine: evaluating writes what derived readings come to into it.
type Values struct {
	scope *Scope
	given []given
	specs []Spec
	none  result // of what is unknown

	now   uint64 // counts the changes; a memo of another count is stale
	memos []memo
	kept  []term // sensitivities that memos refer to
	arena []term // sensitivities of the evaluation going on

	formulas []*formula // scratch: one for each known() inside a formula
	depth    int        // how many are in use
}

// given is a reading as the job gives it.
type given struct {
	known   bool
	yes     bool
	word    int
	u       float64 // numbers and traces: standard uncertainty
	number  result  // numbers
	self    [1]term // the reading's sensitivity to itself
	samples *Samples
	figures *figures // of samples, once somebody has asked
}

// memo remembers what a derived reading came to.
type memo struct {
	at     uint64 // of which count of changes; 0 is never
	result result // of a number
	truth  kleene // of a yes/no that is no matter of degree
}

// Values makes an empty set: nothing known.
func (s *Scope) Values() *Values {
	return &Values{
		scope: s,
		given: make([]given, len(s.readings)),
		specs: make([]Spec, len(s.readings)),
		memos: make([]memo, len(s.readings)),
		now:   1,
	}
}

// Reset forgets everything, so that a Values can serve the next job.
func (v *Values) Reset() {
	clear(v.given)
	clear(v.specs)
	v.forget()
}

// SetNumber gives a number in the reading's unit with its standard
// uncertainty. Both must be finite, u not negative.
func (v *Values) SetNumber(reading int, value, u float64) {
	v.set(reading, given{number: exactly(value), u: u})
}

// SetYesNo gives a yes/no reading.
func (v *Values) SetYesNo(reading int, yes bool) { v.set(reading, given{yes: yes}) }

// SetChoice gives a choice by the index of its word.
func (v *Values) SetChoice(reading, word int) { v.set(reading, given{word: word}) }

// SetTrace gives a trace, which [NewSamples] has checked; u is the standard
// uncertainty of the meter, which shifts all samples alike.
func (v *Values) SetTrace(reading int, t *Samples, u float64) {
	v.set(reading, given{samples: t, u: u})
}

func (v *Values) set(reading int, g given) {
	g.known = true
	g.self[0] = term{reading, 1}
	v.given[reading] = g
	if into := &v.given[reading]; g.u > 0 {
		into.number.terms = into.self[:]
	}
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

// forget makes every memo stale.
func (v *Values) forget() {
	v.now++
	v.kept = v.kept[:0]
	v.arena = v.arena[:0]
}

// Spec is what SetSpec gave.
func (v *Values) Spec(reading int) Spec { return v.specs[reading] }

// Given reports whether the job gives the reading itself.
func (v *Values) Given(reading int) bool { return v.given[reading].known }

// Word is the index of the word of a given choice.
func (v *Values) Word(reading int) int { return v.given[reading].word }

// Samples is a given trace, nil where there is none.
func (v *Values) Samples(reading int) *Samples { return v.given[reading].samples }

// Number is a reading's value and standard uncertainty, given or derived; ok
// is false where it is unknown.
func (v *Values) Number(reading int) (value, u float64, ok bool) {
	return v.reading(reading).number(v)
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

// InSpec is the probability that a number lies inside its specification, an
// open question where number or specification is missing.
func (v *Values) InSpec(reading int) Truth {
	t, _ := v.ask(&logic{op: opOK, reading: reading})
	return t
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

// trace is what a given trace comes to, worked out when first asked.
func (g *given) trace() *figures {
	if g.figures == nil {
		g.figures = g.samples.figures()
	}
	return g.figures
}
