package main

import (
	"context"
	"fmt"
	"math"
	"strings"

	"culprit/engine"
)

// closest is how many pairs of faults the text tells; JSON has all.
const closest = 15

// tellApart writes what can be told apart in a pack.
func tellApart(s *stdio, pack *engine.Pack, format string) error {
	a, err := pack.Apart(context.Background())
	if err != nil {
		return err
	}
	if format == "json" {
		return writeJSON(s.out, a)
	}
	p := s.page()
	about := "What all checks together are expected to tell, in decibans (+10 makes the odds ten times), whichever of two faults is the only one. " +
		"Two rules whose givens exclude each other both count, so this is the most that can be."
	if n := len(a.LeftOut); n > 0 {
		about += fmt.Sprintf(" Left out: %s that no check bears on, or that do not apply to a car that is ready.", plural(n, "rule"))
	}
	p.line("", 0, about)
	var ready []string
	for _, x := range a.SetUp {
		is := "no"
		if x.Is {
			is = "yes"
		}
		ready = append(ready, x.Reading+" "+is)
	}
	if ready != nil {
		p.line("taken as so", 13, strings.Join(ready, ", "))
	}
	p.blank()
	switch {
	case len(a.Pairs) == 0:
		p.line("", 0, "there are no two faults in this pack")
	case len(a.Groups) == 0 && a.Pairs[0].Least() >= a.Threshold:
		p.line("", 0, fmt.Sprintf("every two faults are %g decibans apart or more", a.Threshold))
	case len(a.Groups) == 0:
		p.line("", 0, fmt.Sprintf("no two faults are sure to be less than %g decibans apart", a.Threshold))
	}
	for _, g := range a.Groups {
		p.styledLine("", "not apart", 13, bold, fmt.Sprintf("%s (less than %g)", strings.Join(g, ", "), a.Threshold))
	}
	p.blank()
	for i := range a.Pairs[:min(closest, len(a.Pairs))] {
		x := &a.Pairs[i]
		by := "no check separates them"
		if b := x.Best; b != nil {
			by = fmt.Sprintf("best by %s, %s", strings.Join(append([]string{b.Check}, b.With...), " with "), decibans(b.Least()))
		}
		p.line(span(x.Least(), x.Most()), 13, fmt.Sprintf("%s and %s: %s", x.Faults[0], x.Faults[1], by))
	}
	if n := len(a.Pairs) - closest; n > 0 {
		p.line("", 13, fmt.Sprintf("and %s further apart", plural(n, "pair")))
	}
	return nil
}

// span writes a number, or the bounds of one that is not known exactly.
func span(least, most float64) string {
	a, b := decibans(least), decibans(most)
	switch {
	case a == b:
		return a
	case math.IsInf(most, 1):
		return "from " + a
	}
	return a + "-" + b
}

func decibans(x float64) string {
	if math.IsInf(x, 1) {
		return "certain"
	}
	return fmt.Sprintf("%.1f", x)
}
