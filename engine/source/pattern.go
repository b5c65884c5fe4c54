package source

import (
	"regexp"
	"sync"
)

// Pattern is a regular expression that is compiled when it is first asked for: a program
// that asks of few pays for few. The text must be one, as for regexp.MustCompile.
func Pattern(text string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp {
		if match, ok := compiled.Load(text); ok {
			return match.(*regexp.Regexp)
		}
		match := regexp.MustCompile(text)
		compiled.Store(text, match)
		return match
	})
}

// compiled are the patterns by their texts, since many tables have ids of the same form.
var compiled sync.Map
