package main

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"culprit/cmd/culprit/internal/drawing"
)

// page writes text for a person: lines are broken at the width of the terminal
// and continued under where their text began.
type page struct {
	w      io.Writer
	width  int
	colour bool
}

func (s *stdio) page() *page { return &page{w: s.out, width: s.width, colour: s.colour} }

// Only weight is used, no colours, so that light and dark terminals read alike.
const (
	bold  = "1"
	faint = "2"
)

func (p *page) styled(style, text string) string {
	if !p.colour || text == "" {
		return text
	}
	return "\x1b[" + style + "m" + text + "\x1b[0m"
}

func (p *page) blank() { fmt.Fprintln(p.w) }

// line writes a lead, padded to indent columns, and text broken under itself.
func (p *page) line(lead string, indent int, text string) {
	p.styledLine("", lead, indent, "", text)
}

// styledLine is line with a style each for lead and text.
func (p *page) styledLine(leadStyle, lead string, indent int, textStyle, text string) {
	pad := strings.Repeat(" ", max(0, indent-utf8.RuneCountInString(lead)))
	for i, part := range wrap(text, max(20, p.width-indent)) {
		if i > 0 {
			lead, pad, leadStyle = "", strings.Repeat(" ", indent), ""
		}
		fmt.Fprintln(p.w, strings.TrimRight(p.styled(leadStyle, lead)+pad+p.styled(textStyle, part), " "))
	}
}

// wrap breaks text at spaces into lines of at most width characters; a word
// longer than that has a line of its own. There is at least one line.
func wrap(text string, width int) []string {
	var lines []string
	var line strings.Builder
	n := 0
	for _, word := range strings.Fields(clean(text)) {
		k := utf8.RuneCountInString(word)
		if n > 0 && n+1+k > width {
			lines = append(lines, line.String())
			line.Reset()
			n = 0
		}
		if n > 0 {
			line.WriteByte(' ')
			n++
		}
		line.WriteString(word)
		n += k
	}
	return append(lines, line.String())
}

// clean shows what would steer a terminal, or turn the direction of the text,
// as U+FFFD: names and rules come from files.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) && r != '\n' && r != '\t' || unicode.Is(unicode.Cf, r) {
			return unicode.ReplacementChar
		}
		return r
	}, text)
}

// cut shortens text to a number of characters.
func cut(text string, width int) string {
	text = clean(text)
	if utf8.RuneCountInString(text) <= width {
		return text
	}
	return strings.TrimRight(string([]rune(text)[:max(0, width-1)]), " ") + "…"
}

// bar draws a share of width columns to an eighth of a column.
func bar(share float64, width int) string {
	eighths := int(share*float64(width*8) + 0.5)
	b := strings.Repeat("█", eighths/8)
	if rest := eighths % 8; rest > 0 {
		b += string([]rune(" ▏▎▍▌▋▊▉")[rest])
	}
	return b
}

// percent writes a probability as the pages do.
func percent(p float64) string {
	return drawing.Percent(p)
}

// in100 writes how often something is so.
func in100(p float64) string { return fmt.Sprintf("%.2g in 100", 100*p) }
