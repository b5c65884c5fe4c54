package quantity

import (
	"strings"
	"unicode/utf8"

	"culprit/engine/source"
)

// nearest is the unit that s is most likely a slip of, None when there is none near. Words of one or two letters
// all look alike, so there only capitals may differ.
func nearest(s string) Unit {
	near := source.Nearest(s, spelled)
	if utf8.RuneCountInString(s) < 3 && !strings.EqualFold(near, s) {
		return None
	}
	return exact[strings.ReplaceAll(near, " ", "")]
}

// spelled lists the symbols, and then the other spellings, so that a symbol wins where both are equally near.
var spelled = func() (all []string) {
	for u := None + 1; u < unitCount; u++ {
		all = append(all, u.String())
	}
	for u := None + 1; u < unitCount; u++ {
		all = append(all, u.facts().aliases...)
	}
	return all
}()
