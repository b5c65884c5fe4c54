package truth

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/expr-lang/expr/file"
)

// parserError turns the parser's error into ours.
func (s *Scope) parserError(src string, err error) *Error {
	var at *file.Error
	if !errors.As(err, &at) {
		return &Error{Text: err.Error()}
	}
	offset := runeToByte(src, at.From)
	text := strings.TrimSuffix(strings.ToLower(at.Message[:1])+at.Message[1:], ".")
	token, unexpected := strings.CutPrefix(text, "unexpected token ")
	ended := token == "EOF" || strings.Contains(text, "unexpected end")
	if ended {
		offset = len(src)
	}
	switch {
	case strings.Contains(text, "not terminated"):
		return errorAt(src, unclosed(src), 1, "the text in quotes is not closed", "")
	case strings.Contains(text, "unclosed comment"):
		return errorAt(src, unclosed(src), 2, "the comment is not closed", "")
	case strings.Contains(text, "char escape"):
		_, width := utf8.DecodeRuneInString(src[offset:])
		return errorAt(src, offset, width, "the text in quotes has an escape that means nothing", `write \\ for a backslash`)
	case strings.HasPrefix(text, "bad number syntax"):
		offset = tokenBefore(src, offset+1)
		return errorAt(src, offset, 0, fmt.Sprintf("%q is not a number", src[offset:offset+wordAt(src, offset)]), s.unitHint(src, offset))
	case strings.Contains(text, "value out of range"), strings.Contains(text, "is too large"):
		return errorAt(src, tokenBefore(src, offset), 0, "the number is too large", "")
	case strings.HasPrefix(text, "unrecognized character"):
		_, width := utf8.DecodeRuneInString(src[offset:])
		return errorAt(src, offset, width, fmt.Sprintf("%q is not expected here", src[offset:offset+width]), s.tokenHint(src, offset))
	case strings.HasPrefix(text, "expected at least"):
		return errorAt(src, offset, 0, notOurs, grammarHint)
	}
	if percent := tokenBefore(src, offset); (unexpected || ended) && strings.HasPrefix(src[percent:], "%") {
		return errorAt(src, percent, 1, `"%" is not expected here`, s.unitHint(src, tokenBefore(src, percent)))
	}
	if ended {
		hint := ""
		if hasUnclosedBracket(src) {
			hint = "a '(' has no ')'"
		}
		return &Error{Offset: len(strings.TrimRight(src, " \t\r\n")), Text: "the expression ends too early", Hint: hint}
	}
	if unexpected {
		text = quoted(src[offset:offset+wordAt(src, offset)]) + " is not expected here"
	}
	return errorAt(src, offset, 0, text, s.tokenHint(src, offset))
}

// quoted is a token for a message. What stands in quotes keeps them.
func quoted(token string) string {
	if strings.HasPrefix(token, `"`) && len(token) > 1 && strconv.CanBackquote(token) {
		return token
	}
	return strconv.Quote(token)
}

// errorAt is an error at a token; a width of zero is that of the token.
func errorAt(src string, offset, width int, text, hint string) *Error {
	if width == 0 || offset >= len(src) {
		width = wordAt(src, offset)
	}
	return &Error{Offset: offset, Width: width, Text: text, Hint: hint}
}

// tokenHint advises on the slips that a newcomer makes.
func (s *Scope) tokenHint(src string, at int) string {
	rest, before := src[at:], strings.TrimRight(src[:at], " \t\r\n")
	starts := func(prefix string) bool { return strings.HasPrefix(rest, prefix) }
	word := rest[:wordAt(src, at)]
	switch {
	case starts("=>"), starts("≥"):
		return "write >="
	case starts("=<"), starts("≤"):
		return "write <="
	case starts("=") && (strings.HasSuffix(before, "<") || strings.HasSuffix(before, ">")):
		return "write <= and >= in one piece"
	case starts("=") && isDigit(strings.TrimLeft(rest, "= "), 0):
		return "a measured number is never exactly another: write <, <=, > or >=, or between(x, a, b)"
	case starts("="):
		return "write == to compare a choice with a word"
	case starts(",") && isDigit(before, len(before)-1) && isDigit(rest, 1):
		return "write a decimal point, not a comma"
	case starts("≠"), starts(">") && strings.HasSuffix(before, "<"):
		return `write != for "is not"`
	case starts("&"):
		return `write "and"`
	case starts("|"):
		return `write "or"`
	case admitted[strings.ToLower(word)] && !admitted[word]:
		return fmt.Sprintf("write %q", strings.ToLower(word))
	}
	return s.wordHint(src, at, word)
}

// isDigit reports whether a digit stands at an offset.
func isDigit(text string, at int) bool {
	return at >= 0 && at < len(text) && '0' <= text[at] && text[at] <= '9'
}

// hasUnclosedBracket reports whether a '(' has no ')'. What stands in quotes does not count.
func hasUnclosedBracket(src string) bool {
	depth := 0
	for i := 0; i < len(src); i += max(skip(src[i:]), 1) {
		switch src[i] {
		case '(':
			depth++
		case ')':
			depth--
		}
	}
	return depth > 0
}

// tokenBefore is where the token begins that ends before an offset, white space
// left out.
func tokenBefore(src string, at int) int {
	end := len(strings.TrimRight(src[:min(at, len(src))], " \t\r\n"))
	start := end
	for start > 0 {
		r, n := utf8.DecodeLastRuneInString(src[:start])
		if !isWord(r) {
			break
		}
		start -= n
	}
	if start == end && start > 0 {
		_, n := utf8.DecodeLastRuneInString(src[:start])
		start -= n
	}
	return start
}

// unclosed is where a text in quotes or a comment begins that has no end.
func unclosed(src string) int {
	for i := 0; i < len(src); {
		n := skip(src[i:])
		if n < 0 {
			return i
		}
		i += n
	}
	return len(src)
}

// skip is the length of the text in quotes, the comment, or else the byte that
// a source begins with; -1 when it has no end.
func skip(src string) int {
	switch {
	case src[0] == '"' || src[0] == '\'':
		for i := 1; i < len(src) && src[i] != '\n'; i++ {
			switch src[i] {
			case src[0]:
				return i + 1
			case '\\':
				i++
			}
		}
		return -1
	case src[0] == '`':
		return past(src, "`", 1)
	case strings.HasPrefix(src, "/*"):
		return past(src, "*/", 2)
	case strings.HasPrefix(src, "//"):
		return past(src, "\n", 2)
	}
	return 1
}

// past is where src goes on after the next end, looked for from an offset.
func past(src, end string, from int) int {
	i := strings.Index(src[from:], end)
	if i < 0 {
		return -1
	}
	return from + i + len(end)
}
