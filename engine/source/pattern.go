package source

import (
	"regexp"
	"sync"
)

// Pattern is a regular expression that is compiled when it is first asked for: a program
// that asks of few pays for few. The text must be one, as for regexp.MustCompile.
func Pattern(text string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(text) })
}

// Spelling is how ids of a kind are spelt. All types that read such ids have the same one, for
// its pattern is compiled once.
type Spelling struct {
	pattern string
	match   func() *regexp.Regexp
}

// Spelt makes a spelling of a regular expression, which has to match the whole id.
func Spelt(pattern string) Spelling { return Spelling{pattern, Pattern(pattern)} }

// Fits reports whether an id is spelt so.
func (s Spelling) Fits(id string) bool { return s.match().MatchString(id) }
