package source

import "bytes"

// block reads a literal ('|') or folded ('>') scalar.
func (s *scan) block(mark byte) bool {
	if s.peek(0) != mark {
		return false
	}
	for s.pos < len(s.src) && s.atBreak() == 0 {
		s.pos++ // indicators and a comment; the chomping shows in the text
	}
	s.pos += s.atBreak()
	indent, ok := s.indent()
	if !ok {
		return false
	}

	var pending []int // starts of the line breaks that have not been emitted
	var contentBreak bool
	var wasBlank bool // the last content line began with a blank
	for {
		indented := s.indentation(indent)
		if s.atBreak() > 0 {
			pending = append(pending, s.pos)
			s.pos += s.atBreak()
			continue
		}
		if s.pos >= len(s.src) || !indented {
			break
		}
		blank := s.atBlank()
		if mark == '>' && contentBreak && !wasBlank && !blank {
			// The break after the last line of content folds: alone into a space, before blank lines into nothing.
			if len(pending) == 1 && !s.emit(" ", pending[0], s.pos) {
				return false
			}
			pending = pending[1:]
		}
		if !s.breaks(pending) {
			return false
		}
		pending, wasBlank, contentBreak = nil, blank, false
		for s.pos < len(s.src) && s.atBreak() == 0 {
			if !s.char() {
				return false
			}
		}
		if n := s.atBreak(); n > 0 {
			pending, contentBreak = []int{s.pos}, true
			s.pos += n
		}
	}
	// Chomping keeps none of the last breaks, or one, or all.
	return s.breaks(pending[:min(len(s.text)-s.out, len(pending))])
}

// breaks emits the line breaks that start at the given offsets.
func (s *scan) breaks(at []int) bool {
	for _, i := range at {
		n := 1
		if s.src[i] == '\r' {
			n = 2
		}
		if !s.emit("\n", i, i+n) {
			return false
		}
	}
	return true
}

// indentation skips at most indent spaces and reports whether there were as many.
func (s *scan) indentation(indent int) bool {
	k := 0
	for k < indent && s.peek(0) == ' ' {
		k++
		s.pos++
	}
	return k == indent
}

// indent works out by how many spaces the content is indented: the first line that shows anything has that many
// more spaces in the file than it has in the text. False when no line shows anything.
func (s *scan) indent() (int, bool) {
	inText, ok := leading([]byte(s.text))
	if !ok {
		return 0, false
	}
	inFile, ok := leading(s.src[s.pos:])
	return inFile - inText, ok && inFile > inText
}

// leading counts the spaces before the first line's first character that is not a space, lines of spaces left out.
func leading(text []byte) (int, bool) {
	for line := range bytes.SplitSeq(text, []byte("\n")) {
		if rest := bytes.TrimLeft(line, " "); len(bytes.TrimSuffix(rest, []byte("\r"))) > 0 {
			return len(line) - len(rest), true
		}
	}
	return 0, false
}
