package source

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// MaxShown is how many problems are shown before the rest are only counted.
const MaxShown = 50

// A terminal has columns of 80 until somebody makes it wider, and a caret that the terminal moves to another line points at nothing. So
// lines of the file are cut around the caret, with room for their indentation and an ellipsis at either end, and hints are broken. The
// line that says what is wrong is not: editors read it as one.
const (
	columns    = 80
	indent     = "    "
	maxExcerpt = columns - len(indent) - 2
)

// Format writes the problems for a person:
//
//	rules.yaml:4:15: unknown reading "valve_dutty"
//	        when: low(valve_dutty)
//	                  ^^^^^^^^^^^
//	    did you mean "valve_duty"?
//	    also here: other.yaml:2:3
//
// It shows MaxShown problems and counts the rest. The error is the writer's.
func (ps Problems) Format(w io.Writer) error {
	var b strings.Builder
	for _, p := range ps[:min(len(ps), MaxShown)] {
		p.format(&b)
	}
	if more := len(ps) - MaxShown; more > 0 {
		fmt.Fprintf(&b, "and %d more\n", more)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (p Problem) format(b *strings.Builder) {
	fmt.Fprintln(b, p.Error())
	if p.Pos.File != nil && p.Pos.Line > 0 {
		line, carets := excerpt(p.Pos.File.line(p.Pos.Line), p.Pos.Column, p.Width)
		fmt.Fprintf(b, "%s\n%s%s\n", strings.TrimRight(indent+line, " \t"), indent, carets)
	}
	for _, line := range broken(p.Hint) {
		fmt.Fprintf(b, "%s%s\n", indent, line)
	}
	if p.Other != nil {
		fmt.Fprintf(b, "%salso here: %s\n", indent, p.Other)
	}
}

// broken breaks a hint at blanks into lines that fit behind the indentation; a word that is longer stays whole.
func broken(hint string) []string {
	const width = columns - len(indent)
	if hint == "" {
		return nil
	}
	if utf8.RuneCountInString(hint) <= width {
		return []string{hint}
	}
	var lines []string
	line, long := "", 0
	for _, word := range strings.Fields(hint) {
		n := utf8.RuneCountInString(word)
		if line == "" {
			line, long = word, n
		} else if long+1+n > width {
			lines, line, long = append(lines, line), word, n
		} else {
			line, long = line+" "+word, long+1+n
		}
	}
	return append(lines, line)
}

// excerpt gives the line and the line of carets below it. Tabs stand in both, so that the carets line up
// whatever a tab's width is; characters that would move a terminal's cursor are shown as U+FFFD.
func excerpt(text []byte, column, width int) (line, carets string) {
	count := utf8.RuneCount(text) // a line may be megabytes long, so only what is shown becomes runes
	at := min(max(column-1, 0), count)
	from, to := 0, count
	if count > columns-len(indent) {
		from = min(max(at-maxExcerpt/2, 0), count-maxExcerpt)
		to = from + maxExcerpt
	}

	var l, c strings.Builder
	if from > 0 {
		l.WriteString("…")
		c.WriteString(" ")
	}
	shown := text[afterRunes(text, from):]
	shown = shown[:afterRunes(shown, to-from)]
	for i, r := range []rune(string(shown)) {
		pad := ' '
		switch {
		case r == '\t':
			pad = r
		case unicode.IsControl(r) || !unicode.IsGraphic(r):
			r = unicode.ReplacementChar
		}
		l.WriteRune(r)
		if from+i < at {
			c.WriteRune(pad)
		}
	}
	if to < count {
		l.WriteString("…")
	}
	c.WriteString(strings.Repeat("^", max(1, min(width, to-at))))
	return l.String(), c.String()
}

// afterRunes is the offset behind so many characters.
func afterRunes(text []byte, count int) int {
	at := 0
	for ; count > 0 && at < len(text); count-- {
		_, n := utf8.DecodeRune(text[at:])
		at += n
	}
	return at
}
