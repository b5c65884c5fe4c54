package truth

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"culprit/engine/quantity"
	"culprit/engine/source"
)

// unitHint advises on a number that begins at an offset and has something behind it that looks like a unit. It names the unit of the
// reading that the number is compared with, where that is plain.
func (s *Scope) unitHint(src string, number int) string {
	hint := "write only the number, in the unit of the reading"
	operator := tokenBefore(src, number)
	i, ok := s.index[nameBefore(src, operator)]
	if !ok || operator >= number || !strings.ContainsAny(src[operator:operator+1], "<>=") {
		return hint
	}
	switch u := s.readings[i].Unit; {
	case s.readings[i].Kind != Number:
		return hint
	case u == quantity.None:
		return "write only the number: " + s.readings[i].ID + " has no unit"
	default:
		return hint + ": " + u.String()
	}
}

// nameBefore is the word that ends before an offset, signs of comparison left out.
func nameBefore(src string, at int) string {
	rest := strings.TrimRight(src[:min(at, len(src))], " \t\r\n<>=!")
	start := tokenBefore(rest, len(rest))
	return rest[start:]
}

// wordHint advises on a word where none is expected: a unit behind a number, or a comparison in words.
func (s *Scope) wordHint(src string, at int, word string) string {
	if first, _ := utf8.DecodeRuneInString(word); !unicode.IsLetter(first) && first != '°' {
		return ""
	}
	previous := tokenBefore(src, at)
	if previous >= at {
		return ""
	}
	if _, ok := s.index[word]; ok {
		if name := strings.TrimSpace(src[previous:at]); functions()[name] != nil {
			return fmt.Sprintf("write %s(%s)", name, word)
		}
		return `join two questions with "and" or "or"`
	}
	if '0' <= src[previous] && src[previous] <= '9' {
		return s.unitHint(src, previous)
	}
	i, ok := s.index[strings.TrimSpace(src[previous:at])]
	if !ok {
		return ""
	}
	r := s.readings[i]
	switch r.Kind {
	case Choice:
		if w := wordOf(r.Among, src[at:]); w != "" {
			return fmt.Sprintf("write %s == %q", r.ID, w)
		}
		return verdictHint(Choice, r.ID)
	case YesNo:
		return fmt.Sprintf("a yes/no reading stands for itself: %[1]s, or not %[1]s", r.ID)
	case Trace:
		return verdictHint(Trace, r.ID)
	}
	asked, limit := src[at:], "…"
	if m := plainNumber().FindStringIndex(asked); m != nil {
		asked, limit = asked[:m[0]], asked[m[0]:m[1]]
	}
	return fmt.Sprintf("write a comparison: %s %s %s", r.ID, signOf(asked), limit)
}

// wordOf is the word of a choice that stands in a text, or "".
func wordOf(among []string, text string) string {
	said := words(text)
	for _, w := range among {
		if strings.Contains(" "+said+" ", " "+w+" ") {
			return w
		}
	}
	return ""
}

func words(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !isWord(r) && r != '-' }), " ")
}

var (
	plainNumber = source.Pattern(`[0-9]+(\.[0-9]+)?`)
	upToPlain   = source.Pattern(`\b(at most|up to|not (above|over|more|greater|higher))\b`)
	fromPlain   = source.Pattern(`\b(at least|from|not (below|under|less|lower|smaller))\b`)
	lessPlain   = source.Pattern(`\b(below|under|less|lower|smaller|beneath)\b`)
)

// signOf is the comparison that words ask for; ">" where they leave it open.
func signOf(text string) string {
	switch said := words(text); {
	case upToPlain().MatchString(said):
		return "<="
	case fromPlain().MatchString(said):
		return ">="
	case lessPlain().MatchString(said):
		return "<"
	}
	return ">"
}
