package truth

import (
	"fmt"
	"slices"
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
	return c.failAt(c.offset(n), hint, fmt.Sprintf(format, args...))
}

func (c *compiler) failAt(offset int, hint, text string) *Error {
	return errorAt(c.src, offset, 0, text, hint)
}

// offset is where a node stands, in bytes.
func (c *compiler) offset(n ast.Node) int { return runeToByte(c.src, n.Location().From) }

const grammarHint = "allowed are readings, numbers, words in quotes, comparisons, and, or, not, + - * /, and the functions ok high low known between abs min max"

var admitted = map[string]bool{
	"and": true, "or": true, "not": true, "==": true, "!=": true, "<": true, ">": true, "<=": true, ">=": true,
	"+": true, "-": true, "*": true, "/": true,
}

// spelled gives our spelling of operators that the parser would take.
var spelled = map[string]string{"&&": "and", "||": "or", "!": "not"}

// admit refuses what the parser takes and the grammar of rules does not, and
// names that no reading or function has.
// Whole numbers become plain ones, since the type checker would do it and lose
// their place.
func (c *compiler) admit(at *ast.Node) error {
	n := *at
	switch n := n.(type) {
	case *ast.IntegerNode:
		ast.Patch(at, &ast.FloatNode{Value: float64(n.Value)})
		return nil
	case *ast.FloatNode, *ast.StringNode:
		return nil
	case *ast.BoolNode:
		return c.fail(n, "name the yes/no reading itself: engine_warm, or not engine_warm", "%t does not stand in an expression", n.Value)
	case *ast.IdentifierNode:
		return c.admitName(n)
	case *ast.UnaryNode:
		if err := c.admitOperator(n, n.Operator); err != nil {
			return err
		}
		return c.admit(&n.Node)
	case *ast.BinaryNode:
		// The parser writes a chain a < b < c as two comparisons joined by &&.
		if chained := n.Operator == "&&" && !strings.HasPrefix(c.src[c.offset(n):], "&&"); chained {
			return c.fail(n, "write between(x, a, b)", "comparisons do not chain")
		}
		if err := c.admitOperator(n, n.Operator); err != nil {
			return err
		}
		if err := c.admit(&n.Left); err != nil {
			return err
		}
		return c.admit(&n.Right)
	case *ast.CallNode:
		return c.admitCall(n)
	case *ast.ConditionalNode:
		return c.failAt(c.question(n), grammarHint, `the operator "?" is not part of the language of rules`)
	}
	return c.fail(n, grammarHint, notOurs)
}

const notOurs = "this is not part of the language of rules"

// question is where the "?" of a conditional stands, of which the parser keeps
// no place: the first one after what it asks.
func (c *compiler) question(n *ast.ConditionalNode) int {
	at := c.offset(n.Cond)
	for at < len(c.src) && c.src[at] != '?' {
		at += max(skip(c.src[at:]), 1)
	}
	return at
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
	hint := c.nearest(n.Value)
	if asked := c.answered(n); asked != "" {
		hint = fmt.Sprintf("a yes/no reading stands for itself: %[1]s, or not %[1]s", asked)
	}
	return c.fail(n, hint, "there is no reading %q", n.Value)
}

// answered is the yes/no reading that a yes or no is compared with, "" where it is something else.
func (c *compiler) answered(n *ast.IdentifierNode) string {
	if w := strings.ToLower(n.Value); w != "yes" && w != "no" {
		return ""
	}
	at := c.offset(n)
	if operator := tokenBefore(c.src, at); operator >= at || !strings.ContainsAny(c.src[operator:operator+1], "=!") {
		return ""
	}
	name := nameBefore(c.src, at)
	if i, ok := c.scope.index[name]; !ok || c.scope.readings[i].Kind != YesNo {
		return ""
	}
	return name
}

// nearest advises on a name that no reading has: it may be a word that lacks
// its quotes, a slip, or a function.
func (c *compiler) nearest(name string) string {
	var known []string
	for _, r := range c.scope.readings {
		if slices.Contains(r.Among, name) {
			return fmt.Sprintf("write the words of a choice in quotes: %s == %q", r.ID, name)
		}
		known = append(known, r.ID)
	}
	return didYouMean(name, append(known, functionNames()...))
}

func functionNames() []string {
	var names []string
	for _, f := range table() {
		names = append(names, f.name)
	}
	return names
}

func didYouMean(name string, known []string) string {
	if near := source.Nearest(name, known); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return ""
}

func (c *compiler) admitCall(n *ast.CallNode) error {
	callee, ok := n.Callee.(*ast.IdentifierNode)
	if !ok {
		return c.fail(n, grammarHint, "only functions can be called")
	}
	f := functions()[callee.Value]
	at := c.offset(callee)
	before := strings.TrimRight(c.src[:at], " \t\r\n")
	switch {
	case strings.HasSuffix(before, "::"):
		return c.failAt(len(before)-2, grammarHint, notOurs)
	case len(n.Arguments) > 0 && c.offset(n.Arguments[0]) < at: // co | abs()
		return c.failAt(max(strings.LastIndexByte(before, '|'), 0), "write the argument in parentheses: "+callee.Value+"(…)", notOurs)
	case f == nil:
		if _, ok := c.scope.index[callee.Value]; ok {
			return c.fail(callee, "", "%q is a reading, not a function", callee.Value)
		}
		return c.fail(callee, didYouMean(callee.Value, functionNames()), "there is no function %q", callee.Value)
	case f.derivedOnly && c.use == InRule:
		return c.fail(callee, "make a derived reading of it (from: …) and name that", "%s() stands only in derived readings", f.name)
	}
	for i := range n.Arguments {
		if err := c.admit(&n.Arguments[i]); err != nil {
			return err
		}
	}
	return nil
}
