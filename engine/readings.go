package engine

import (
	"fmt"
	"math"

	"culprit/engine/quantity"
	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

// describeReadings lists what the job gives and what follows from it, and the
// readings that are hardly possible.
func (p *Pack) describeReadings(v *Verdict, s *session) {
	v.Readings, v.Doubtful = []Reading{}, []Doubt{}
	for _, r := range p.rules.Readings {
		given := s.values.Given(r.Index) && !s.assumes(r)
		if !given && (r.From == nil || !s.values.Known(r.Index)) {
			continue
		}
		out := Reading{Reading: r.ID, Label: r.Label, Kind: r.Kind.String(), Unit: r.Unit.String(), Derived: !given}
		out.fill(r, s.values)
		v.Readings = append(v.Readings, out)
		if implausible(r, s.values) {
			do := "look at the unit and take it again"
			if out.Derived {
				do = "look at the readings that it is worked out from"
			}
			v.Doubtful = append(v.Doubtful, Doubt{Reading: r.ID,
				Text: fmt.Sprintf("%s is hardly possible: %s is expected; %s", out.Text, rangeText(r.Plausible.From, r.Plausible.To, r.Unit), do)})
		}
		if given && r.From != nil {
			v.Doubtful = append(v.Doubtful, disagreement(r, &out, s.values)...)
		}
	}
}

// farApart is how many standard uncertainties a reading may lie from what the
// readings behind it make of it before that is called a disagreement. A judgement.
const farApart = 3

// disagrees tells whether a reading that the job gives is not what the readings it
// could be worked out from make of it.
func disagrees(r *rulefile.Reading, values *truth.Values) bool {
	switch r.Kind {
	case truth.Number:
		derived, du, ok := r.From.Number(values)
		given, gu, _ := values.Number(r.Index)
		return ok && math.Abs(derived-given) > farApart*math.Hypot(du, gu)+1e-9*math.Abs(derived)
	case truth.YesNo:
		t := r.From.Truth(values)
		return t.Settled() && math.Abs(t.Middle()-values.YesNo(r.Index).Middle()) >= 0.9
	}
	return false
}

// disagreement says what the readings behind a reading make of it, where it disagrees
// with them.
func disagreement(r *rulefile.Reading, out *Reading, values *truth.Values) []Doubt {
	if !disagrees(r, values) {
		return nil
	}
	var derived string
	if r.Kind == truth.Number {
		value, u, _ := r.From.Number(values)
		derived = quantity.Format(value, u, r.Unit)
	} else {
		derived = yesNo(r.From.Truth(values).Middle())
	}
	return []Doubt{{Reading: r.ID, Text: fmt.Sprintf("is given as %s, but %s makes it %s; what is given counts", out.Text, r.FromText, derived)}}
}

// implausible tells whether a number is known and hardly possible.
func implausible(r *rulefile.Reading, values *truth.Values) bool {
	if r.Kind != truth.Number || r.Plausible == nil {
		return false
	}
	value, _, ok := values.Number(r.Index)
	return ok && (value < r.Plausible.From || value > r.Plausible.To)
}

func (s *session) assumes(r *rulefile.Reading) bool {
	for _, a := range s.assumed {
		if a == r {
			return true
		}
	}
	return false
}

func (out *Reading) fill(r *rulefile.Reading, values *truth.Values) {
	switch r.Kind {
	case truth.Number:
		value, u, ok := values.Number(r.Index)
		if !ok {
			return
		}
		out.Value, out.Uncertainty = &value, &u
		out.Text = quantity.Format(value, u, r.Unit)
		if spec := values.Spec(r.Index); spec != (truth.Spec{}) {
			out.Limits = limits(spec, r.Unit)
			in := graded(values.InSpec(r.Index))
			out.InSpec = &in
		}
	case truth.YesNo:
		t := values.YesNo(r.Index)
		yes := t.Middle()
		out.Probability = &yes
		out.Text = yesNo(yes)
	case truth.Choice:
		out.Word = r.Among[values.Word(r.Index)]
		out.Text = out.Word
	default:
		out.Text = fmt.Sprintf("trace of %.3g s", values.Samples(r.Index).Seconds())
	}
}

func yesNo(p float64) string {
	switch {
	case p > 0.95:
		return "yes"
	case p < 0.05:
		return "no"
	}
	return fmt.Sprintf("yes, with probability %.2f", p)
}

func limits(s truth.Spec, u quantity.Unit) *Limits {
	l := &Limits{}
	from, to := negativeInf, positiveInf
	if s.HasFrom {
		l.From, from = &s.From, s.From
	}
	if s.HasTo {
		l.To, to = &s.To, s.To
	}
	if s.HasReference {
		l.Reference = &s.Reference
	}
	l.Text = rangeText(from, to, u)
	return l
}

// rangeText writes a range for a person; an infinite end is left open.
func rangeText(from, to float64, u quantity.Unit) string {
	unit := u.String()
	if unit != "" {
		unit = " " + unit
	}
	a, b := quantity.Number(from), quantity.Number(to)
	switch {
	case from == negativeInf && to == positiveInf:
		return "any value"
	case from == negativeInf:
		return "at most " + b + unit
	case to == positiveInf:
		return "at least " + a + unit
	case from < 0 || to < 0:
		return a + " to " + b + unit
	}
	return a + "-" + b + unit
}
