// Package drawing makes the drawings of culprit's pages: a reading against its
// limits, the way from a fault to what was read, weights of evidence and
// probabilities as bars. They are fragments of HTML with SVG in it, without script
// and without styles of their own.
//
// A page starts with [Templates] and [Style]: it parses its own templates into the
// set and calls {{template "gauge" .}}, "chain", "weight" or "share" with what
// [NewGauge], [NewChain], [NewWeight] and [NewShare] give. What an answer means is
// not decided here; a page says in words beside a drawing what the drawing shows.
package drawing

import (
	_ "embed"
	"html/template"
	"strconv"
	"strings"
	"unicode"
)

//go:embed fragments.html
var fragments string

//go:embed style.css
var style string

// Style is the stylesheet of the drawings and of pages that hold them: light and
// dark by what the reader's device asks for, black on white on paper.
func Style() template.CSS { return template.CSS(style) }

// Templates is a new set of templates with the drawings in it.
func Templates() *template.Template {
	return template.Must(template.New("drawings").Funcs(template.FuncMap{"clean": Clean}).Parse(fragments))
}

// Clean shows what would turn the direction of a text or cannot be seen, as
// U+FFFD: names and rules come from files. Line breaks and tabs stay.
func Clean(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) && r != '\n' && r != '\t' || unicode.Is(unicode.Cf, r) {
			return unicode.ReplacementChar
		}
		return r
	}, text)
}

// px is a length or a place in a drawing, in its own units.
type px float64

// String writes tenths, which is finer than any screen shows.
func (x px) String() string {
	text := strconv.FormatFloat(float64(x), 'f', 1, 64)
	return strings.TrimSuffix(text, ".0")
}

// Number writes a number that was worked out for a person: three significant
// digits, without an exponent as long as that is shorter.
func Number(x float64) string {
	text := strconv.FormatFloat(x, 'g', 3, 64)
	if rounded, err := strconv.ParseFloat(text, 64); err == nil {
		if plain := strconv.FormatFloat(rounded, 'f', -1, 64); len(plain) <= 9 {
			return plain
		}
	}
	return text
}
