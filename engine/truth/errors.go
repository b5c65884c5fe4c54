package truth

import (
	"fmt"
	"strings"
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

// wordAt is the length in bytes of the token that starts at a byte offset: an
// identifier, a run of digits, a quoted text, or one rune.
func wordAt(src string, at int) int {
	if at >= len(src) {
		return 0
	}
	rest := src[at:]
	if q := rest[0]; q == '"' || q == '\'' || q == '`' {
		if end := strings.IndexByte(rest[1:], q); end >= 0 {
			return end + 2
		}
	}
	n := 0
	for n < len(rest) && isWord(rest[n]) {
		n++
	}
	if n == 0 {
		_, n = utf8.DecodeRuneInString(rest)
	}
	return n
}

func isWord(b byte) bool {
	return b == '_' || b == '.' || '0' <= b && b <= '9' || 'a' <= b && b <= 'z' || 'A' <= b && b <= 'Z'
}
