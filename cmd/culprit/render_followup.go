package main

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"culprit/engine"
)

// followUp writes, of a job with several sets of readings, the answer first: is
// all in order now. Then what the repairs did, before and after side by side, and
// what has to be measured again.
func (r *verdictText) followUp() {
	f := r.v.FollowUp
	if f == nil {
		return
	}
	r.answer(f)
	for _, d := range f.Repaired {
		r.line("repaired", restIndent, fmt.Sprintf("%s (%s%s): %s", d.Fault, d.Label, foundText(d), outcomeText(d)))
	}
	r.blank()
	r.beforeAfter(f)
	r.odd("cleared", f.Cleared)
	r.notAgain(f)
	if len(f.CarriedOver) > 0 {
		var ids []string
		for _, c := range f.CarriedOver {
			ids = append(ids, c.Reading)
		}
		r.line("as before", restIndent, "not taken again, and no repair could have moved it: "+strings.Join(ids, ", "))
	}
	r.blank()
}

// answer says in one line whether the car is in order, and what is not.
func (r *verdictText) answer(f *engine.FollowUp) {
	lead := f.Sets[len(f.Sets)-1]
	switch {
	case f.InOrder:
		r.styledLine("", "", 0, bold, lead+": in order, every setting and every odd result")
		return
	case len(f.StillOdd)+len(f.Out) > 0:
		r.styledLine("", "", 0, bold, lead+": still odd")
	default:
		r.styledLine("", "", 0, bold, lead+": nothing odd so far, but not all is known")
	}
	var before, fresh []engine.Odd
	for _, o := range f.StillOdd {
		if o.New {
			fresh = append(fresh, o)
		} else {
			before = append(before, o)
		}
	}
	r.odd("still so", before)
	r.odd("new", fresh)
	if len(f.Out) > 0 {
		r.line("out of limits", restIndent, strings.Join(f.Out, ", "))
	}
	r.odd("not known now", f.Open)
	if unknown := r.unknownSetUp(); len(f.Open) > 0 && len(unknown) > 0 {
		r.line("", restIndent, "say how the car is set up after the repair: "+strings.Join(unknown, ", "))
	}
}

func (r *verdictText) odd(lead string, all []engine.Odd) {
	if len(all) == 0 {
		return
	}
	var says []string
	for _, o := range all {
		says = append(says, o.Says)
	}
	r.line(lead, restIndent, strings.Join(says, "; "))
}

func foundText(d engine.Repaired) string {
	if d.Found == "" {
		return ""
	}
	return "; found: " + d.Found
}

// outcomeText says what the readings make of a repair.
func outcomeText(d engine.Repaired) string {
	switch d.Outcome {
	case engine.Removed:
		text := "out; " + strings.Join(d.Changed, ", ") + " changed"
		if len(d.Same) > 0 {
			text += ", " + strings.Join(d.Same, ", ") + " did not"
		}
		return text
	case engine.NoChange:
		return "no change: " + strings.Join(d.Same, ", ") + " as before. Either this was not the fault, or the repair did not take; it is not ruled out"
	}
	return "out, but on the word of the repair alone: no odd reading that it explains was taken again"
}

// beforeAfter is a table of the readings that were taken again; where it does not
// fit the width, a line each.
func (r *verdictText) beforeAfter(f *engine.FollowUp) {
	if len(f.Changes) == 0 {
		r.line("", 0, "Nothing was measured again.")
		return
	}
	rows := [][5]string{{"reading", "before", "now", "in order", ""}}
	for _, c := range f.Changes {
		limits := ""
		if c.Limits != nil {
			limits = c.Limits.Text
		}
		rows = append(rows, [5]string{c.Reading, clean(c.Before), clean(c.After), limits, changeText(c)})
	}
	var widths [5]int
	total := 0
	for col := range widths {
		for _, row := range rows {
			widths[col] = max(widths[col], utf8.RuneCountInString(row[col]))
		}
		total += widths[col] + 2
	}
	if total-2 > r.width {
		r.oneByOne(rows[1:])
		return
	}
	for i, row := range rows {
		var line strings.Builder
		for col, text := range row {
			line.WriteString(pad(text, widths[col]+2))
		}
		style := ""
		if i == 0 {
			style = faint
		}
		fmt.Fprintln(r.w, r.styled(style, strings.TrimRight(line.String(), " ")))
	}
}

func (r *verdictText) oneByOne(rows [][5]string) {
	for _, row := range rows {
		text := row[1] + " → " + row[2]
		if row[3] != "" {
			text += " (in order: " + row[3] + ")"
		}
		r.line(row[0]+" ", restIndent, text+", "+row[4])
	}
}

// changeText says of a reading in a few words what became of it.
func changeText(c engine.Change) string {
	text := "same"
	if c.Changed {
		text = "changed"
	}
	switch {
	case c.NowIn == nil:
	case in(c.NowIn) && c.WasIn != nil && !in(c.WasIn):
		text += ", now in"
	case !in(c.NowIn) && (c.WasIn == nil || in(c.WasIn)):
		text += ", NOW OUT"
	case !in(c.NowIn):
		text += ", STILL OUT"
	}
	if c.Unrelated {
		text += ", not by the repair"
	}
	return text
}

func in(g *engine.Graded) bool { return (g.Least+g.Most)/2 >= 0.5 }

// notAgain names what the repairs could have moved and nobody measured since, by
// the check that yields it.
func (r *verdictText) notAgain(f *engine.FollowUp) {
	lead := "measure again"
	seen := map[string]bool{}
	for _, n := range f.NotAgain {
		if n.Check != nil && seen[n.Check.Check] {
			continue
		}
		var ids []string
		for _, other := range f.NotAgain {
			if same := n.Check == nil && other.Reading == n.Reading || n.Check != nil && other.Check != nil && other.Check.Check == n.Check.Check; same {
				ids = append(ids, other.Reading)
			}
		}
		text := strings.Join(ids, ", ")
		if n.Check != nil {
			seen[n.Check.Check] = true
			text += fmt.Sprintf(": %s (%s), %g min", n.Check.Label, n.Check.Check, n.Check.Minutes)
		}
		r.line(lead, restIndent, text)
		lead = ""
	}
}

// ruledOut tells whether a fault is out because its repair was done: the last time
// that it was, something changed or nothing says otherwise.
func (r *verdictText) ruledOut(fault string) bool {
	out := false
	if r.v.FollowUp != nil {
		for _, d := range r.v.FollowUp.Repaired {
			if d.Fault == fault {
				out = d.Outcome != engine.NoChange
			}
		}
	}
	return out
}
