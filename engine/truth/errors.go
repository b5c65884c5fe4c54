package truth

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Error is a fault found while compiling an expression. Offset and Width are
// bytes of the source; Hint is empty or one line of advice.
type Error struct {
	Offset, Width int
	Text, Hint    string
}

// Error gives the text, with the byte offset and the hint where there is one.
func (e *Error) Error() string {
	s := fmt.Sprintf("at %d: %s", e.Offset, e.Text)
	if e.Hint != "" {
		s += " (" + e.Hint + ")"
	}
	return s
}

// runeToByte turns an offset in runes, as the parser counts, into bytes.
func runeToByte(src string, runes int) int {
	for i := range src {
		if runes <= 0 {
			return i
		}
		runes--
	}
	return len(src)
}

// wordAt is the length in bytes of the token that starts at a byte offset: a
// name, a number, a text in quotes, an operator, or one character.
func wordAt(src string, at int) int {
	if at >= len(src) {
		return 0
	}
	rest := src[at:]
	if n := skip(rest); n > 1 && rest[0] != '/' {
		return n
	}
	for _, operator := range [...]string{"<=", ">=", "==", "!=", "&&", "||", "??", "**", "..", "?.", "::", "=>", "=<", "<>"} {
		if strings.HasPrefix(rest, operator) {
			return len(operator)
		}
	}
	n := 0
	for n < len(rest) {
		r, size := utf8.DecodeRuneInString(rest[n:])
		if !isWord(r) {
			break
		}
		n += size
	}
	if n == 0 {
		_, n = utf8.DecodeRuneInString(rest)
	}
	return n
}

// isWord reports whether a character belongs to a name or a number.
func isWord(r rune) bool {
	return r == '_' || r == '.' || r == '$' || unicode.IsLetter(r) || unicode.IsDigit(r)
}
