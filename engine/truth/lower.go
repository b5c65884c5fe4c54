package truth

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"

	"culprit/engine/quantity"
	"culprit/engine/source"
)

// lower turns a checked tree into nodes of ours.
func (c *compiler) lower(n ast.Node, want Kind) (err error) {
	switch want {
	case YesNo:
		c.e.logic, err = c.logic(n)
	case Number:
		c.e.value, err = c.number(n)
	default:
		panic("truth: Compile wants a number or a yes/no")
	}
	if err == nil && want == YesNo {
		if k := quantities(c.e.logic); k > maxJoined {
			return c.fail(n, "split the rule, or join fewer readings in it", "the expression compares %d quantities; at most %d can be joined exactly", k, maxJoined)
		}
	}
	return err
}

// reads notes that the expression names a reading.
func (c *compiler) reads(n *ast.IdentifierNode) int {
	i := c.scope.index[n.Value]
	c.e.reads = insert(c.e.reads, i)
	return i
}

// logic lowers a node that is true or false.
func (c *compiler) logic(n ast.Node) (*logic, error) {
	switch n := n.(type) {
	case *ast.IdentifierNode:
		i := c.reads(n)
		if k := c.scope.readings[i].Kind; k != YesNo {
			return nil, c.fail(n, verdictHint(k, n.Value), "%q is a %s, not true or false", n.Value, k)
		}
		return &logic{op: opFlag, reading: i, text: n.Value}, nil
	case *ast.UnaryNode:
		if n.Operator == "not" {
			inner, err := c.logic(n.Node)
			if err != nil {
				return nil, err
			}
			return &logic{op: opNot, left: inner, text: n.String()}, nil
		}
	case *ast.BinaryNode:
		switch n.Operator {
		case "and", "or":
			return c.junction(n)
		case "==", "!=":
			return c.sameWord(n)
		case "<", "<=", ">", ">=":
			return c.comparison(n)
		}
	case *ast.CallNode:
		return c.test(n)
	}
	return nil, c.fail(n, "compare it with a limit", "this is a number, not true or false")
}

// verdictHint tells how a reading that is not a yes/no becomes one.
func verdictHint(k Kind, name string) string {
	switch k {
	case Number:
		return fmt.Sprintf("compare it with a limit, or ask ok(%[1]s), high(%[1]s), low(%[1]s)", name)
	case Choice:
		return fmt.Sprintf("compare it with one of its words: %s == \"…\"", name)
	}
	return "derive a reading from it with toggles() or switch_rate()"
}

func (c *compiler) junction(n *ast.BinaryNode) (*logic, error) {
	left, err := c.logic(n.Left)
	if err != nil {
		return nil, err
	}
	right, err := c.logic(n.Right)
	if err != nil {
		return nil, err
	}
	op := opAnd
	if n.Operator == "or" {
		op = opOr
	}
	return &logic{op: op, left: left, right: right, text: n.String()}, nil
}

// sameWord lowers `choice == "word"` and its negation.
func (c *compiler) sameWord(n *ast.BinaryNode) (*logic, error) {
	name, ok := n.Left.(*ast.IdentifierNode)
	word, isWord := n.Right.(*ast.StringNode)
	if !ok || !isWord {
		name, ok = n.Right.(*ast.IdentifierNode)
		word, isWord = n.Left.(*ast.StringNode)
	}
	if !ok || !isWord {
		return nil, c.fail(n, "a measured number is never exactly another: write between(x, a, b); a yes/no reading stands for itself", "%s compares a choice with a word", n.Operator)
	}
	i := c.reads(name)
	among := c.scope.readings[i].Among
	w := slices.Index(among, word.Value)
	if w < 0 {
		hint := "it is one of " + strings.Join(among, ", ")
		if near := source.Nearest(word.Value, among); near != "" {
			hint = fmt.Sprintf("did you mean %q?", near)
		}
		return nil, c.fail(word, hint, "%s is never %q", name.Value, word.Value)
	}
	same := &logic{op: opSame, reading: i, word: w, text: fmt.Sprintf("%s is %s", name.Value, word.Value)}
	if n.Operator == "!=" {
		return &logic{op: opNot, left: same, text: n.String()}, nil
	}
	return same, nil
}

// test lowers a call that is true or false.
func (c *compiler) test(n *ast.CallNode) (*logic, error) {
	f := functionNamed(n.Callee.(*ast.IdentifierNode).Value)
	switch f.name {
	case "ok", "high", "low":
		i, err := c.argument(n, f)
		if err != nil {
			return nil, err
		}
		c.e.specs = insert(c.e.specs, i)
		op := map[string]logicOp{"ok": opOK, "high": opHigh, "low": opLow}[f.name]
		return &logic{op: op, reading: i, text: n.String()}, nil
	case "known":
		i, err := c.argument(n, f)
		return &logic{op: opKnown, reading: i, text: n.String()}, err
	case "toggles":
		i, err := c.argument(n, f)
		return &logic{op: opToggle, reading: i, text: n.String()}, err
	case "between":
		return c.between(n)
	}
	return nil, c.fail(n, "compare it with a limit", "%s() gives a number, not true or false", f.name)
}

// argument is the reading that a test is about.
func (c *compiler) argument(n *ast.CallNode, f *function) (int, error) {
	name, ok := n.Arguments[0].(*ast.IdentifierNode)
	if !ok {
		return 0, c.fail(n.Arguments[0], "make a derived reading of it (from: …) and name that", "%s() is asked of a reading by name", f.name)
	}
	return c.reads(name), nil
}

// comparison lowers `a < b`. Where one side is a constant and the other abs,
// min or max, it is split so that it stays exact.
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
	less, inclusive := n.Operator[0] == '<', len(n.Operator) == 2
	if limit, ok := left.constant(); ok {
		if _, both := right.constant(); both {
			return nil, c.fail(n, "compare a reading with a limit", "this comparison has no reading in it")
		}
		return compare(right, limit, !less, inclusive, n.String()), nil
	}
	if limit, ok := right.constant(); ok {
		return compare(left, limit, less, inclusive, n.String()), nil
	}
	return compare(&number{op: opSub, args: []*number{left, right}, unit: left.unit}, 0, less, inclusive, n.String()), nil
}

// compare makes the node for x below (less) or above a limit.
func compare(x *number, limit float64, less, inclusive bool, text string) *logic {
	e := edge{at: limit, bounded: true, inclusive: inclusive}
	switch {
	case x.op == opAbs && less:
		low := e
		low.at = -limit
		return within(x.args[0], low, e, text)
	case x.op == opAbs:
		below := e
		below.at = -limit
		return &logic{op: opOr, text: text,
			left:  within(x.args[0], edge{}, below, text),
			right: within(x.args[0], e, edge{}, text)}
	case x.op == opMin || x.op == opMax:
		// min(a, b) > c is a > c and b > c; max(a, b) > c is a > c or b > c.
		op := opAnd
		if (x.op == opMin) == less {
			op = opOr
		}
		all := compare(x.args[0], limit, less, inclusive, text)
		for _, a := range x.args[1:] {
			all = &logic{op: op, left: all, right: compare(a, limit, less, inclusive, text), text: text}
		}
		return all
	case less:
		return within(x, edge{}, e, text)
	}
	return within(x, e, edge{}, text)
}

func within(x *number, from, to edge, text string) *logic {
	if limit, ok := x.constant(); ok { // min(a, 3) > 2: decided here
		return &logic{op: opWithin, value: &number{op: opLiteral, literal: limit}, from: from, to: to, text: text}
	}
	return &logic{op: opWithin, value: x, from: from, to: to, text: text}
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
	from, fixedFrom := arg[1].constant()
	to, fixedTo := arg[2].constant()
	if fixedFrom && fixedTo {
		if from > to {
			return nil, c.fail(n.Arguments[1], "write the lower limit first", "nothing lies between %v and %v", from, to)
		}
		if _, ok := arg[0].constant(); ok {
			return nil, c.fail(n, "compare a reading with limits", "this comparison has no reading in it")
		}
		return within(arg[0], edge{from, true, true}, edge{to, true, true}, n.String()), nil
	}
	above := &number{op: opSub, args: []*number{arg[0], arg[1]}, unit: arg[0].unit}
	below := &number{op: opSub, args: []*number{arg[0], arg[2]}, unit: arg[0].unit}
	return &logic{op: opAnd, text: n.String(),
		left:  within(above, edge{0, true, true}, edge{}, n.String()),
		right: within(below, edge{}, edge{0, true, true}, n.String())}, nil
}

// sameUnit refuses to join numbers of two units; a number without a unit of
// its own joins with any.
func (c *compiler) sameUnit(at ast.Node, numbers ...*number) error {
	var first *number
	for _, x := range numbers {
		switch {
		case x.loose:
		case first == nil:
			first = x
		case first.unit != x.unit:
			return c.fail(at, "bring both to one unit with a factor", "this joins %s with %s", unitName(first.unit), unitName(x.unit))
		}
	}
	return nil
}

func unitName(u quantity.Unit) string {
	if s := u.String(); s != "" {
		return s
	}
	return "a plain number"
}

// finite refuses literals that are no numbers to work with.
func (c *compiler) finite(n ast.Node, v float64) (*number, error) {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil, c.fail(n, "", "the number is too large")
	}
	return &number{op: opLiteral, literal: v, loose: true}, nil
}
