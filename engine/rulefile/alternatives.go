package rulefile

import (
	"fmt"
	"strings"

	"culprit/engine/source"
)

// resolveAlternatives makes the groups of rules that exclude each other and checks that they can.
func (l *loader) resolveAlternatives() {
	groups := make(map[string]*Alternatives)
	for i, e := range l.rules.raw {
		name := e.V.alternatives
		if !name.Set {
			continue
		}
		g := groups[name.V]
		if g == nil {
			g = &Alternatives{Name: name.V}
			groups[name.V] = g
			l.pack.Alternatives = append(l.pack.Alternatives, g)
		}
		r := l.rules.things[i]
		r.Alternatives = g
		g.Rules = append(g.Rules, r)
	}
	for _, g := range l.pack.Alternatives {
		l.checkGroup(g)
	}
}

// named is where a rule names its group.
func (l *loader) named(r *Rule) source.Spot { return l.rules.raw[r.Index].V.alternatives.Spot }

func (l *loader) checkGroup(g *Alternatives) {
	first := g.Rules[0]
	if len(g.Rules) == 1 {
		others := func() []string {
			var names []string
			for _, other := range l.pack.Alternatives {
				if other != g {
					names = append(names, other.Name)
				}
			}
			return names
		}
		if !l.partial {
			l.At(l.named(first), "no other rule has alternatives %q", g.Name).Hint = l.Near(g.Name, "alternatives are two rules or more", others)
		}
		return
	}
	sound := true
	for _, r := range g.Rules {
		sound = l.showsOneCondition(g, r) && sound
		sound = sound && l.rules.raw[r.Index].V.otherwise.Set
		if r != first && !sameExpression(r.GivenText, first.GivenText) {
			at := r.GivenAt
			if r.GivenText == "" {
				at = l.named(r)
			}
			other := first.At
			if first.GivenText != "" {
				other = first.GivenAt.Pos
			}
			l.At(at, "alternatives %q have the same \"given\", and this one differs from that of %q", g.Name, first.ID).Other = &other
		}
	}
	if sound && g.Condition != nil {
		l.checkSums(g)
	}
}

// showsOneCondition checks that a rule shows states of the group's condition and nothing else; the first rule decides which that is.
func (l *loader) showsOneCondition(g *Alternatives, r *Rule) bool {
	if len(r.Shows) < len(l.rules.raw[r.Index].V.shows.V) || len(r.Shows) == 0 {
		return false // the rest was reported
	}
	for _, s := range r.Shows {
		switch {
		case s.Fault != nil:
			l.Add(source.Problem{Pos: s.At, Width: len(s.Fault.ID), Text: fmt.Sprintf("alternatives show states of one condition, and %q is a fault", s.Fault.ID)})
			return false
		case g.Condition == nil:
			g.Condition = s.Condition
		case g.Condition != s.Condition:
			l.Add(source.Problem{
				Pos: s.At, Width: len(s.Condition.ID), Other: &g.Rules[0].Shows[0].At,
				Text: fmt.Sprintf("alternatives %q show states of one condition: %q and not %q", g.Name, g.Condition.ID, s.Condition.ID),
			})
			return false
		}
	}
	return true
}

// checkSums checks that in each state of the condition, and in none, the chances of the rules add up to at most 1. Where several
// states are caused at once they share the condition, so a mean of these sums holds and is no larger.
func (l *loader) checkSums(g *Alternatives) {
	l.checkSum(g, "nothing is so", -1)
	for k, s := range g.Condition.States {
		l.checkSum(g, g.Condition.ID+" is "+s.ID, k)
	}
}

func (l *loader) checkSum(g *Alternatives, when string, state int) {
	const rounding = 1e-9
	sum := 0.0
	var parts []string
	for _, r := range g.Rules {
		p := r.Otherwise
		for _, s := range r.Shows {
			if s.State == state {
				p = s.Strength
			}
		}
		sum += p
		parts = append(parts, fmt.Sprintf("%s %v", r.ID, p))
	}
	if sum > 1+rounding {
		last := g.Rules[len(g.Rules)-1]
		l.At(l.named(last), "when %s, the alternatives %q hold with chances that add up to %.4g, more than 1", when, g.Name, sum).
			Hint = strings.Join(parts, ", ")
	}
}

// list writes words as "a, b".
func list(words []string) string { return strings.Join(words, ", ") }
