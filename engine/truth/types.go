package truth

import (
	"errors"
	"regexp"
	"strings"
	"sync"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/file"
)

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
	switch {
	case finder.found:
		e.Hint = "not binds tighter than a comparison: write not (a > b)"
	case junctions[src[e.Offset:e.Offset+e.Width]] && strings.Contains(e.Text, "a number"):
		e.Hint = "compare the number with a limit"
	}
	return e
}

// junctions join what is true or false.
var junctions = map[string]bool{"and": true, "or": true, "not": true}

var typeNames = strings.NewReplacer(
	"float64", "a number", "bool", "a yes/no", "string", "a word", "truth.Samples", "a trace",
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
	if b, ok := (*node).(*ast.BinaryNode); ok && !junctions[b.Operator] {
		if u, ok := b.Left.(*ast.UnaryNode); ok && u.Operator == "not" {
			f.found = f.found || b.Location().From == f.at || u.Location().From == f.at
		}
	}
}
