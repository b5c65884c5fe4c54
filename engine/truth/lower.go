package truth

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/expr-lang/expr/ast"

	"culprit/engine/quantity"
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
		err = c.bounded(n)
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
			return &logic{op: opNot, left: inner}, nil
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
	case *ast.StringNode:
		return nil, c.fail(n, "compare a choice with it", "%q is a word, not true or false", n.Value)
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
	if n.Operator == "or" {
		return both(opOr, left, right), nil
	}
	return both(opAnd, left, right), nil
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
		hint := cmp.Or(didYouMean(word.Value, among), "it is one of "+strings.Join(among, ", "))
		return nil, c.fail(word, hint, "%s is never %q", name.Value, word.Value)
	}
	same := &logic{op: opSame, reading: i, word: w, text: fmt.Sprintf("%s is %s", name.Value, word.Value)}
	if n.Operator == "!=" {
		return &logic{op: opNot, left: same}, nil
	}
	return same, nil
}

// test lowers a call that is true or false.
func (c *compiler) test(n *ast.CallNode) (*logic, error) {
	f := functions()[n.Callee.(*ast.IdentifierNode).Value]
	switch f.name {
	case "ok", "high", "low":
		i, err := c.argument(n, f)
		if err != nil {
			return nil, err
		}
		c.e.specs = insert(c.e.specs, i)
		return &logic{op: f.test, reading: i, text: n.String()}, nil
	case "known", "toggles":
		i, err := c.argument(n, f)
		return &logic{op: f.test, reading: i, text: n.String()}, err
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
	i := c.reads(name)
	if r := &c.scope.readings[i]; f.of != quantity.None && r.Unit != f.of {
		return 0, c.fail(name, "", "%s() takes a trace in %s, not in %s", f.name, f.of, unitName(r.Unit))
	}
	return i, nil
}

// sameUnit refuses to join numbers of two units; a number without a unit of
// its own joins with any.
func (c *compiler) sameUnit(at ast.Node, numbers ...*number) error {
	return c.alike(at, func(u quantity.Unit) quantity.Unit { return u }, numbers)
}

// alike refuses to join numbers whose units differ by what counts of them.
func (c *compiler) alike(at ast.Node, counts func(quantity.Unit) quantity.Unit, numbers []*number) error {
	var first *number
	for _, x := range numbers {
		switch {
		case x.loose:
		case first == nil:
			first = x
		case counts(first.unit) != counts(x.unit):
			return c.fail(at, otherUnit(x.unit, first.unit), "this joins %s with %s", unitName(first.unit), unitName(x.unit))
		}
	}
	return nil
}

// otherUnit tells how a number gets to another unit. A factor beside it would not do, since a number keeps its unit through one.
func otherUnit(have, want quantity.Unit) string {
	how := ""
	if have.Fits(want) && have.Dimension() != quantity.Temperature {
		if one, err := (quantity.Quantity{Value: 1, Unit: have, HasUnit: true}).In(want); err == nil {
			how = fmt.Sprintf(" (from: … * %s)", quantity.Quantity{Value: one.Value})
		}
	}
	return fmt.Sprintf("make a derived reading in %s of what is in %s%s, and name that", asUnit(want), asUnit(have), how)
}

func asUnit(u quantity.Unit) string {
	if u == quantity.None {
		return "no unit"
	}
	return u.String()
}

func unitName(u quantity.Unit) string {
	if s := u.String(); s != "" {
		return s
	}
	return "a plain number"
}
