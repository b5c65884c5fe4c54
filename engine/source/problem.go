package source

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// A Problem is one thing that is wrong at one place.
type Problem struct {
	Pos   Pos
	Width int    // characters to underline, at least one
	Text  string // what is wrong
	Hint  string // how to mend it; may be empty
	Other *Pos   // the second place, for what stands there twice
}

// Error gives "file:line:column: text".
func (p Problem) Error() string { return p.Pos.String() + ": " + p.Text }

// Problems is a list of problems, and an error when it is not empty.
type Problems []Problem

// Sort orders by file name, line and column; problems of one place keep their order.
func (ps Problems) Sort() {
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(
			strings.Compare(a.fileName(), b.fileName()),
			cmp.Compare(a.Pos.Line, b.Pos.Line),
			cmp.Compare(a.Pos.Column, b.Pos.Column),
		)
	})
}

func (p Problem) fileName() string {
	if p.Pos.File == nil {
		return ""
	}
	return p.Pos.File.Name
}

// Error gives the problems one a line, at most MaxShown of them, without the lines they are about.
// Format shows those too.
func (ps Problems) Error() string {
	var b strings.Builder
	for i, p := range ps[:min(len(ps), MaxShown)] {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(p.Error())
	}
	if more := len(ps) - MaxShown; more > 0 {
		fmt.Fprintf(&b, "\nand %d more", more)
	}
	return b.String()
}

// Err is ps as an error, or nil when there is none.
func (ps Problems) Err() error {
	if len(ps) == 0 {
		return nil
	}
	return ps
}
