package engine

import (
	"fmt"
	"slices"
	"strconv"

	"culprit/engine/quantity"
	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

// Form is a job as a form to be filled in: what can be read, by the check that
// yields it, with what was typed so far.
type Form struct {
	Checks []FormCheck
	// SetUp are the points of the set-up list, in the order of the pack. They stand
	// among the fields of the checks, too.
	SetUp []FormField
}

// FormCheck is a check with the readings that are entered under it.
type FormCheck struct {
	Check
	Fields []FormField
	Also   []Named // what it yields that is entered under another check
}

// FormField is a reading that can be typed, of the set that is being taken.
type FormField struct {
	Named
	Kind  string
	Unit  string
	Units []string // other units in which it is taken
	// Negative says that it may lie below zero.
	Negative bool
	Among    []string
	How      string
	Limits   *Limits
	SetUp    *SetUpOutline // of a point of the set-up list
	Typed    string        // the value as it reads back, "" where it was not taken
	Before   string        // what it was in the last set in which it was taken, for a person
}

// Form gives the form of a job: every reading that some check yields stands under
// one of them, the quickest, and those that none yields under a last one without
// an id. Figures are those of the job's car. The error is a [Problems] as of
// [Pack.Check].
func (p *Pack) Form(j *Job) (*Form, error) {
	if err := p.Check(j); err != nil {
		return nil, err
	}
	b := formBuilder{pack: p, sets: j.InSets(), specs: p.rules.Scope.Values()}
	c := checker{job: j}
	p.setSpecs(&c, b.specs)
	f := &Form{}
	for _, c := range p.rules.Checks {
		out := FormCheck{Check: *p.describeCheck(c)}
		for _, i := range c.Yields {
			if r := p.rules.Readings[i]; p.quickest(i) == c {
				out.Fields = append(out.Fields, b.field(r))
			} else {
				out.Also = append(out.Also, Named{r.ID, r.Label})
			}
		}
		f.Checks = append(f.Checks, out)
	}
	other := FormCheck{}
	for i, r := range p.rules.Readings {
		if p.quickest(i) == nil && (r.From == nil || b.typed(r) != "") {
			other.Fields = append(other.Fields, b.field(r))
		}
		if r.SetUp != nil {
			f.SetUp = append(f.SetUp, b.field(r))
		}
	}
	if len(other.Fields) > 0 {
		f.Checks = append(f.Checks, other)
	}
	return f, nil
}

type formBuilder struct {
	pack  *Pack
	sets  []JobSet
	specs *truth.Values
}

// typed is the value of a reading in the last set, as it reads back.
func (b *formBuilder) typed(r *rulefile.Reading) string {
	text := b.sets[len(b.sets)-1].Readings[r.ID].typed()
	if r.Kind == truth.YesNo {
		switch text {
		case "true":
			return "yes"
		case "false":
			return "no"
		}
	}
	return text
}

func (b *formBuilder) field(r *rulefile.Reading) FormField {
	f := FormField{Named: Named{r.ID, r.Label}, Kind: r.Kind.String(), Unit: r.Unit.String(), Among: r.Among, How: r.How, Typed: b.typed(r)}
	if r.Kind == truth.Number {
		f.Negative = r.Plausible == nil || r.Plausible.From < 0
		for _, u := range quantity.Units(r.Unit.Dimension()) {
			if u != r.Unit {
				f.Units = append(f.Units, u.String())
			}
		}
	}
	if spec := b.specs.Spec(r.Index); spec != (truth.Spec{}) {
		f.Limits = limits(spec, r.Unit)
	}
	if r.SetUp != nil {
		f.SetUp = &SetUpOutline{r.ID, r.Label, r.SetUp.MustBe, r.SetUp.Do}
	}
	for _, set := range slices.Backward(b.sets[:len(b.sets)-1]) {
		if v := set.Readings[r.ID]; v.Taken() {
			f.Before = b.text(r, v)
			break
		}
	}
	return f
}

// text is a value for a person.
func (b *formBuilder) text(r *rulefile.Reading, v Value) string {
	x := b.pack.scratch.Get().(*session)
	defer b.pack.scratch.Put(x)
	x.reset()
	if v.set(r, x.values) != nil {
		return ""
	}
	var out Reading
	out.fill(r, x.values)
	return out.Text
}

// typed is a value as a person types it; a trace is told by its length, which does
// not read back.
func (v Value) typed() string {
	switch v.form {
	case asNumber:
		return plainText(v.number)
	case asText:
		return v.text
	case asYesNo:
		return map[bool]string{true: "yes", false: "no"}[v.yes]
	case asMeasured:
		text := plainText(v.number)
		if v.text != "" {
			text += " " + v.text
		}
		if v.limited {
			text += " ± " + plainText(v.within)
		}
		return text
	case asTrace:
		return "trace"
	}
	return ""
}

// plainText writes a number without an exponent, so that it reads back the same.
func plainText(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// ReadTyped reads what somebody typed for a reading, as an interview takes it: with
// or without a unit, yes or no, a word or a beginning that no other has. Empty text
// is a reading that was not taken. Doubt says that the value is hardly possible; it
// can be taken all the same. The error says why it cannot be, with a hint where
// there is one; that is so of every trace.
func (p *Pack) ReadTyped(id, text string) (v Value, doubt string, refused *Refusal) {
	r := p.rules.Reading(id)
	if r == nil {
		return Value{}, "", &Refusal{fmt.Sprintf("there is no reading %q", short(id)), p.nearReading(id)}
	}
	if text == "" {
		return Value{}, "", nil
	}
	iv := Interview{pack: p}
	v, bad := iv.value(r, text)
	if bad != nil {
		return Value{}, "", &Refusal{bad.text, bad.hint}
	}
	return v, iv.implausible(r, v), nil
}

// Refusal says why a value cannot be taken.
type Refusal struct{ Text, Hint string }

func (r *Refusal) Error() string { return r.Text }
