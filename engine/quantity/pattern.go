package quantity

import (
	"regexp"
	"slices"
	"strings"
)

// Pattern is a regular expression (ECMA-262) for a figure as text: a number and perhaps a unit, without limits of error. It takes
// every such text that [Parse] takes; capitals that change a unit, and numbers beyond all bounds, only Parse tells.
func Pattern() string {
	var forms []string
	for u := None + 1; u < unitCount; u++ {
		for _, s := range append([]string{u.String()}, u.facts().aliases...) {
			if form := spellingPattern(s); !slices.Contains(forms, form) {
				forms = append(forms, form)
			}
		}
	}
	return `^\s*([-+]|−)?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][-+]?[0-9]+)?\s*(` + strings.Join(forms, "|") + `)?\s*$`
}

// spellingPattern takes a spelling with spaces anywhere and letters large or small, as lookup does.
func spellingPattern(s string) string {
	var parts []string
	for _, r := range strings.ReplaceAll(s, " ", "") {
		c := string(r)
		if low, up := strings.ToLower(c), strings.ToUpper(c); r < 0x80 && low != up {
			c = "[" + low + up + "]"
		} else {
			c = regexp.QuoteMeta(c)
		}
		parts = append(parts, c)
	}
	return strings.Join(parts, `\s*`)
}
