package proof

import (
	"fmt"
	"regexp"
	"slices"

	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

// usual is how many other rules have to stand a yes/no reading under given before it counts as a qualifier in this pack. A judgement.
const usual = 2

// qualifiers reports yes/no readings that a rule joins to its question although the pack's other rules have them under given, or
// the set-up list asks for them. A question of such readings alone is left alone.
func (r *reader) qualifiers() {
	givenIn := map[truth.Flag]int{}
	for _, rule := range r.pack.Rules {
		for _, f := range given(rule) {
			givenIn[f]++
		}
	}
	for _, rule := range r.pack.Rules {
		flags, rest := rule.When.Demands()
		var misplaced []truth.Flag
		for _, f := range flags {
			switch set := r.pack.Readings[f.Reading].SetUp; {
			case slices.Contains(given(rule), f):
				// it can be no there no more
			case givenIn[f] >= usual, set != nil && set.MustBe == f.Yes:
				misplaced = append(misplaced, f)
			default:
				rest = true
			}
		}
		if rest {
			for _, f := range misplaced {
				r.misplaced(rule, f, givenIn[f])
			}
		}
	}
}

// given lists what a rule has under given.
func given(rule *rulefile.Rule) []truth.Flag {
	if rule.Given == nil {
		return nil
	}
	flags, _ := rule.Given.Demands()
	return flags
}

func (r *reader) misplaced(rule *rulefile.Rule, f truth.Flag, others int) {
	id := r.pack.Readings[f.Reading].ID
	said := id
	if !f.Yes {
		said = "not " + id
	}
	offset, width := 0, len(rule.WhenText)
	if m := regexp.MustCompile(`\b` + id + `\b`).FindStringIndex(rule.WhenText); m != nil {
		offset, width = m[0], m[1]-m[0]
	}
	why := "the set-up list asks for it"
	if others > 0 {
		why = fmt.Sprintf("%d other rules have it there", others)
		if others == 1 {
			why = "another rule has it there"
		}
	}
	p := within(rule.WhenAt, offset, width, "where %s is not so, this rule does not hold, and counts as if the question had been answered", said)
	p.Hint = fmt.Sprintf("if it only says when the question makes sense, write it under \"given\" (%s): then the rule does not apply", why)
	r.add("qualifier-in-when", excuses{rule.Excuses}, p)
}
