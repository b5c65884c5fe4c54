package truth

import (
	"github.com/expr-lang/expr/ast"

	"culprit/engine/quantity"
)

var arithmetic = map[string]numberOp{"+": opAdd, "-": opSub, "*": opMul, "/": opDiv, "abs": opAbs, "min": opMin, "max": opMax}

// number lowers a node that is a number.
func (c *compiler) number(n ast.Node) (*number, error) {
	switch n := n.(type) {
	case *ast.IntegerNode:
		return c.finite(n, float64(n.Value))
	case *ast.FloatNode:
		return c.finite(n, n.Value)
	case *ast.IdentifierNode:
		i := c.reads(n)
		r := c.scope.readings[i]
		if r.Kind != Number {
			return nil, c.fail(n, "", "%q is a %s, not a number", n.Value, r.Kind)
		}
		return &number{op: opReading, reading: i, unit: r.Unit}, nil
	case *ast.UnaryNode:
		return c.sign(n)
	case *ast.BinaryNode:
		if op, ok := arithmetic[n.Operator]; ok {
			return c.combine(n, op, []ast.Node{n.Left, n.Right})
		}
	case *ast.CallNode:
		return c.numberCall(n)
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
	return fold(&number{op: opNeg, args: []*number{x}, unit: x.unit, loose: x.loose}), nil
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
	if op != opMul && op != opDiv {
		if err := c.sameUnit(n, out.args...); err != nil {
			return nil, err
		}
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
	if d, ok := out.args[len(out.args)-1].constant(); ok && op == opDiv && d == 0 {
		return nil, c.fail(n, "", "this divides by zero")
	}
	return fold(out), nil
}

func (c *compiler) numberCall(n *ast.CallNode) (*number, error) {
	f := functionNamed(n.Callee.(*ast.IdentifierNode).Value)
	switch {
	case f.name == "abs" || f.name == "min" || f.name == "max":
		return c.combine(n, arithmetic[f.name], n.Arguments)
	case f.name == "reference":
		i, err := c.argument(n, f)
		if err != nil {
			return nil, err
		}
		c.e.specs = insert(c.e.specs, i)
		return &number{op: opReference, reading: i, unit: c.scope.readings[i].Unit}, nil
	case f.measure != nil:
		i, err := c.argument(n, f)
		if err != nil {
			return nil, err
		}
		u := c.scope.readings[i].Unit
		return &number{op: opTrace, reading: i, fn: f, unit: u, loose: f.name == "switch_rate"}, nil
	case f.compute != nil:
		out := &number{op: opCall, fn: f, loose: true}
		for _, a := range n.Arguments {
			x, err := c.number(a)
			if err != nil {
				return nil, err
			}
			out.args = append(out.args, x)
		}
		return out, nil
	}
	return nil, c.fail(n, "", "%s() is true or false, not a number", f.name)
}

// fold computes arithmetic over literals at once.
func fold(n *number) *number {
	for _, a := range n.args {
		if a.op != opLiteral {
			return n
		}
	}
	r := n.evaluate(nil)
	if r.status != known {
		return n
	}
	return &number{op: opLiteral, literal: r.value, loose: true}
}
