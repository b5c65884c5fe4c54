package truth

import "culprit/engine/quantity"

// Comparison is one question that an expression asks, with its answer.
type Comparison struct {
	Text    string // as the rule says it
	Reads   []int  // the readings it names itself, ascending
	Truth   Truth  // of this question alone
	Negated bool   // it stands under a not

	AgainstSpec bool // it is ok, high or low: held against the specification

	// Of comparisons of numbers: the value with its standard uncertainty, and
	// the limits that it is held against. Where both sides hold readings, value
	// is the left one and the limit what the right one comes to; Truth alone
	// knows the uncertainty of both together.
	Numeric        bool
	Known          bool // of other questions: whether the reading is known
	Value, U       float64
	Unit           quantity.Unit
	From, To       float64
	HasFrom, HasTo bool
}

// Comparisons lists the questions of an expression, each with value, limit and
// probability, in the order in which they are written. Every question names at
// least one reading.
func (e *Expr) Comparisons(v *Values) []Comparison {
	if e.logic == nil {
		return nil
	}
	return e.logic.comparisons(v, false, nil)
}

func (n *logic) comparisons(v *Values, negated bool, into []Comparison) []Comparison {
	switch n.op {
	case opAnd, opOr:
		return n.right.comparisons(v, negated, n.left.comparisons(v, negated, into))
	case opNot:
		return n.left.comparisons(v, !negated, into)
	}
	c := n.comparison(v)
	c.Negated = negated
	return append(into, c)
}

func (n *logic) comparison(v *Values) Comparison {
	t, _ := v.ask(n)
	c := Comparison{Text: n.text, Truth: t}
	switch n.op {
	case opWhole:
		s := n.shown
		c.Unit = s.value.unit
		c.Reads = s.to.reads(s.from.reads(s.value.reads(nil)))
		c.From, c.HasFrom = s.from.limit(v)
		c.To, c.HasTo = s.to.limit(v)
		v.fresh()
		c.measured(v, s.value.evaluate(v))
	case opOK, opHigh, opLow:
		c.AgainstSpec = true
		c.Reads = []int{n.reading}
		c.Unit = v.scope.readings[n.reading].Unit
		if from, to, ok := specEdges(n.op, &v.specs[n.reading]); ok {
			c.From, c.HasFrom = from.at, from.bounded
			c.To, c.HasTo = to.at, to.bounded
		}
		c.measured(v, *v.reading(n.reading))
	default:
		c.Reads = []int{n.reading}
		c.Known = v.Known(n.reading)
	}
	return c
}

func (c *Comparison) measured(v *Values, r result) {
	c.Numeric = true
	c.Value, c.U, c.Known = r.number(v)
}

// limit is what a limit comes to; ok is false where there is none, or where it
// cannot be told.
func (n *number) limit(v *Values) (at float64, ok bool) {
	if n == nil {
		return 0, false
	}
	v.fresh()
	at, _, ok = n.evaluate(v).number(v)
	return at, ok
}
