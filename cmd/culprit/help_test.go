package main

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// A terminal is 80 columns wide until somebody makes it wider (common
// practice, no source), and a line that is longer breaks in the middle of a
// word. Width is counted in characters; every one of them takes one column.
func TestHelpFitsATerminal(t *testing.T) {
	texts := map[string]string{"overview": overview()}
	for i := range commands {
		texts[commands[i].name] = commands[i].help()
	}
	for name, text := range texts {
		for i, line := range strings.Split(text, "\n") {
			if n := utf8.RuneCountInString(line); n > 80 {
				t.Errorf("%s, line %d has %d columns: %s", name, i+1, n, line)
			}
			if strings.ContainsRune(line, '\t') {
				t.Errorf("%s, line %d has a tab, which is as wide as the terminal wants: %q", name, i+1, line)
			}
		}
	}
}
