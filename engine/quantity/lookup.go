package quantity

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// exact holds every spelling without its spaces, folded the same in lower case.
var exact, folded = spellings()

func spellings() (exact, folded map[string]Unit) {
	exact, folded = map[string]Unit{}, map[string]Unit{}
	for u := None; u < unitCount; u++ {
		for _, s := range append([]string{u.String()}, u.facts().aliases...) {
			s = strings.ReplaceAll(s, " ", "")
			exact[s] = u
			folded[strings.ToLower(s)] = u
		}
	}
	return exact, folded
}

// lookup finds the unit of a spelling.
func lookup(text string) (Unit, bool) {
	var buf, low [maxText + utf8.UTFMax]byte
	n, m := 0, 0
	for _, r := range text {
		if unicode.IsSpace(r) {
			continue
		}
		l := r
		if r < utf8.RuneSelf {
			l = unicode.ToLower(r)
		}
		if n+utf8.UTFMax > len(buf) { // invalid bytes grow when they are written as U+FFFD
			return None, false
		}
		n += utf8.EncodeRune(buf[n:], r)
		m += utf8.EncodeRune(low[m:], l)
	}
	if u, ok := exact[string(buf[:n])]; ok {
		return u, true
	}
	u, ok := folded[string(low[:m])]
	if !ok || capitalMatters(buf[0], u) {
		return None, false
	}
	return u, true
}

// capitalMatters keeps mega from being read as milli (MV, Mbar), siemens as seconds, and a lone prefix as kelvin.
func capitalMatters(first byte, u Unit) bool {
	symbol := u.String()
	return (first == 'M' && symbol[0] == 'm' && u != Minute) || (first == 'S' && u == Second) || (first == 'k' && u == Kelvin)
}
