package truth

import (
	"fmt"
	"reflect"
	"strings"
	"unicode/utf8"

	"github.com/expr-lang/expr/builtin"
	"github.com/expr-lang/expr/checker"
	"github.com/expr-lang/expr/conf"
	"github.com/expr-lang/expr/parser"
)

// Use says where an expression stands, and so what it may call.
type Use uint8

// In a rule (or the condition of a link) only the tests are allowed; a derived
// reading may also call the named functions and the reference of a spec.
const (
	InRule Use = iota
	InDerived
)

// MaxSource is the longest expression taken, in bytes. It bounds the depth of
// the parser's recursion and the cost of every evaluation.
const MaxSource = 4096

// Compile parses, checks and lowers an expression that yields want, which is
// [Number] or [YesNo]. The error is an [*Error]; only the first fault of an
// expression is reported.
func (s *Scope) Compile(src string, want Kind, use Use) (*Expr, error) {
	switch {
	case strings.TrimSpace(src) == "":
		return nil, &Error{Text: "the expression is empty"}
	case len(src) > MaxSource:
		end := MaxSource
		for end > 0 && !utf8.RuneStart(src[end]) {
			end--
		}
		return nil, &Error{Offset: end, Text: fmt.Sprintf("the expression is longer than %d bytes", MaxSource), Hint: "write several rules, or a derived reading"}
	}
	tree, err := parser.ParseWithConfig(src, s.config)
	if err != nil {
		return nil, s.parserError(src, err)
	}
	c := &compiler{scope: s, src: src, use: use, e: &Expr{scope: s, src: src, kind: want}}
	if err := c.admit(&tree.Node); err != nil {
		return nil, err
	}
	if _, err := checker.Check(tree, s.config); err != nil {
		return nil, checkerError(src, tree.Node, err)
	}
	if err := c.lower(tree.Node, want); err != nil {
		return nil, err
	}
	return c.e, nil
}

// checkerConfig describes the readings and functions to the expression
// library's type checker. None of its own built-in functions is left.
func checkerConfig(readings []Reading) *conf.Config {
	config := conf.CreateNew()
	clear(config.Builtins)
	for _, f := range builtin.Builtins {
		config.Disabled[f.Name] = true
	}
	config.DisableIfOperator = true
	env := make(map[string]any, len(readings))
	for _, r := range readings {
		env[r.ID] = map[Kind]any{Number: 0.0, YesNo: false, Choice: "", Trace: Samples{}}[r.Kind]
	}
	config.WithEnv(env)
	config.Strict = true
	for _, f := range table() {
		config.Functions[f.name] = &builtin.Function{Name: f.name, Types: []reflect.Type{reflect.TypeOf(f.signature)}}
	}
	return config
}
