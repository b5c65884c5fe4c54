package truth

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
	"sync"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/file"
)

// parserError turns the parser's error into ours.
func parserError(src string, err error) *Error {
	var at *file.Error
	if !errors.As(err, &at) {
		return &Error{Text: err.Error()}
	}
	offset := runeToByte(src, at.From)
	if strings.Contains(at.Message, "unexpected token EOF") || strings.Contains(at.Message, "unexpected end") {
		return &Error{Offset: len(strings.TrimRight(src, " \t\r\n")), Width: 1, Text: "the expression ends too early"}
	}
	text := strings.ToLower(at.Message[:1]) + at.Message[1:]
	if rest, ok := strings.CutPrefix(text, "unexpected token "); ok {
		text = fmt.Sprintf("%s is not expected here", describeToken(rest))
	}
	if strings.Contains(text, "value out of range") {
		text = "the number is too large"
	}
	return &Error{Offset: offset, Width: wordAt(src, offset), Text: text, Hint: tokenHint(src, offset)}
}

// describeToken turns `Operator("=")` into `"="`.
func describeToken(s string) string {
	if open := strings.IndexByte(s, '('); open >= 0 && strings.HasSuffix(s, ")") {
		return s[open+1 : len(s)-1]
	}
	return s
}

// tokenHint advises on the slips that a newcomer makes.
func tokenHint(src string, at int) string {
	rest := src[at:]
	switch {
	case strings.HasPrefix(rest, "="):
		return `write == to compare a choice with a word`
	case strings.HasPrefix(rest, "<>"):
		return `write != for "is not"`
	case strings.HasPrefix(rest, "%"):
		return "write limits as plain numbers, in the unit of the reading"
	}
	return ""
}

// checkerError turns the type checker's error into ours, in the words of rule
// files: a number, a yes/no, a word, a trace.
func checkerError(src string, root ast.Node, err error) *Error {
	var at *file.Error
	if !errors.As(err, &at) {
		return &Error{Text: err.Error()}
	}
	offset := runeToByte(src, at.From)
	e := &Error{Offset: offset, Width: wordAt(src, offset), Text: typeNames.Replace(at.Message)}
	for _, m := range typeMessages() {
		if found := m.pattern.FindStringSubmatch(e.Text); found != nil {
			e.Text = m.pattern.ReplaceAllString(e.Text, m.ours)
			break
		}
	}
	finder := &notFinder{at: at.From}
	ast.Walk(&root, finder)
	if finder.found {
		e.Hint = "not binds tighter than a comparison: write not (a > b)"
	}
	return e
}

var typeNames = strings.NewReplacer(
	"float64", "a number", "type int", "type a number", "types int", "types a number", "and int", "and a number", "use int", "use a number",
	"bool", "a yes/no", "string", "a word", "truth.Samples", "a trace",
)

// typeMessage is a sentence of the type checker and ours for it.
type typeMessage struct {
	pattern *regexp.Regexp
	ours    string
}

// typeMessages are compiled when the first error wants them.
var typeMessages = sync.OnceValue(func() []typeMessage {
	return []typeMessage{
		{regexp.MustCompile(`^invalid operation: (\S+) \(mismatched types (.+) and (.+)\)$`), `$1 does not join $2 and $3`},
		{regexp.MustCompile(`^invalid operation: (\S+) \(mismatched type (.+)\)$`), `$1 does not take $2`},
		{regexp.MustCompile(`^cannot use (.+) as argument \(type (.+)\) to call (\S+) *$`), `$3() takes $2 here, not $1`},
		{regexp.MustCompile(`^(too many|not enough) arguments to call (\S+)$`), `$1 arguments for $2()`},
	}
})

// notFinder looks for `not a > b` at or around the reported place.
type notFinder struct {
	at    int
	found bool
}

func (f *notFinder) Visit(node *ast.Node) {
	if b, ok := (*node).(*ast.BinaryNode); ok {
		if u, ok := b.Left.(*ast.UnaryNode); ok && u.Operator == "not" {
			f.found = f.found || b.Location().From == f.at || u.Location().From == f.at
		}
	}
}
