package truth

import "slices"

// Lack is something that an expression waits for: a reading that was not taken,
// or a figure of its specification, or arithmetic that has no answer.
type Lack struct {
	Reading int
	Figure  bool   // the reading's specification is missing, not the reading
	Reason  string // why there is no answer although the reading is there; else empty
}

// Lacks names what keeps an expression from being decided, in the order in
// which it asks. Readings that could not change the answer are left out, and
// so are those that could change it by less than [Tolerance], unless they are
// all there is. A settled expression lacks nothing.
func (e *Expr) Lacks(v *Values) []Lack {
	l := lacker{v: v, tolerance: Tolerance}
	if e.logic == nil {
		v.fresh()
		if r := e.value.evaluate(v); r.status != known {
			l.number(e.value, r)
		}
		return l.lacks
	}
	t, overfull := v.ask(e.logic)
	if t.Settled() {
		return nil
	}
	l.logic(e.logic)
	if len(l.lacks) == 0 { // many small ones
		l = lacker{v: v}
		l.logic(e.logic)
	}
	if len(l.lacks) == 0 && overfull && len(e.reads) > 0 {
		l.add(Lack{Reading: e.reads[0], Reason: "the expression and what is derived for it compare more readings at once than can be joined exactly"})
	}
	return l.lacks
}

type lacker struct {
	v         *Values
	tolerance float64
	walked    []int // derived readings
	lacks     []Lack
}

func (l *lacker) add(lack Lack) {
	if !slices.Contains(l.lacks, lack) {
		l.lacks = append(l.lacks, lack)
	}
}

// enter reports whether a derived reading has not been looked into yet.
func (l *lacker) enter(reading int) bool {
	if slices.Contains(l.walked, reading) {
		return false
	}
	l.walked = append(l.walked, reading)
	return true
}

func (l *lacker) logic(n *logic) {
	switch n.op {
	case opNot, opWhole:
		l.logic(n.left)
		return
	case opAnd, opOr:
		if t, _ := l.v.ask(n); t.Most-t.Least > l.tolerance {
			l.parts(n, n.op)
		}
		return
	case opFlag:
		if e := l.v.scope.from[n.reading]; e != nil && !l.v.given[n.reading].known {
			if l.enter(n.reading) {
				l.logic(e.logic)
			}
			return
		}
	}
	if t, _ := l.v.ask(n); t.Most-t.Least > l.tolerance {
		l.question(n)
	}
}

// parts looks into a junction of junctions of one sort, whose parts alone can
// be settled: a whole that is open has none that settles it.
func (l *lacker) parts(n *logic, op logicOp) {
	for _, side := range [2]*logic{n.left, n.right} {
		if side.op == op {
			l.parts(side, op)
		} else {
			l.logic(side)
		}
	}
}

// question names what an open question waits for.
func (l *lacker) question(n *logic) {
	switch n.op {
	case opFlag, opSame:
		l.add(Lack{Reading: n.reading})
	case opToggle:
		g := &l.v.given[n.reading]
		if !g.known {
			l.add(Lack{Reading: n.reading})
		} else if err := g.trace().togglesErr; err != nil {
			l.add(Lack{Reading: n.reading, Reason: err.Error()})
		}
	case opOK, opHigh, opLow:
		l.reading(n.reading)
		if _, _, ok := specEdges(n.op, &l.v.specs[n.reading]); !ok {
			l.add(Lack{Reading: n.reading, Figure: true})
		}
	case opWithin:
		l.v.fresh()
		l.number(n.value, n.value.evaluate(l.v))
	}
}

// reading names what a number waits for.
func (l *lacker) reading(i int) {
	r := l.v.reading(i)
	if r.status == known {
		return
	}
	e := l.v.scope.from[i]
	if e == nil || e.value == nil {
		l.add(Lack{Reading: i})
		return
	}
	if l.enter(i) && !l.operands(e.value) && r.status == impossible {
		l.add(Lack{Reading: i, Reason: r.reason})
	}
}

// number names what arithmetic without a result waits for.
func (l *lacker) number(n *number, r result) {
	if r.status == known || l.operands(n) || r.status != impossible {
		return
	}
	// Everything is there: the arithmetic itself has no answer.
	if reads := n.reads(nil); len(reads) > 0 {
		l.add(Lack{Reading: reads[0], Reason: r.reason})
	}
}

// operands names what the readings below a number wait for, and reports whether
// there was any.
func (l *lacker) operands(n *number) bool {
	found := false
	switch n.op {
	case opReading:
		if l.v.reading(n.reading).status != known {
			l.reading(n.reading)
			found = true
		}
	case opReference:
		if !l.v.specs[n.reading].HasReference {
			l.add(Lack{Reading: n.reading, Figure: true})
			found = true
		}
	case opTrace:
		if r := n.evaluate(l.v); r.status != known {
			l.add(Lack{Reading: n.reading, Reason: r.reason})
			found = true
		}
	}
	for _, a := range n.args {
		found = l.operands(a) || found
	}
	return found
}
