package engine

import (
	"math"
	"slices"
	"strings"

	"culprit/engine/quantity"
	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

var negativeInf, positiveInf = math.Inf(-1), math.Inf(1)

// notTakenText stands for a value that is not there.
const notTakenText = "not taken"

// asks lists the questions of a rule with their answers, each once.
func (p *Pack) asks(r *rulefile.Rule, s *session) []Asked {
	out := []Asked{}
	for _, c := range r.When.Comparisons(s.values) {
		a := Asked{Text: c.Text, Negated: c.Negated, Truth: graded(c.Truth), Readings: []string{}}
		for _, i := range c.Reads {
			a.Readings = append(a.Readings, p.rules.Readings[i].ID)
		}
		if c.Numeric {
			a.numeric(&c)
			a.Limit = p.limitText(&c, s)
		} else {
			a.Value = p.valueText(c.Reads[0], s)
		}
		if !slices.ContainsFunc(out, func(b Asked) bool { return a.Text == b.Text && a.Negated == b.Negated }) {
			out = append(out, a)
		}
	}
	return slices.DeleteFunc(slices.Clone(out), func(a Asked) bool { return a.saysNoMoreThan(out) })
}

// saysNoMoreThan tells of a question without a limit, such as whether a reading
// is known, that another question tells the same reading with its limit.
func (a *Asked) saysNoMoreThan(others []Asked) bool {
	return a.Limit == "" && len(a.Readings) == 1 && slices.ContainsFunc(others, func(b Asked) bool {
		return b.Limit != "" && slices.Contains(b.Readings, a.Readings[0])
	})
}

func (a *Asked) numeric(c *truth.Comparison) {
	a.Value = notTakenText
	if c.Known {
		a.Value = quantity.Format(c.Value, c.U, c.Unit)
		value := c.Value
		a.Number = &value
	}
	if c.HasFrom {
		from := c.From
		a.From = &from
	}
	if c.HasTo {
		to := c.To
		a.To = &to
	}
}

// limitText writes what a number was held against: the whole specification
// where the rule asks for it, else the limits of the comparison.
func (p *Pack) limitText(c *truth.Comparison, s *session) string {
	if c.AgainstSpec {
		spec := s.values.Spec(c.Reads[0])
		if spec == (truth.Spec{}) {
			return "no figure given"
		}
		return "in order: " + limits(spec, c.Unit).Text
	}
	switch {
	case c.HasFrom && c.HasTo:
		return rangeText(c.From, c.To, c.Unit)
	case c.HasFrom:
		return "limit " + strings.TrimPrefix(rangeText(c.From, positiveInf, c.Unit), "at least ")
	case c.HasTo:
		return "limit " + strings.TrimPrefix(rangeText(negativeInf, c.To, c.Unit), "at most ")
	}
	return ""
}

// valueText writes the value of a reading that is not compared with a limit.
func (p *Pack) valueText(i int, s *session) string {
	if !s.values.Known(i) {
		return notTakenText
	}
	var r Reading
	r.fill(p.rules.Readings[i], s.values)
	return r.Text
}
