package proof

import (
	"fmt"
	"strings"

	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

// maxPairs is how many pairs of alternatives of one pack are tried; a group of forty
// rules is larger than any that makes sense.
const maxPairs = 1000

// alternatives tries whether rules that are said to exclude each other do.
func (r *reader) alternatives() {
	pairs := 0
	for _, g := range r.pack.Alternatives {
		for i, second := range g.Rules {
			for _, first := range g.Rules[:i] {
				if pairs++; pairs > maxPairs {
					p := whole(second.WhenAt, second.WhenText, "the pack has more than %d pairs of alternatives; from here on they were not tried", maxPairs)
					p.Hint = "make the groups smaller"
					r.add("not-exclusive", nil, p)
					return
				}
				r.pair(first, second)
			}
		}
	}
}

func (r *reader) pair(first, second *rulefile.Rule) {
	claims := []truth.Claim{{Expr: first.When, Holds: true}, {Expr: second.When, Holds: true}}
	if first.Given != nil {
		claims = append(claims, truth.Claim{Expr: first.Given, Holds: true})
	}
	w, ok := r.pack.Scope.Witness(r.plausible, claims...)
	if !ok {
		return
	}
	p := whole(second.WhenAt, second.WhenText, "rules %q and %q are alternatives, but both hold with %s", first.ID, second.ID, r.tell(w))
	p.Hint = "part them with limits that do not overlap, or take them out of the group"
	p.Other = &first.WhenAt.Pos
	r.add("not-exclusive", excuses{first.Excuses, second.Excuses}, p)
}

// tell writes a witness as a technician would give the readings.
func (r *reader) tell(w []truth.Example) string {
	var parts []string
	if len(w) == 0 {
		return "nothing read"
	}
	for _, e := range w {
		reading := r.pack.Readings[e.Reading]
		switch {
		case reading.Kind == truth.YesNo && e.Yes:
			parts = append(parts, reading.ID+" yes")
		case reading.Kind == truth.YesNo:
			parts = append(parts, reading.ID+" no")
		case reading.Kind == truth.Choice:
			parts = append(parts, reading.ID+" "+reading.Among[e.Word])
		case e.Against != "":
			parts = append(parts, fmt.Sprintf("%s %s its specification", reading.ID, e.Against))
		default:
			parts = append(parts, reading.ID+" "+with(e.Number, reading.Unit))
		}
	}
	return strings.Join(parts, ", ")
}

// repeats reports rules that ask what another asks.
func (r *reader) repeats() {
	first := map[string]*rulefile.Rule{}
	for _, rule := range r.pack.Rules {
		asks := rule.When.NormalForm()
		if rule.Given != nil {
			asks += " given " + rule.Given.NormalForm()
		}
		before, twice := first[asks]
		if !twice {
			first[asks] = rule
			continue
		}
		p := at(rule.At, rule.ID, "rule %q asks the same as rule %q, and the same finding would count twice", rule.ID, before.ID)
		p.Hint, p.Other = "make one rule of them; a rule may show several states and faults", &before.At
		r.add("said-twice", excuses{before.Excuses, rule.Excuses}, p)
	}
}
