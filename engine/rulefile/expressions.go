package rulefile

import (
	"errors"
	"slices"
	"strings"

	"culprit/engine/source"
	"culprit/engine/truth"
)

// maxExpression is the longest expression, in bytes.
const maxExpression = 8192

// compile gives the expression in the text that was read, or nil. What is wrong is reported where it stands, unless it may come
// from a reading whose own definition is broken or unread.
func (l *loader) compile(text source.Got[string], want truth.Kind, use truth.Use) *truth.Expr {
	if !text.Set {
		return nil
	}
	if len(text.V) > maxExpression {
		l.At(text.Spot, "an expression of %d bytes; the limit is %d", len(text.V), maxExpression).Width = 1
		return nil
	}
	if l.failures > dearFailures {
		if name, at, unknown := l.unknownName(text.V); unknown {
			if !l.excused(text.V) {
				l.Within(text.Spot, at, len(name), "there is no reading %q", name)
			}
			return nil
		}
	}
	e, err := l.compileText(text.V, want, use)
	if err == nil {
		return e
	}
	l.failures++
	if l.excused(text.V) {
		return nil
	}
	l.Within(text.Spot, err.Offset, err.Width, "%s", err.Text).Hint = err.Hint
	return nil
}

// compileText compiles each text once.
func (l *loader) compileText(text string, want truth.Kind, use truth.Use) (*truth.Expr, *truth.Error) {
	key := string([]byte{byte(want), byte(use)}) + text
	if e := l.compiled[key]; e != nil {
		return e, nil
	}
	e, err := l.pack.Scope.Compile(text, want, use)
	if err != nil {
		if t, ok := errors.AsType[*truth.Error](err); ok {
			return nil, t
		}
		return nil, &truth.Error{Width: 1, Text: err.Error()}
	}
	l.compiled[key] = e
	return e, nil
}

// dearFailures is how many expressions may fail with all that the compiler can say about them, the nearest known name among it.
// After that names are looked up here first, so that a hostile pack stays cheap. It is far more than are ever shown.
const dearFailures = 200

// unknownName finds the first name in an expression that nothing has.
func (l *loader) unknownName(text string) (name string, at int, found bool) {
	for _, m := range tokens().FindAllStringIndex(text, -1) {
		name := text[m[0]:m[1]]
		if names().MatchString(name[:1]) && l.readings.get(name) == nil && !truth.Reserved(name) {
			return name, m[0], true
		}
	}
	return "", 0, false
}

// tokens finds the texts, the comments and the names of an expression, so that words in texts and comments are not names.
var tokens = source.Pattern("\"[^\"]*\"|'[^']*'|`[^`]*`" + `|//[^\n]*|(?s:/\*.*?\*/)|[\pL_][\pL\pN_]*`)

// names finds what may be names in an expression.
var names = source.Pattern(`[\pL_][\pL\pN_]*`)

// excused reports whether an error in an expression may be a consequence of another that is reported anyway.
func (l *loader) excused(text string) bool {
	if len(l.broken) == 0 && !l.partial {
		return false
	}
	known := truth.Reserved
	return slices.ContainsFunc(names().FindAllString(text, -1), func(name string) bool {
		return l.broken[name] || l.partial && l.readings.get(name) == nil && !known(name)
	})
}

// sameExpression compares the texts of expressions without regard to white space.
func sameExpression(a, b string) bool {
	return strings.Join(strings.Fields(a), " ") == strings.Join(strings.Fields(b), " ")
}
