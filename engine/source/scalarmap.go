package source

import (
	"sort"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// A scalarMap says which bytes of a file the bytes of a scalar's decoded text came from. It is made of runs:
// text bytes from..to came from file bytes src..end. Where they were copied they correspond byte by byte, otherwise (an
// escape, a folded line break) the whole stands for the whole.
type scalarMap []run

type run struct {
	from, to, src, end int
	copied             bool
}

// source gives the file offset of the text byte at offset.
func (m scalarMap) source(offset int) int {
	r := m.at(offset)
	if r.copied {
		return r.src + offset - r.from
	}
	return r.src
}

// after gives the file offset just after the text that ends before offset.
func (m scalarMap) after(offset int) int {
	if offset <= 0 {
		return m.source(0)
	}
	r := m.at(offset - 1)
	if r.copied {
		return r.src + offset - r.from
	}
	return r.end
}

func (m scalarMap) at(offset int) run {
	i := sort.Search(len(m), func(i int) bool { return m[i].to > offset })
	return m[min(i, len(m)-1)]
}

// mapScalar reads the scalar at line and column of the file again, in step with the text that the parser made of
// it. It gives false when the two do not agree to the last byte (as after the tag "!", which says nothing), or when
// the text shows nothing.
func mapScalar(f *File, line, column int, style yaml.Style, text string) (scalarMap, bool) {
	s := &scan{src: f.Text, pos: f.offset(line, column), text: text}
	var ok bool
	switch {
	case style&yaml.DoubleQuotedStyle != 0:
		ok = s.quoted('"')
	case style&yaml.SingleQuotedStyle != 0:
		ok = s.quoted('\'')
	case style&yaml.LiteralStyle != 0:
		ok = s.block('|')
	case style&yaml.FoldedStyle != 0:
		ok = s.block('>')
	default:
		ok = s.plain()
	}
	return s.runs, ok && s.done() && len(s.runs) > 0
}

// scan walks along the file and the decoded text at once.
type scan struct {
	src  []byte
	pos  int // in src
	text string
	out  int // in text: how much of it has been found
	runs scalarMap
}

func (s *scan) done() bool { return s.out == len(s.text) }

// peek gives the file's byte at k from here, 0 at its end.
func (s *scan) peek(k int) byte {
	if s.pos+k < len(s.src) {
		return s.src[s.pos+k]
	}
	return 0
}

func (s *scan) atBlank() bool { return s.peek(0) == ' ' || s.peek(0) == '\t' }

// atBreak gives the length of the line break here, 0 if there is none.
func (s *scan) atBreak() int {
	switch {
	case s.peek(0) == '\n':
		return 1
	case s.peek(0) == '\r' && s.peek(1) == '\n':
		return 2
	}
	return 0
}

// emit says that the file bytes src..end stand for t. False means that the parser's text goes on differently.
func (s *scan) emit(t string, src, end int) bool {
	if len(s.text)-s.out < len(t) || s.text[s.out:s.out+len(t)] != t {
		return false
	}
	r := run{s.out, s.out + len(t), src, end, t == string(s.src[src:end])}
	s.out = r.to
	if k := len(s.runs) - 1; k >= 0 && r.copied && s.runs[k].copied && s.runs[k].end == src {
		s.runs[k].to, s.runs[k].end = r.to, r.end
		return true
	}
	s.runs = append(s.runs, r)
	return true
}

// copy takes n bytes of the file as they are.
func (s *scan) copy(n int) bool {
	ok := s.emit(string(s.src[s.pos:s.pos+n]), s.pos, s.pos+n)
	s.pos += n
	return ok
}

// char takes one character of the file as it is.
func (s *scan) char() bool {
	_, n := utf8.DecodeRune(s.src[s.pos:])
	return s.copy(n)
}
