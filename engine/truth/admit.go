package truth

import (
	"fmt"
	"strings"

	"github.com/expr-lang/expr/ast"

	"culprit/engine/source"
)

// compiler carries one expression from its parsed tree to its lowered one.
type compiler struct {
	scope *Scope
	src   string
	use   Use
	e     *Expr

	pieces int // into which the current comparison has fallen
}

// fail makes an error at a node of the parsed tree.
func (c *compiler) fail(n ast.Node, hint, format string, args ...any) *Error {
	at := runeToByte(c.src, n.Location().From)
	return &Error{Offset: at, Width: wordAt(c.src, at), Text: fmt.Sprintf(format, args...), Hint: hint}
}

const grammarHint = "allowed are readings, numbers, words in quotes, comparisons, and, or, not, + - * /, and the functions ok high low known between abs min max"

var admitted = map[string]bool{
	"and": true, "or": true, "not": true, "==": true, "!=": true, "<": true, ">": true, "<=": true, ">=": true,
	"+": true, "-": true, "*": true, "/": true,
}

// spelled gives our spelling of operators that the parser would take.
var spelled = map[string]string{"&&": "and", "||": "or", "!": "not"}

// admit refuses what the parser takes and the grammar of rules does not, and
// names that no reading or function has.
func (c *compiler) admit(n ast.Node) error {
	switch n := n.(type) {
	case *ast.IntegerNode, *ast.FloatNode, *ast.StringNode:
		return nil
	case *ast.BoolNode:
		return c.fail(n, "name the yes/no reading itself: engine_warm, or not engine_warm", "%t does not stand in an expression", n.Value)
	case *ast.IdentifierNode:
		return c.admitName(n)
	case *ast.UnaryNode:
		if err := c.admitOperator(n, n.Operator); err != nil {
			return err
		}
		return c.admit(n.Node)
	case *ast.BinaryNode:
		// The parser writes a chain a < b < c as two comparisons joined by &&.
		if chained := n.Operator == "&&" && !strings.HasPrefix(c.src[runeToByte(c.src, n.Location().From):], "&&"); chained {
			return c.fail(n, "write between(x, a, b)", "comparisons do not chain")
		}
		if err := c.admitOperator(n, n.Operator); err != nil {
			return err
		}
		if err := c.admit(n.Left); err != nil {
			return err
		}
		return c.admit(n.Right)
	case *ast.CallNode:
		return c.admitCall(n)
	}
	return c.fail(n, grammarHint, "this is not part of the language of rules")
}

func (c *compiler) admitOperator(n ast.Node, operator string) error {
	if admitted[operator] {
		return nil
	}
	if ours := spelled[operator]; ours != "" {
		return c.fail(n, "", "write %q for %q", ours, operator)
	}
	return c.fail(n, grammarHint, "the operator %q is not part of the language of rules", operator)
}

func (c *compiler) admitName(n *ast.IdentifierNode) error {
	if _, ok := c.scope.index[n.Value]; ok {
		return nil
	}
	if functions()[n.Value] != nil {
		return c.fail(n, fmt.Sprintf("write %s(…)", n.Value), "%q is a function", n.Value)
	}
	return c.unknown(n, "reading", n.Value)
}

func (c *compiler) admitCall(n *ast.CallNode) error {
	callee, ok := n.Callee.(*ast.IdentifierNode)
	if !ok {
		return c.fail(n, grammarHint, "only functions can be called")
	}
	f := functions()[callee.Value]
	switch {
	case f == nil:
		if _, ok := c.scope.index[callee.Value]; ok {
			return c.fail(callee, "", "%q is a reading, not a function", callee.Value)
		}
		return c.unknown(callee, "function", callee.Value)
	case f.derivedOnly && c.use == InRule:
		return c.fail(callee, "make a derived reading of it (from: …) and name that", "%s() stands only in derived readings", f.name)
	}
	for _, a := range n.Arguments {
		if err := c.admit(a); err != nil {
			return err
		}
	}
	return nil
}

// unknown is the error for a name that nothing has. Known names are both
// readings and functions, since one is easily mistaken for the other.
func (c *compiler) unknown(n ast.Node, what, name string) *Error {
	known := make([]string, 0, len(c.scope.readings)+len(table()))
	for _, r := range c.scope.readings {
		known = append(known, r.ID)
	}
	for _, f := range table() {
		known = append(known, f.name)
	}
	hint := ""
	if near := source.Nearest(name, known); near != "" {
		hint = fmt.Sprintf("did you mean %q?", near)
	}
	return c.fail(n, hint, "there is no %s %q", what, name)
}
