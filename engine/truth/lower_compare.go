package truth

import (
	"github.com/expr-lang/expr/ast"

	"culprit/engine/quantity"
)

// maxPieces is how many comparisons one with abs, min or max may fall into.
const maxPieces = 64

// comparison lowers `a < b` and its like. What is shown of it is the number on
// the left against its limit, unless only the one on the right has readings.
func (c *compiler) comparison(n *ast.BinaryNode) (*logic, error) {
	left, err := c.number(n.Left)
	if err != nil {
		return nil, err
	}
	right, err := c.number(n.Right)
	if err != nil {
		return nil, err
	}
	if err := c.sameUnit(n, left, right); err != nil {
		return nil, err
	}
	lesser, greater := left, right
	if n.Operator[0] == '>' {
		lesser, greater = right, left
	}
	seen := &shown{value: left}
	if _, fixed := left.constant(); fixed {
		if _, both := right.constant(); both {
			return nil, c.fail(n, "compare a reading with a limit", "this comparison has no reading in it")
		}
		seen.value = right
	}
	if seen.value == lesser {
		seen.to = greater
	} else {
		seen.from = lesser
	}
	c.pieces = 0
	return c.whole(n, c.below(lesser, greater, len(n.Operator) == 2), seen)
}

// between lowers between(x, a, b), both ends included.
func (c *compiler) between(n *ast.CallNode) (*logic, error) {
	var arg [3]*number
	for i := range arg {
		a, err := c.number(n.Arguments[i])
		if err != nil {
			return nil, err
		}
		arg[i] = a
	}
	if err := c.sameUnit(n, arg[0], arg[1], arg[2]); err != nil {
		return nil, err
	}
	x := arg[0]
	from, fixedFrom := arg[1].constant()
	to, fixedTo := arg[2].constant()
	if fixedFrom && fixedTo {
		if from > to {
			return nil, c.fail(n.Arguments[1], "write the lower limit first", "nothing lies between %s and %s", quantity.Number(from), quantity.Number(to))
		}
		if _, fixed := x.constant(); fixed {
			return nil, c.fail(n, "compare a reading with limits", "this comparison has no reading in it")
		}
	}
	seen := &shown{value: x, from: arg[1], to: arg[2]}
	c.pieces = 0
	if fixedFrom && fixedTo && x.plain() {
		return c.whole(n, c.within(x, edge{from, true, true}, edge{to, true, true}), seen)
	}
	return c.whole(n, both(opAnd, c.below(arg[1], x, true), c.below(x, arg[2], true)), seen)
}

// whole wraps a comparison so that it is shown as it was written.
func (c *compiler) whole(n ast.Node, exact *logic, seen *shown) (*logic, error) {
	if c.pieces > maxPieces {
		return nil, c.fail(n, "compare fewer numbers at once", "this comparison falls into more than %d", maxPieces)
	}
	return &logic{op: opWhole, left: exact, shown: seen, text: said(n)}, nil
}

// below lowers l < r, exactly where either is a least, a greatest or a size
// without sign: max(a, b) < r says that a < r and b < r, and abs(a) is the
// greater of a and -a.
func (c *compiler) below(l, r *number, inclusive bool) *logic {
	if c.pieces > maxPieces {
		return nil // whole refuses it
	}
	switch {
	case l.op == opMax, l.op == opMin:
		return each(l, l.op == opMax, func(a *number) *logic { return c.below(a, r, inclusive) })
	case r.op == opMax, r.op == opMin:
		return each(r, r.op == opMin, func(a *number) *logic { return c.below(l, a, inclusive) })
	}
	from, fixedFrom := l.constant()
	to, fixedTo := r.constant()
	switch {
	case l.op == opAbs && fixedTo && l.args[0].plain():
		return c.within(l.args[0], edge{-to, true, inclusive}, edge{to, true, inclusive})
	case r.op == opAbs && fixedFrom && r.args[0].plain():
		return both(opOr, c.within(r.args[0], edge{}, edge{-from, true, inclusive}), c.within(r.args[0], edge{from, true, inclusive}, edge{}))
	case l.op == opAbs:
		return both(opAnd, c.below(l.args[0], r, inclusive), c.below(negate(l.args[0]), r, inclusive))
	case r.op == opAbs:
		return both(opOr, c.below(l, r.args[0], inclusive), c.below(l, negate(r.args[0]), inclusive))
	case fixedTo:
		return c.within(l, edge{}, edge{to, true, inclusive})
	case fixedFrom:
		return c.within(r, edge{from, true, inclusive}, edge{})
	}
	return c.within(&number{op: opSub, args: []*number{l, r}}, edge{}, edge{0, true, inclusive})
}

func (c *compiler) within(x *number, from, to edge) *logic {
	c.pieces++
	return &logic{op: opWithin, value: x, from: from, to: to}
}

func both(op logicOp, left, right *logic) *logic { return &logic{op: op, left: left, right: right} }

// each joins what is asked of every argument: all of them, or any.
func each(n *number, all bool, ask func(*number) *logic) *logic {
	op := opOr
	if all {
		op = opAnd
	}
	joined := ask(n.args[0])
	for _, a := range n.args[1:] {
		joined = both(op, joined, ask(a))
	}
	return joined
}

// plain reports whether a comparison of the number needs no splitting.
func (n *number) plain() bool { return n.op != opAbs && n.op != opMin && n.op != opMax }

// negate is the number with the other sign, such that a least stays a least or
// a greatest on the outside.
func negate(x *number) *number {
	out := &number{unit: x.unit, loose: x.loose, points: -x.points}
	switch x.op {
	case opLiteral:
		out.op, out.literal = opLiteral, -x.literal
	case opNeg:
		return x.args[0]
	case opMin, opMax:
		out.op = opMin + opMax - x.op
		for _, a := range x.args {
			out.args = append(out.args, negate(a))
		}
	case opAbs: // -abs(a) is the lesser of a and -a
		out.op, out.args = opMin, []*number{x.args[0], negate(x.args[0])}
	default:
		out.op, out.args = opNeg, []*number{x}
	}
	return out
}
