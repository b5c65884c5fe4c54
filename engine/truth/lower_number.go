package truth

import (
	"math"

	"github.com/expr-lang/expr/ast"

	"culprit/engine/quantity"
)

var arithmetic = map[string]numberOp{"+": opAdd, "-": opSub, "*": opMul, "/": opDiv}

// number lowers a node that is a number.
func (c *compiler) number(n ast.Node) (*number, error) {
	switch n := n.(type) {
	case *ast.FloatNode:
		return &number{op: opLiteral, literal: n.Value, loose: true}, nil
	case *ast.IdentifierNode:
		i := c.reads(n)
		r := c.scope.readings[i]
		if r.Kind != Number {
			return nil, c.fail(n, "", "%q is a %s, not a number", n.Value, r.Kind)
		}
		return &number{op: opReading, reading: i, unit: r.Unit, points: pointsIn(r.Unit)}, nil
	case *ast.UnaryNode:
		return c.sign(n)
	case *ast.BinaryNode:
		if op, ok := arithmetic[n.Operator]; ok {
			return c.combine(n, op, []ast.Node{n.Left, n.Right})
		}
	case *ast.CallNode:
		return c.numberCall(n)
	case *ast.StringNode:
		return nil, c.fail(n, "", "%q is a word, not a number", n.Value)
	}
	return nil, c.fail(n, "", "this is true or false, not a number")
}

func (c *compiler) sign(n *ast.UnaryNode) (*number, error) {
	if n.Operator == "not" {
		return nil, c.fail(n, "", "this is true or false, not a number")
	}
	x, err := c.number(n.Node)
	if err != nil || n.Operator == "+" {
		return x, err
	}
	return negate(x), nil
}

// combine lowers arithmetic. Sums, least and greatest keep the unit; a product
// or quotient keeps the unit of its only side that has one.
func (c *compiler) combine(n ast.Node, op numberOp, operands []ast.Node) (*number, error) {
	out := &number{op: op, loose: true}
	for _, a := range operands {
		x, err := c.number(a)
		if err != nil {
			return nil, err
		}
		out.args = append(out.args, x)
	}
	if err := c.joins(n, op, out.args); err != nil {
		return nil, err
	}
	withUnit := 0
	for _, x := range out.args {
		if !x.loose {
			withUnit++
			out.unit, out.loose = x.unit, false
		}
	}
	if (op == opMul || op == opDiv) && withUnit > 1 || op == opDiv && !out.args[1].loose {
		out.unit, out.loose = quantity.None, true
	}
	out.addPoints()
	if d, ok := out.args[len(out.args)-1].constant(); ok && op == opDiv && d == 0 {
		return nil, c.fail(n, "", "this divides by zero")
	}
	if op == opAbs && out.args[0].op == opAbs {
		return out.args[0], nil
	}
	return c.fold(n, out)
}

// joins refuses units that do not go together: of sums, least and greatest all have to be one, but a temperature and a
// difference of temperatures add.
func (c *compiler) joins(n ast.Node, op numberOp, args []*number) error {
	switch op {
	case opMul, opDiv:
		return nil
	case opAdd, opSub:
		return c.alike(n, quantity.Unit.Difference, args)
	}
	return c.sameUnit(n, args...)
}

// pointsIn is how many points of the scale a value in a unit stands for.
func pointsIn(u quantity.Unit) float64 {
	if u.Dimension() == quantity.TemperatureDifference {
		return 0
	}
	return 1
}

// addPoints counts the points of a scale that arithmetic adds up, and gives a sum of temperatures that leaves none the unit of a
// difference.
func (n *number) addPoints() {
	a, b := n.args[0], n.args[len(n.args)-1]
	by, fixed := b.constant()
	if !fixed {
		by = math.NaN() // as good as any
	}
	switch n.op {
	case opAdd:
		n.points = a.points + b.points
	case opSub:
		n.points = a.points - b.points
	case opMul:
		if x, ok := a.constant(); ok {
			a, by = b, x
		}
		n.points = a.points * by
	case opDiv:
		n.points = a.points / by
	default: // a size, a least or a greatest
		n.points = max(a.points, b.points)
	}
	if n.op != opAdd && n.op != opSub {
		return
	}
	if a.unit.Difference() == b.unit {
		n.unit = a.unit // the temperature of the two, where one is
	}
	if math.Abs(n.points) < 1e-9 { // what rounding leaves of factors such as 0.1
		n.unit = n.unit.Difference()
	}
}

func (c *compiler) numberCall(n *ast.CallNode) (*number, error) {
	f := functions()[n.Callee.(*ast.IdentifierNode).Value]
	switch {
	case f.number != 0:
		return c.combine(n, f.number, n.Arguments)
	case f.name == "reference":
		i, err := c.argument(n, f)
		if err != nil {
			return nil, err
		}
		c.e.specs = insert(c.e.specs, i)
		return &number{op: opReference, reading: i, unit: c.scope.readings[i].Unit, points: pointsIn(c.scope.readings[i].Unit)}, nil
	case f.level != nil || f.timing:
		i, err := c.argument(n, f)
		if err != nil {
			return nil, err
		}
		u := c.scope.readings[i].Unit
		if f.timing {
			u = quantity.Hertz
		}
		return &number{op: opTrace, reading: i, fn: f, unit: u, points: pointsIn(u)}, nil
	case f.compute != nil:
		return c.named(n, f)
	}
	return nil, c.fail(n, "", "%s() is true or false, not a number", f.name)
}

// named lowers a call of a named function of numbers, each in its own unit.
func (c *compiler) named(n *ast.CallNode, f *function) (*number, error) {
	out := &number{op: opCall, fn: f}
	for i, a := range n.Arguments {
		x, err := c.number(a)
		if err != nil {
			return nil, err
		}
		if want := f.takes[i]; !x.loose && x.unit != want {
			return nil, c.fail(a, otherUnit(x.unit, want), "%s() takes %s here, not %s", f.name, unitName(want), unitName(x.unit))
		}
		out.args = append(out.args, x)
	}
	return out, nil
}

// fold computes arithmetic over literals at once.
func (c *compiler) fold(at ast.Node, n *number) (*number, error) {
	for _, a := range n.args {
		if a.op != opLiteral {
			return n, nil
		}
	}
	r := n.evaluate(new(Values))
	if r.status != known {
		return nil, c.fail(at, "", "the number is too large")
	}
	return &number{op: opLiteral, literal: r.value, loose: true}, nil
}
