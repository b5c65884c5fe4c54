package truth

// Bearing lists, ascending, the readings that bear on a [YesNo] expression: those that
// it names, and those behind derived ones. While a job gives none of them the truth is
// always the same, unless figures says that the figures of a car can settle a part
// of it by themselves.
func (e *Expr) Bearing() (readings []int, figures bool) {
	b := bearing{scope: e.scope}
	b.logic(e.logic)
	return b.readings, b.figures
}

type bearing struct {
	scope    *Scope
	readings []int
	figures  bool
}

func (b *bearing) logic(n *logic) {
	switch n.op {
	case opAnd, opOr:
		b.logic(n.left)
		b.logic(n.right)
	case opNot, opWhole:
		b.logic(n.left)
	case opWithin:
		if b.number(n.value) {
			b.figures = true
		}
	default:
		if b.reading(n.reading) {
			b.figures = true
		}
	}
}

// number notes what bears on a number, and reports whether it is known though no
// reading is.
func (b *bearing) number(n *number) (settled bool) {
	switch n.op {
	case opLiteral, opReference:
		return true
	case opReading, opTrace:
		return b.reading(n.reading)
	}
	settled = true
	for _, a := range n.args {
		settled = b.number(a) && settled
	}
	return settled
}

// reading notes a reading and what it is derived from; it reports whether it is a
// number that is known though no reading is.
func (b *bearing) reading(i int) (settled bool) {
	b.readings = insert(b.readings, i)
	switch from := b.scope.from[i]; {
	case from == nil:
		return false
	case from.value != nil:
		return b.number(from.value)
	default:
		b.logic(from.logic)
		return false // where figures settle it, logic has said so
	}
}
