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

// Excerpts are cut to maxExcerpt characters around the caret.
const maxExcerpt = 110

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
		fmt.Fprintf(b, "%s\n    %s\n", strings.TrimRight("    "+line, " \t"), carets)
	}
	if p.Hint != "" {
		fmt.Fprintf(b, "    %s\n", p.Hint)
	}
	if p.Other != nil {
		fmt.Fprintf(b, "    also here: %s\n", p.Other)
	}
}

// excerpt gives the line and the line of carets below it. Tabs stand in both, so that the carets line up
// whatever a tab's width is; characters that would move a terminal's cursor are shown as U+FFFD.
func excerpt(text []byte, column, width int) (line, carets string) {
	count := utf8.RuneCount(text) // a line may be megabytes long, so only what is shown becomes runes
	at := min(max(column-1, 0), count)
	from := 0
	if count > maxExcerpt {
		from = min(max(at-maxExcerpt/2, 0), count-maxExcerpt)
	}
	to := min(from+maxExcerpt, count)

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
