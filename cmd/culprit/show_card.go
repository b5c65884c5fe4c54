package main

import (
	"fmt"
	"slices"
	"strings"

	"culprit/engine"
)

// How much of a list is shown without --full, so that a card stays near a screen.
const (
	mostWeights = 4
	mostNearest = 3
	mostCases   = 3
	mostLinks   = 6
)

// cardText writes cards for a person.
type cardText struct {
	*page
	full bool
}

// render prints a card, the answers to what is asked most first: of a fault what
// would raise and lower it, of anything else what it hangs together with.
func (r *cardText) render(c shownCard) {
	r.styledLine("", "", 0, bold, fmt.Sprintf("%s %s: %s", c.Kind, c.ID, c.Label))
	r.styledLine("", "", 2, faint, c.Where)
	if c.Doc != "" {
		r.line("", 2, c.Doc)
	}
	if c.Kind == "fault" {
		r.weights("would raise it", c, c.Raises)
		r.weights("would lower it", c, c.Lowers)
		r.nearest(c.Nearest)
		r.cases(c.Cases)
		r.facts(c.Facts)
		r.links(c)
		return
	}
	r.facts(c.Facts)
	r.weights("speaks for", c, c.Raises)
	r.weights("speaks against", c, c.Lowers)
	r.links(c)
	r.cases(c.Cases)
}

func (r *cardText) facts(all []engine.Fact) {
	for _, f := range all {
		r.line("  "+f.Name, 20, f.Text)
	}
}

// few is how much of a list of n is shown.
func (r *cardText) few(n, most int) int {
	if r.full {
		return n
	}
	return min(n, most)
}

// more says how many were left out.
func (r *cardText) more(n, shown int) {
	if n > shown {
		r.styledLine("", "", 6, faint, fmt.Sprintf("and %d more (--full)", n-shown))
	}
}

// weights lists answers of rules: each with its weight, then the way from the
// fault to the rule, and the readings with the check that yields them.
func (r *cardText) weights(heading string, c shownCard, all []engine.Weighs) {
	if len(all) == 0 {
		if c.Kind == "fault" {
			r.line("", 2, heading+": no rule")
		}
		return
	}
	r.line("", 2, heading+", in decibans: "+map[bool]string{true: "it", false: "the fault"}[c.Kind == "fault"]+" alone against no fault at all")
	shown := r.few(len(all), mostWeights)
	for _, x := range all[:shown] {
		lead, is := fmt.Sprintf("%8s", weightOf(x)), "holds"
		if !x.Holds {
			is = "does not hold"
		}
		if c.Kind == "rule" {
			r.line(lead, 10, r.short(fmt.Sprintf("%s, when it %s%s", x.Fault, is, through(x)), 10))
			continue
		}
		r.line(lead, 10, r.short(fmt.Sprintf("%s %s: %s", x.Rule, is, x.Says), 10))
		r.styledLine("", "", 10, faint, carried(x))
	}
	r.more(len(all), shown)
}

func weightOf(x engine.Weighs) string {
	switch {
	case x.Decibans != nil:
		return fmt.Sprintf("%+.1f", *x.Decibans)
	case x.Chance == 0:
		return "excluded"
	}
	return "certain"
}

// through names the state by which a fault acts on a rule.
func through(x engine.Weighs) string {
	text := ""
	var states []string
	for _, k := range x.Chains {
		if k.Condition != "" {
			states = append(states, k.Condition+"."+k.State)
		}
	}
	if len(states) > 0 {
		text = ", through " + strings.Join(states, " and ")
	}
	if x.LinkGiven != "" {
		text += ", given " + x.LinkGiven
	}
	return text
}

// carried tells how probable an answer is, through what, and where it comes from.
func carried(x engine.Weighs) string {
	text := fmt.Sprintf("%s, else %s%s", in100(x.Chance), in100(x.Without), through(x))
	if len(x.Readings) > 0 {
		text += "; " + strings.Join(x.Readings, ", ")
	}
	var checks []string
	for _, k := range x.Checks {
		checks = append(checks, fmt.Sprintf("%s (%g min)", k.Check, k.Minutes))
	}
	if checks != nil {
		return text + " by " + strings.Join(checks, " and ")
	}
	return text + ", which no check yields"
}

func (r *cardText) nearest(all []engine.NearFault) {
	if len(all) == 0 {
		return
	}
	r.line("", 2, "hardest to tell from, with the decibans to expect of all checks together")
	shown := r.few(len(all), mostNearest)
	for _, n := range all[:shown] {
		weight := "certain"
		if n.Decibans != nil {
			weight = fmt.Sprintf("%.1f", *n.Decibans)
		}
		r.line(fmt.Sprintf("%8s", weight), 10, r.short(n.Fault+": "+n.Label, 10))
	}
	r.more(len(all), shown)
}

// links lists relations, each with what it leads to; of a fault without those
// that the weights have told.
func (r *cardText) links(c shownCard) {
	var relations []string
	by := map[string][]engine.Link{}
	for _, l := range c.Links {
		told := c.Kind == "fault" && !r.full && (l.Relation == "is pointed at by" || strings.HasPrefix(l.Relation, "shows through "))
		if told || l.Relation == needsFirst {
			continue
		}
		if !slices.Contains(relations, l.Relation) {
			relations = append(relations, l.Relation)
		}
		by[l.Relation] = append(by[l.Relation], l)
	}
	for _, relation := range relations {
		all := by[relation]
		r.line("", 2, relation)
		shown := r.few(len(all), mostLinks)
		if relation == cautions {
			shown = len(all)
		}
		for _, l := range all[:shown] {
			text := l.ID
			if l.Text != "" {
				text += ": " + l.Text
			}
			r.line("", 6, text)
		}
		r.more(len(all), shown)
	}
}

// needsFirst is the relation to preparations, which the facts of a check tell.
const needsFirst = "needs first"

// cautions is the relation to dangers, of which none is ever left out.
const cautions = "takes care of"

// short cuts text to one line behind an indent, but not with --full.
func (r *cardText) short(text string, indent int) string {
	if r.full {
		return text
	}
	return cut(text, r.width-indent)
}

// cases lists the cases that have to do with the card.
func (r *cardText) cases(x *exercised) {
	if x == nil {
		return
	}
	if x.Known == 0 {
		r.line("", 2, "cases: none come with this pack; --cases FILE or --cases FOLDER names some")
		return
	}
	if len(x.Groups) == 0 {
		r.line("", 2, fmt.Sprintf("cases: none of %s has to do with it", plural(x.Known, "case")))
	}
	for _, g := range x.Groups {
		r.line("", 2, fmt.Sprintf("%s %d of %s", g.Relation, len(g.Cases), plural(x.Known, "case")))
		shown := r.few(len(g.Cases), mostCases)
		for _, k := range g.Cases[:shown] {
			text := k.Where + ": " + k.Case
			if k.Text != "" {
				text += ", " + k.Text
			}
			r.line("", 6, text)
		}
		r.more(len(g.Cases), shown)
	}
}
