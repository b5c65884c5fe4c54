package main

import (
	"fmt"
	"strings"

	"culprit/engine"
)

// check tells what a check may say, and how it is made.
func (r *nextText) check(c *engine.NextCheck) {
	for i, o := range c.Outcomes {
		lead := ""
		if i == 0 {
			lead = "it may say"
		}
		r.line(lead, nextIndent, fmt.Sprintf("%s %s", percent(o.Probability), said(o.Says)))
		r.styledLine("", "", nextIndent+5, faint, fmt.Sprintf("→ %s; none of these %s", faultsText(o.Faults), percent(o.NoFault)))
	}
	for i, f := range c.First {
		lead := ""
		if i == 0 {
			lead = "first"
		}
		r.line(lead, nextIndent, fmt.Sprintf("%s, %s", f.Do, mins(f.Minutes)))
	}
	if len(c.Needs) > 0 {
		r.line("needs", nextIndent, strings.Join(c.Needs, ", "))
	}
	for i, step := range c.Do {
		lead := ""
		if i == 0 {
			lead = "do"
		}
		r.line(lead, nextIndent, fmt.Sprintf("%d %s", i+1, step))
	}
	for i, g := range c.Gives {
		lead := ""
		if i == 0 {
			lead = "gives"
		}
		r.line(lead, nextIndent, gives(g))
	}
	r.blank()
}

// said lists the rules that hold, or those that do not where none does.
func said(all []engine.Said) string {
	const most = 3
	var holds, not []string
	for _, s := range all {
		if s.Holds {
			holds = append(holds, s.Says)
		} else {
			not = append(not, s.Says)
		}
	}
	text := ""
	switch {
	case len(holds) > 0:
		text = strings.Join(holds[:min(most, len(holds))], "; ")
		not = not[:0]
	case len(not) > 0:
		text = "not so: " + strings.Join(not[:min(most, len(not))], "; ")
	default:
		text = "anything else"
	}
	if n := max(len(holds), len(not)); n > most {
		text += fmt.Sprintf("; and %d more", n-most)
	}
	return text
}

func gives(g engine.Gives) string {
	text := g.Reading + ": " + g.Label
	switch {
	case len(g.Among) > 0:
		text += ", one of " + strings.Join(g.Among, ", ")
	case g.Kind != "number":
		text += ", " + g.Kind
	case g.Unit != "":
		text += ", in " + g.Unit
	}
	if g.Limits != nil {
		text += " (" + g.Limits.Text + ")"
	}
	if g.Taken {
		text += "; taken"
	}
	return text
}
