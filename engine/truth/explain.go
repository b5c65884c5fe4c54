package truth

import (
	"slices"

	"culprit/engine/quantity"
)

// Lack is something that an expression waits for: a reading that was not taken,
// or a figure of its specification, or arithmetic that has no answer.
type Lack struct {
	Reading int
	Figure  bool   // the reading's specification is missing, not the reading
	Reason  string // why the arithmetic has no answer; else empty
}

// Lacks names what keeps an expression from being decided, in the order in
// which it asks. Readings that could not change the answer are left out.
func (e *Expr) Lacks(v *Values) []Lack {
	l := lacker{v: v}
	if e.logic != nil {
		l.logic(e.logic)
	} else {
		l.number(e.value)
	}
	return l.lacks
}

type lacker struct {
	v     *Values
	lacks []Lack
}

func (l *lacker) add(lack Lack) {
	if !slices.Contains(l.lacks, lack) {
		l.lacks = append(l.lacks, lack)
	}
}

func (l *lacker) logic(n *logic) {
	if (&Expr{scope: l.v.scope, logic: n}).Truth(l.v).Settled() {
		return
	}
	switch n.op {
	case opAnd, opOr:
		l.logic(n.left)
		l.logic(n.right)
	case opNot:
		l.logic(n.left)
	case opFlag:
		if e := l.v.scope.from[n.reading]; e != nil {
			l.logic(e.logic)
			return
		}
		l.add(Lack{Reading: n.reading})
	case opSame:
		l.add(Lack{Reading: n.reading})
	case opToggle:
		g := &l.v.given[n.reading]
		if !g.known {
			l.add(Lack{Reading: n.reading})
		} else if _, err := g.samples.toggles(); err != nil {
			l.add(Lack{Reading: n.reading, Reason: err.Error()})
		}
	case opOK, opHigh, opLow:
		l.reading(n.reading)
		if _, _, ok := specEdges(n.op, l.v.specs[n.reading]); !ok {
			l.add(Lack{Reading: n.reading, Figure: true})
		}
	case opWithin:
		l.number(n.value)
	}
}

func (l *lacker) reading(i int) {
	if l.v.reading(i).status == known {
		return
	}
	if e := l.v.scope.from[i]; e != nil && e.value != nil {
		before := len(l.lacks)
		l.number(e.value)
		if r := l.v.reading(i); r.status == impossible && len(l.lacks) == before {
			l.add(Lack{Reading: i, Reason: r.reason})
		}
		return
	}
	l.add(Lack{Reading: i})
}

func (l *lacker) number(n *number) {
	switch n.op {
	case opReading:
		l.reading(n.reading)
	case opReference:
		if !l.v.specs[n.reading].HasReference {
			l.add(Lack{Reading: n.reading, Figure: true})
		}
	case opTrace:
		r := n.evaluate(l.v)
		if r.status != known {
			l.add(Lack{Reading: n.reading, Reason: r.reason})
		}
	}
	for _, a := range n.args {
		l.number(a)
	}
}

// Comparison is one question that an expression asks, with its answer.
type Comparison struct {
	Text    string // as the rule says it
	Reads   []int  // the readings it names itself
	Truth   Truth  // of this question alone
	Negated bool   // it stands under a not

	AgainstSpec bool // it is ok, high or low: held against the specification

	// Of comparisons of numbers: the value and its standard uncertainty, and
	// the limits that it is held against.
	Numeric        bool
	Known          bool
	Value, U       float64
	Unit           quantity.Unit
	From, To       float64
	HasFrom, HasTo bool
}

// Comparisons lists the questions of an expression, each with value, limit and
// probability, in the order in which they are written.
func (e *Expr) Comparisons(v *Values) []Comparison {
	if e.logic == nil {
		return nil
	}
	var all []Comparison
	var walk func(n *logic, negated bool)
	walk = func(n *logic, negated bool) {
		switch n.op {
		case opAnd, opOr:
			walk(n.left, negated)
			walk(n.right, negated)
		case opNot:
			walk(n.left, !negated)
		default:
			c := n.comparison(v)
			c.Negated = negated
			if len(c.Reads) == 0 { // an argument of min or max that is a limit itself
				return
			}
			all = append(all, c)
		}
	}
	walk(e.logic, false)
	return all
}

func (n *logic) comparison(v *Values) Comparison {
	c := Comparison{Text: n.text, Truth: (&Expr{scope: v.scope, logic: n}).Truth(v)}
	var x result
	switch n.op {
	case opWithin:
		x = n.value.evaluate(v)
		c.Unit = n.value.unit
		c.Reads = n.value.reads(nil)
		c.limits(n.from, n.to)
	case opOK, opHigh, opLow:
		x = v.reading(n.reading)
		c.AgainstSpec = true
		c.Unit = v.scope.readings[n.reading].Unit
		c.Reads = []int{n.reading}
		if from, to, ok := specEdges(n.op, v.specs[n.reading]); ok {
			c.limits(from, to)
		}
	default:
		c.Reads = []int{n.reading}
		c.Known = v.Known(n.reading)
		return c
	}
	c.Numeric = true
	c.Known = x.status == known
	if c.Known {
		c.Value, c.U = x.value, v.uncertainty(x.terms)
	}
	return c
}

func (c *Comparison) limits(from, to edge) {
	c.From, c.HasFrom = from.at, from.bounded
	c.To, c.HasTo = to.at, to.bounded
}

// reads appends, ascending, the readings that a number names.
func (n *number) reads(into []int) []int {
	switch n.op {
	case opReading, opReference, opTrace:
		into = insert(into, n.reading)
	}
	for _, a := range n.args {
		into = a.reads(into)
	}
	return into
}
