package source

import (
	"strconv"
	"unicode/utf8"
)

// plain reads a scalar without quotes. Where it ends depends on what is around it, so the end is taken from the text.
func (s *scan) plain() bool {
	for !s.done() {
		switch {
		case s.pos >= len(s.src):
			return false
		case s.atBlank() || s.atBreak() > 0:
			if !s.space(false) {
				return false
			}
		case !s.char():
			return false
		}
	}
	return true
}

// quoted reads a scalar between quotes of the given kind.
func (s *scan) quoted(quote byte) bool {
	if s.peek(0) != quote {
		return false
	}
	s.pos++
	for s.pos < len(s.src) {
		ok := true
		switch c := s.peek(0); {
		case c == quote && quote == '\'' && s.peek(1) == quote:
			ok = s.emit("'", s.pos, s.pos+2)
			s.pos += 2
		case c == quote:
			return true
		case c == '\\' && quote == '"':
			ok = s.escape()
		case s.atBlank() || s.atBreak() > 0:
			ok = s.space(false)
		default:
			ok = s.char()
		}
		if !ok {
			return false
		}
	}
	return false
}

// space reads blanks and line breaks inside a plain or quoted scalar. Blanks within a line stay; those around a
// break go, one break becomes a space, and of several one goes and the others stay. After an escaped line break
// (joined) no break counts as the first and blanks at the start of the line go.
func (s *scan) space(joined bool) bool {
	start := s.pos
	for s.atBlank() {
		s.pos++
	}
	if s.atBreak() == 0 {
		return joined || s.emit(string(s.src[start:s.pos]), start, s.pos)
	}
	first := !joined
	blankLines := 0
	for s.atBlank() || s.atBreak() > 0 {
		n := s.atBreak()
		switch {
		case n == 0:
			s.pos++
			continue
		case first:
			first = false
		default:
			if !s.emit("\n", s.pos, s.pos+n) {
				return false
			}
			blankLines++
		}
		s.pos += n
	}
	if blankLines == 0 && !joined {
		return s.emit(" ", start, s.pos)
	}
	return true
}

// simpleEscapes are those of one letter, with what each stands for.
var simpleEscapes = map[byte]string{
	'0': "\x00", 'a': "\a", 'b': "\b", 't': "\t", '\t': "\t", 'n': "\n", 'v': "\v", 'f': "\f", 'r': "\r", 'e': "\x1b",
	' ': " ", '"': "\"", '\'': "'", '\\': "\\", 'N': "\u0085", '_': "\u00a0", 'L': "\u2028", 'P': "\u2029",
}

// escape reads a backslash and what follows it in double quotes.
func (s *scan) escape() bool {
	start := s.pos
	s.pos++
	if n := s.atBreak(); n > 0 {
		s.pos += n
		return s.space(true)
	}
	letter := s.peek(0)
	s.pos++
	if t, ok := simpleEscapes[letter]; ok {
		return s.emit(t, start, s.pos)
	}
	digits := map[byte]int{'x': 2, 'u': 4, 'U': 8}[letter]
	if digits == 0 || s.pos+digits > len(s.src) {
		return false
	}
	code, err := strconv.ParseUint(string(s.src[s.pos:s.pos+digits]), 16, 32)
	if err != nil || code > utf8.MaxRune {
		return false
	}
	s.pos += digits
	return s.emit(string(utf8.AppendRune(nil, rune(code))), start, s.pos)
}
