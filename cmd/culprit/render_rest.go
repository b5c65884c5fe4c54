package main

import (
	"fmt"
	"slices"
	"strings"

	"culprit/engine"
)

const restIndent = 18

// rest writes what the ranking leaves open.
func (r *verdictText) rest(explained []engine.Fault) {
	r.blank()
	r.waiting()
	r.unexplained()
	if len(r.v.Conflict.TakeAgain) > 0 && r.v.Conflict.Measure >= 0.1 {
		var again []string
		for _, a := range r.v.Conflict.TakeAgain {
			again = append(again, a.Reading)
		}
		r.styledLine(bold, "contradiction", restIndent, "", fmt.Sprintf("the readings do not go together (measure %+.1f); take again %s", r.v.Conflict.Measure, strings.Join(again, ", ")))
	}
	r.setUpUnknown()
	r.notApplying()
	if len(r.v.Assumed) > 0 {
		var taken []string
		for _, a := range r.v.Assumed {
			taken = append(taken, a.Reading+" "+map[bool]string{true: "yes", false: "no"}[a.Is])
		}
		r.line("taken for granted", restIndent, strings.Join(taken, ", "))
	}
	r.missing("not measured", r.v.Missing)
	r.missing("limits to look up", r.v.Figures)
	r.doNext()
	if care := r.cautions(explained); len(care) > 0 {
		r.line("take care", restIndent, strings.Join(care, " "))
	}
	if r.v.Notice != "" {
		r.styledLine(faint, "", 0, faint, r.v.Notice)
	}
}

// doNext ends the text with what to do.
func (r *verdictText) doNext() {
	if text := nextLine(r.next); text != "" {
		r.styledLine(bold, "next", restIndent, bold, text)
		r.line("", restIndent, "culprit next tells how, and what it may say")
	}
}

// nextLine is an advice in a sentence, or "" where a follow-up has said it.
func nextLine(n *engine.Next) string {
	if n == nil {
		return ""
	}
	switch n.Do {
	case engine.DoSetUp:
		return "settle the set-up list: " + waiting(len(n.Waiting)) + " for it"
	case engine.DoCheck:
		c := &n.Checks[0]
		return fmt.Sprintf("%s (%s), %s, %s", c.Label, c.Check.Check, mins(c.AsThingsAre), worth(c))
	case engine.DoRepair:
		s := n.Repair.Steps[0]
		if s.Check == nil {
			return fmt.Sprintf("repair %s, %s: no further check pays", s.Faults[0].Fault, mins(s.Minutes))
		}
		return fmt.Sprintf("%s (%s), %s, which proves %s; repair what it finds", s.Check.Label, s.Check.Check, mins(s.Minutes), s.Faults[0].Fault)
	case engine.DoLastResort:
		if l := n.Repair.LastResort; l != nil {
			return l.Label
		}
	}
	return ""
}

// waiting tells of rules that would hold if only it were known that they apply.
func (r *verdictText) waiting() {
	for _, x := range r.v.Waiting {
		var lacks []string
		for _, l := range x.Lacks {
			lacks = append(lacks, l.Reading)
		}
		r.styledLine(bold, "waiting", restIndent, "", fmt.Sprintf("%s: counts once this is known: %s", x.Says, strings.Join(lacks, ", ")))
	}
}

// unexplained names what the best explanation does not account for.
func (r *verdictText) unexplained() {
	const most = 4
	for i, u := range r.v.Unexplained {
		if i == most {
			r.line("", restIndent, fmt.Sprintf("and %d more", len(r.v.Unexplained)-most))
			return
		}
		lead, text := "unexplained", fmt.Sprintf("%s: so in only %s with the best explanation", u.Says, in100(u.Predicted))
		if u.Status == engine.DoesNotHold {
			lead, text = "expected, absent", fmt.Sprintf("%s: so in %s with the best explanation", u.Says, in100(u.Predicted))
		}
		r.line(lead, restIndent, text)
	}
}

// cautions are the dangers of the checks and repairs that the text names.
func (r *verdictText) cautions(explained []engine.Fault) []string {
	var out []string
	for _, c := range r.v.Cautions {
		if r.v.FollowUp != nil && slices.ContainsFunc(r.v.FollowUp.NotAgain, func(n engine.NotAgain) bool {
			return n.Check != nil && slices.Contains(n.Check.Cautions, c.Caution)
		}) {
			out = append(out, c.Text)
			continue
		}
		for _, f := range explained {
			if check, repair := f.Detail.Settle, f.Detail.Repair; check != nil && slices.Contains(check.Cautions, c.Caution) ||
				repair != nil && slices.Contains(repair.Cautions, c.Caution) {
				out = append(out, c.Text)
				break
			}
		}
	}
	for _, c := range r.nextCautions() {
		if !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	return out
}

// nextCautions are the dangers of what is to be done next.
func (r *verdictText) nextCautions() []string {
	var ids, out []string
	switch n := r.next; {
	case n == nil:
	case n.Do == engine.DoCheck:
		ids = n.Checks[0].Cautions
	case n.Do == engine.DoRepair && n.Repair.Steps[0].Check != nil:
		ids = n.Repair.Steps[0].Check.Cautions
	case n.Do == engine.DoRepair:
		ids = n.Repair.Steps[0].Repairs[0].Cautions
	}
	for _, id := range ids {
		if i := slices.IndexFunc(r.next.Cautions, func(c engine.Caution) bool { return c.Caution == id }); i >= 0 {
			out = append(out, r.next.Cautions[i].Text)
		}
	}
	return out
}

// setUpUnknown names the points of the set-up list that nobody spoke of.
func (r *verdictText) setUpUnknown() {
	if open := r.unknownSetUp(); len(open) > 0 {
		r.line("set-up not known", restIndent, strings.Join(open, ", "))
	}
}

func (r *verdictText) unknownSetUp() []string {
	var open []string
	for _, x := range r.v.SetUp {
		if !x.Known {
			open = append(open, x.Reading)
		}
	}
	return open
}

// notApplying counts the rules that the set-up rules out.
func (r *verdictText) notApplying() {
	n := 0
	for _, x := range r.v.Rules {
		if x.Status == engine.DoesNotApply {
			n++
		}
	}
	if n > 0 {
		r.line("left out", restIndent, plural(n, "rule")+" that "+does(n)+" not apply as the car stands")
	}
}

func does(n int) string {
	if n == 1 {
		return "does"
	}
	return "do"
}

// missing names readings that rules wait for, those that most wait for first.
func (r *verdictText) missing(lead string, all []engine.Missing) {
	const most = 6
	var parts []string
	for i, m := range all {
		if m.Reason != "" {
			r.line("no use yet", restIndent, m.Reading+": "+m.Reason)
			continue
		}
		if i >= most {
			parts = append(parts, fmt.Sprintf("and %d more", len(all)-i))
			break
		}
		parts = append(parts, fmt.Sprintf("%s (%s)", m.Reading, plural(len(m.Rules), "rule")))
	}
	if len(parts) > 0 {
		r.line(lead, restIndent, strings.Join(parts, ", "))
	}
}
