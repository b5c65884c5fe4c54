package main

import (
	"fmt"
	"slices"
	"strings"

	"culprit/engine"
)

// renderVerdict writes a verdict for a person at the bench: what spoils the
// readings, then the ranking, then why, then what is missing, what to do next
// unless that is nil, and what can hurt.
func renderVerdict(s *stdio, v *engine.Verdict, next *engine.Next, most int, why []string) {
	r := &verdictText{page: s.page(), v: v, next: next}
	r.heading()
	r.setUp()
	r.followUp()
	r.ranking(most)
	explained := r.leading(why)
	if !r.speaks() {
		r.blank()
		r.line("", 0, "No rule can speak yet: what stands here is how common each fault is.")
		if len(why) == 0 {
			explained = nil
		}
	}
	for _, f := range explained {
		r.explain(f, slices.Contains(why, f.Fault))
	}
	r.rest(explained)
}

type verdictText struct {
	*page
	v        *engine.Verdict
	next     *engine.Next
	unitTold bool // what the weights are counted in has been said
}

func (r *verdictText) heading() {
	parts := []string{}
	if r.v.Name != "" {
		parts = append(parts, r.v.Name)
	}
	if r.v.Vehicle != nil {
		parts = append(parts, r.v.Vehicle.Label)
	} else {
		parts = append(parts, "no vehicle named")
	}
	given := 0
	for _, x := range r.v.Readings {
		if !x.Derived {
			given++
		}
	}
	parts = append(parts, plural(given, "reading"))
	r.styledLine(faint, "", 0, faint, strings.Join(parts, ", "))
}

func plural(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// setUp tells before anything else what spoils the readings.
func (r *verdictText) setUp() {
	for _, x := range r.v.SetUp {
		if x.Known {
			r.styledLine(bold, "not met", 12, bold, fmt.Sprintf("%s: %s", x.Label, x.Do))
		}
	}
	for _, d := range r.v.Doubtful {
		r.styledLine(bold, "doubtful", 12, bold, d.Reading+" "+d.Text)
	}
	r.blank()
}

// ranking lists the leading faults with a bar each, then "none of these".
func (r *verdictText) ranking(most int) {
	shown := r.v.Faults[:min(most, len(r.v.Faults))]
	widest := 0
	for _, f := range shown {
		widest = max(widest, len(f.Fault))
	}
	barWidth := 10
	if r.width >= 100 {
		barWidth = 24
	}
	label := r.width - 7 - barWidth - 1 - widest - 2
	for i, f := range shown {
		style := ""
		if i == 0 {
			style = bold
		}
		line := fmt.Sprintf("%6s %s %s", percent(f.Probability), pad(bar(f.Probability, barWidth), barWidth), pad(f.Fault, widest))
		if label >= 12 {
			line += "  " + cut(f.Label, label)
		}
		fmt.Fprintln(r.w, r.styled(style, strings.TrimRight(line, " ")))
	}
	fmt.Fprintf(r.w, "%6s %s %s\n", percent(r.v.NoFault), pad(bar(r.v.NoFault, barWidth), barWidth), "none of the faults in these rules")
	if len(r.v.Together) > 0 && len(r.v.Together[0].Faults) > 1 && r.v.Together[0].Probability >= 0.1 {
		best := r.v.Together[0]
		r.line("", 7, fmt.Sprintf("most probable as a whole: %s together (%s)", strings.Join(best.Faults, " and "), percent(best.Probability)))
	}
}

func pad(text string, width int) string {
	return text + strings.Repeat(" ", max(0, width-len([]rune(text))))
}

// leading picks the faults worth explaining: those asked for, else the first
// and up to two more that are not far behind it.
func (r *verdictText) leading(why []string) []engine.Fault {
	var out []engine.Fault
	for i, f := range r.v.Faults {
		near := i < 3 && f.Probability > 0.15 && f.Probability > r.v.Faults[0].Probability/4
		near = near || i == 0 && f.Detail != nil && len(f.Detail.For) > 0
		if f.Detail != nil && (slices.Contains(why, f.Fault) || len(why) == 0 && near) {
			out = append(out, f)
		}
	}
	return out
}

// speaks reports whether any rule counts.
func (r *verdictText) speaks() bool {
	return slices.ContainsFunc(r.v.Rules, func(x engine.Rule) bool {
		return x.Status == engine.Holds || x.Status == engine.DoesNotHold
	})
}

// explain writes the evidence for and against one fault. In full it leaves
// nothing out and says why each rule is so.
func (r *verdictText) explain(f engine.Fault, full bool) {
	d := f.Detail
	r.blank()
	r.styledLine("", "", 0, bold, fmt.Sprintf("%s, %s: %s", f.Fault, percent(f.Probability), f.Label))
	about := in100(f.Prior) + " before any reading"
	if r.ruledOut(f.Fault) {
		about += "; its repair was done"
	}
	if !r.unitTold {
		about += "; weights in decibans: +10 makes the odds ten times"
		r.unitTold = true
	}
	r.line("", 2, about)
	for _, side := range []struct {
		name string
		all  []engine.Evidence
		most int
	}{{"for", d.For, 3}, {"against", d.Against, 2}} {
		for i, e := range side.all {
			if i == side.most && !full {
				r.styledLine("", "", 18, faint, fmt.Sprintf("and %d more %s", len(side.all)-i, side.name))
				break
			}
			name := ""
			if i == 0 {
				name = side.name
			}
			r.evidence(f.Fault, name, e, full)
		}
	}
	if len(d.Fits) > 0 {
		var fits []string
		for _, x := range d.Fits {
			fits = append(fits, strings.TrimSuffix(x.Says, "."))
		}
		r.line("  also fits", 18, strings.Join(fits, "; "))
	}
	if c := d.Settle; c != nil {
		r.line("  settled by", 18, fmt.Sprintf("%s (%s), %g min", c.Label, c.Check, c.Minutes))
	}
	if p := d.Repair; p != nil {
		r.line("  repair", 18, fmt.Sprintf("%s, %g min", p.Do, p.Minutes))
	}
}

// evidence writes one rule: its weight, what it says, and the chain from the
// fault over the condition to the reading.
func (r *verdictText) evidence(fault, name string, e engine.Evidence, full bool) {
	r.styledLine("", fmt.Sprintf("  %-7s %7s", name, weight(e)), 18, "", says(e))
	if e.Truth > 0.05 && e.Truth < 0.95 {
		r.styledLine("", "", 20, faint, fmt.Sprintf("on the limit: holds with probability %.2f", e.Truth))
	}
	for i, c := range e.Chains {
		if i > 0 && !full {
			break
		}
		r.styledLine("", "", 20, faint, chainText(fault, c))
	}
	if asked := askedText(e.Asks); asked != "" {
		r.styledLine("", "", 20, faint, asked)
	}
	if full && e.Because != "" {
		r.styledLine("", "", 20, faint, "because: "+e.Because)
	}
}

func weight(e engine.Evidence) string {
	if e.Decibans == nil {
		return "certain"
	}
	return fmt.Sprintf("%+.1f", *e.Decibans)
}

// says is what the rule says as the car stands.
func says(e engine.Evidence) string {
	if e.Status == engine.DoesNotHold {
		return "not so: " + e.Says
	}
	return e.Says
}

// chainText writes a way from the fault to the rule: how often the fault brings
// the state, how often the rule then holds, and how often it holds otherwise.
func chainText(fault string, c engine.Chain) string {
	rule := fmt.Sprintf("so (%s, otherwise %.2g)", in100(c.Shows), 100*c.Otherwise)
	if c.Condition == "" {
		return fault + " → " + rule
	}
	return fmt.Sprintf("%s → %s.%s (%s) → %s", fault, c.Condition, c.State, in100(c.Brings), rule)
}

// askedText writes the readings of a rule with values and limits, each once.
func askedText(asks []engine.Asked) string {
	var parts []string
	for _, a := range asks {
		name := strings.Join(a.Readings, ", ")
		if a.Number != nil && len(a.Readings) > 1 {
			name = a.Text + ", this is"
		}
		part := name + " " + a.Value
		if a.Limit != "" {
			part += " (" + a.Limit + ")"
		}
		if !slices.Contains(parts, part) {
			parts = append(parts, part)
		}
	}
	return strings.Join(parts, "; ")
}
