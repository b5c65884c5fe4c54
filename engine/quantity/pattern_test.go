package quantity

import (
	"regexp"
	"testing"
)

// Every spelling of every unit, and what is like none. Go's \s knows fewer spaces than that of ECMA-262.
func TestPattern(t *testing.T) {
	pattern := regexp.MustCompile(Pattern())
	for u := None; u < unitCount; u++ {
		for _, s := range append([]string{u.String()}, u.facts().aliases...) {
			for _, text := range []string{"-1.5e3 " + s, "−7" + s, " .5  " + s + " "} {
				if _, err := Parse(text); err != nil || !pattern.MatchString(text) {
					t.Errorf("%q: %v, the pattern says %v", text, err, pattern.MatchString(text))
				}
			}
		}
	}
	for _, c := range []struct {
		reason, text string
		takes        bool
	}{
		{"capitals", "12 KPA", true},
		{"a unit in two words", "25.2 DEG dwell 4", true},
		{"no unit", "+850", true},
		{"no number", "bar", false},
		{"a unit that nobody has", "5 bananas", false},
		{"a decimal comma", "1,9 %", false},
		{"a hexadecimal number", "0x10", false},
		{"limits of error", "1.9 % ± 0.06", false},
		{"infinity", "inf", false},
		{"nothing", "", false},
	} {
		if got := pattern.MatchString(c.text); got != c.takes {
			t.Errorf("%s: %q: %v", c.reason, c.text, got)
		}
		if q, err := Parse(c.text); (err == nil && !q.HasU) != c.takes {
			t.Errorf("%s: %q: Parse says %v, %v", c.reason, c.text, q, err)
		}
	}
}
