package main

import (
	"fmt"
	"slices"
	"strings"

	"culprit/engine"
)

// renderNext writes an advice for a person at the bench: what to do, then what it
// may say, then how, then what else there is.
func renderNext(s *stdio, n *engine.Next, most int, about string) {
	r := &nextText{page: s.page(), n: n}
	r.heading()
	told := r.answer(about)
	if told != nil {
		r.check(told)
	}
	if n.Do != engine.DoNothing && n.Do != engine.DoAgain || told != nil {
		r.others(told, most)
		r.plan()
	}
	r.rest(told)
}

type nextText struct {
	*page
	n *engine.Next
}

const nextIndent = 12

func (r *nextText) heading() {
	parts := []string{}
	if r.n.Name != "" {
		parts = append(parts, r.n.Name)
	}
	if r.n.Vehicle != nil {
		parts = append(parts, r.n.Vehicle.Label)
	} else {
		parts = append(parts, "no vehicle named")
	}
	for _, f := range r.n.Faults[:min(2, len(r.n.Faults))] {
		parts = append(parts, f.Fault+" "+percent(f.Probability))
	}
	r.styledLine(faint, "", 0, faint, strings.Join(parts, ", "))
	for _, x := range r.n.SetUp {
		if x.Known {
			r.styledLine(bold, "not met", nextIndent, bold, fmt.Sprintf("%s: %s", x.Label, x.Do))
		}
	}
	r.blank()
}

// answer says what to do, and which check is told of below.
func (r *nextText) answer(about string) *engine.NextCheck {
	if i := slices.IndexFunc(r.n.Checks, func(c engine.NextCheck) bool { return c.Check.Check == about }); i >= 0 {
		c := &r.n.Checks[i]
		r.head(c.Label, c.Check.Check, c.AsThingsAre, worth(c))
		return c
	}
	if about != "" {
		r.line("", 0, fmt.Sprintf("%s decides nothing that is open.", about))
		r.blank()
	}
	switch r.n.Do {
	case engine.DoNothing:
		r.styledLine("", "", 0, bold, "Nothing: after the repair everything that was odd is in order")
		r.blank()
		return nil
	case engine.DoAgain:
		r.again()
		return nil
	case engine.DoSetUp:
		var waits []string
		for _, w := range r.n.Waiting {
			for _, l := range w.Lacks {
				if !slices.Contains(waits, l.Reading) {
					waits = append(waits, l.Reading)
				}
			}
		}
		r.styledLine("", "", 0, bold, "First settle the set-up list")
		r.line("", 2, fmt.Sprintf("%s for it: tell %s", waiting(len(r.n.Waiting)), strings.Join(waits, ", ")))
		r.blank()
		fallthrough
	case engine.DoCheck:
		if len(r.n.Checks) > 0 && r.n.Checks[0].WithNext > 0 {
			c := &r.n.Checks[0]
			r.head("Next: "+c.Label, c.Check.Check, c.AsThingsAre, worth(c))
			return c
		}
	case engine.DoRepair:
		s := r.n.Repair.Steps[0]
		if s.Check == nil {
			r.styledLine("", "", 0, bold, fmt.Sprintf("Repair now: %s", s.Repairs[0].Do))
			r.line("", 2, fmt.Sprintf("%s, %s; %g min. No further check pays.", s.Faults[0].Fault, percent(s.Faults[0].Probability), s.Minutes))
			r.blank()
			return nil
		}
		r.head("Repair now, and prove it first: "+s.Check.Label, s.Check.Check, s.Minutes,
			fmt.Sprintf("settles %s; what it finds is repaired. No other check pays before it.", faultsText(s.Faults)))
		for i := range r.n.Checks {
			if r.n.Checks[i].Check.Check == s.Check.Check {
				return &r.n.Checks[i]
			}
		}
		return &engine.NextCheck{Check: *s.Check} // it decides no rule, for want of the car's figures
	default:
		r.styledLine("", "", 0, bold, "No check and no repair in these rules pays any more")
		r.blank()
	}
	return nil
}

// again lists the checks whose readings a repair could have moved.
func (r *nextText) again() {
	r.styledLine("", "", 0, bold, "Take again what the repair could have moved; nothing is odd so far")
	var order []string
	of, label := map[string][]string{}, map[string]string{}
	for _, x := range r.n.FollowUp.NotAgain {
		id := ""
		if x.Check != nil {
			id = x.Check.Check
			label[id] = fmt.Sprintf("%s (%s), %s", x.Check.Label, id, mins(x.Check.Minutes))
		}
		if len(of[id]) == 0 {
			order = append(order, id)
		}
		of[id] = append(of[id], x.Reading)
	}
	for _, id := range order {
		text := strings.Join(of[id], ", ")
		if id != "" {
			text = label[id] + ": " + text
		}
		r.line("", 2, text)
	}
	r.blank()
}

func waiting(n int) string {
	if n == 1 {
		return "1 rule waits"
	}
	return fmt.Sprintf("%d rules wait", n)
}

func (r *nextText) head(title, id string, minutes float64, worth string) {
	r.styledLine("", "", 0, bold, fmt.Sprintf("%s (%s), %s", title, id, mins(minutes)))
	r.line("", 2, worth)
	r.blank()
}

// worth says what a check saves.
func worth(c *engine.NextCheck) string {
	text := "costs " + mins(-c.Saves) + " more on the average than it saves"
	if c.Saves >= 0 {
		text = "saves " + mins(c.Saves) + " on the average, its own taken off"
	}
	if c.AtMost > c.Saves+1 {
		text += fmt.Sprintf(" (at most %s: it can say more than was gone through)", mins(c.AtMost))
	}
	if c.WithNext > max(0, c.Saves)+1 {
		text += fmt.Sprintf("; with the best check after it %s", mins(c.WithNext))
	}
	return text
}

func mins(m float64) string {
	switch {
	case m != 0 && m < 1 && m > -1:
		return fmt.Sprintf("%.1f min", m)
	}
	return fmt.Sprintf("%.0f min", m)
}

func faultsText(all []engine.Leading) string {
	var parts []string
	for _, f := range all {
		parts = append(parts, fmt.Sprintf("%s (%s)", f.Fault, percent(f.Probability)))
	}
	return strings.Join(parts, ", ")
}

// others lists what else could be done and saves something.
func (r *nextText) others(told *engine.NextCheck, most int) {
	var rows []engine.NextCheck
	all := 0
	for _, c := range r.n.Checks {
		if told != nil && c.Check.Check == told.Check.Check {
			continue
		}
		all++
		if c.WithNext > 0 {
			rows = append(rows, c)
		}
	}
	switch {
	case all == 0:
		return
	case len(rows) == 0:
		r.line("others", nextIndent, fmt.Sprintf("none of %s saves more than it takes", plural(all, "other check")))
		return
	}
	r.styledLine("", "", 0, faint, pad("other checks", 28)+"  takes  saves  with the next")
	for _, c := range rows[:min(most, len(rows))] {
		name := cut(c.Check.Check, 28)
		line := fmt.Sprintf("%s %6.0f %6.0f %14.0f", pad(name, 28), c.AsThingsAre, c.Saves, c.WithNext)
		if room := r.width - len([]rune(line)) - 2; room >= 20 {
			line += "  " + cut(c.Label, room)
		}
		fmt.Fprintln(r.w, line)
	}
	if n := all - min(most, len(rows)); n > 0 {
		r.styledLine("", "", 0, faint, fmt.Sprintf("and %d more that save less, or nothing", n))
	}
	r.blank()
}

// plan tells the order of repairing.
func (r *nextText) plan() {
	const most = 4
	p := r.n.Repair
	r.line("repairing", nextIndent, fmt.Sprintf("without another check takes %s on the average; if it were known what is wrong, %s", mins(p.Minutes), mins(r.n.Perfect)))
	for i, s := range p.Steps {
		if i == most {
			r.line("", nextIndent, fmt.Sprintf("and %d more", len(p.Steps)-most))
			break
		}
		how := "repair outright"
		if s.Check != nil {
			how = s.Check.Check
		}
		r.line("", nextIndent, fmt.Sprintf("%d %s, %s: %s", i+1, how, mins(s.Minutes), faultsText(s.Faults)))
	}
	if l := p.LastResort; l != nil && l.Probability >= 0.005 {
		r.line("", nextIndent, fmt.Sprintf("at last, in %s: %s, %s", in100(l.Probability), l.Label, mins(l.Minutes)))
	}
}

func (r *nextText) rest(told *engine.NextCheck) {
	for _, b := range r.n.Barred {
		r.line("no tool", nextIndent, fmt.Sprintf("%s needs %s", b.Check, strings.Join(b.Needs, ", ")))
	}
	var care []string
	for _, c := range r.n.Cautions {
		if told != nil && slices.Contains(told.Cautions, c.Caution) || r.first(c.Caution) || r.n.Do == engine.DoAgain {
			care = append(care, c.Text)
		}
	}
	if len(care) > 0 {
		r.line("take care", nextIndent, strings.Join(care, " "))
	}
	if r.n.Notice != "" {
		r.styledLine(faint, "", 0, faint, r.n.Notice)
	}
}

// first tells whether a caution belongs to a repair that is advised outright.
func (r *nextText) first(caution string) bool {
	if r.n.Do != engine.DoRepair {
		return false
	}
	return slices.ContainsFunc(r.n.Repair.Steps[0].Repairs, func(m engine.Mending) bool { return slices.Contains(m.Cautions, caution) })
}
