package source

import (
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// A Spot is where something stands, together with what is needed to find the place of any byte of its text.
// Pos is where it begins: the opening quote, the '|', the first character.
type Spot struct {
	Pos
	style yaml.Style
	text  string // the decoded text of a scalar, "" for lists and mappings
}

func spot(f *File, n *yaml.Node) Spot {
	s := Spot{Pos: Pos{f, n.Line, n.Column}}
	if n.Kind == yaml.ScalarNode {
		s.style, s.text = n.Style, n.Value
	}
	return s
}

// Whole gives the place of all of the text that stands there, and how many characters to underline. Of a list or mapping that is
// one.
func (s Spot) Whole() (Pos, int) { return s.At(0, len(s.text)) }

// At gives the place of width bytes at offset in the decoded text, and how many characters to underline there
// (at least one, and none past the end of that line). Offsets in trailing white space, or past the end, give the
// place just after the last visible character. The map from decoded text to file is worked out here, when an error needs it.
// Where that fails the place is the start of the scalar.
func (s Spot) At(offset, width int) (Pos, int) {
	if s.File == nil || s.text == "" {
		return s.Pos, 1
	}
	visible := len(strings.TrimRight(s.text, " \t\n"))
	offset = min(max(offset, 0), visible)
	end := min(offset+max(width, 0), visible)
	if s.style == 0 && !strings.ContainsAny(s.text[:end], " \t\n") {
		// A plain word, in most cases: its bytes stand as they are.
		column := s.Column + utf8.RuneCountInString(s.text[:offset])
		return Pos{s.File, s.Line, column}, max(1, utf8.RuneCountInString(s.text[offset:end]))
	}
	m, ok := mapScalar(s.File, s.Line, s.Column, s.style, s.text)
	if !ok {
		return s.Pos, 1
	}
	var from, to int
	if offset < visible {
		from = m.source(offset)
	} else {
		from = m.after(offset)
	}
	to = m.after(end)
	pos := s.File.PosAt(from)
	if to <= from {
		return pos, 1
	}
	if i := strings.IndexAny(string(s.File.Text[from:to]), "\r\n"); i >= 0 {
		to = from + i
	}
	return pos, max(1, utf8.RuneCount(s.File.Text[from:to]))
}
