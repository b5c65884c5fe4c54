package main

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"culprit/engine"
)

const talkIndent = 11

// hello says in two lines how to answer.
func (t *talk) hello() {
	t.styledLine("", "", 0, faint, "Enter passes a question over. ? tells how, back takes an answer back, why ranks, next advises, stop keeps the job.")
	switch n := t.passedOver(); n {
	case 0:
	case 1:
		t.line("", 0, "1 reading was passed over; again asks for it.")
	default:
		t.line("", 0, fmt.Sprintf("%d readings were passed over; again asks for them.", n))
	}
}

// passedOver counts the readings that the job says were not taken.
func (t *talk) passedOver() int {
	n := 0
	sets := t.iv.Job().InSets()
	for _, v := range sets[len(sets)-1].Readings {
		if !v.Taken() {
			n++
		}
	}
	return n
}

// question writes what is asked: the work it belongs to, where that is new, and a prompt.
func (t *talk) question(q *engine.Question) {
	if q.Step != nil && q.Step != t.shown {
		t.step(q.Step)
	}
	t.shown = q.Step
	switch q.Ask {
	case engine.AskVehicle:
		t.blank()
		t.choices(q.Choices)
		t.prompt(q.Label, "enter for another car")
	case engine.AskPutRight:
		t.styledLine(bold, "  not met", talkIndent, bold, q.Label)
		t.prompt("Done?", "yes, or enter to leave it so")
	case engine.AskAsBefore:
		t.line("", 2, strings.Join(q.Choices, ", "))
		t.prompt(q.Label, "yes, or no for the list")
	case engine.AskRepaired:
		t.propose(q.Propose)
		t.prompt(q.Label, "yes, or enter to leave it")
	case engine.AskFound:
		t.prompt(q.Label, "in your words")
	default:
		t.reading(q)
	}
}

// step writes the heading of a piece of work: what to do, what it takes, what can hurt.
func (t *talk) step(x *engine.Step) {
	t.blank()
	var about []string
	if x.Minutes > 0 {
		about = append(about, mins(x.Minutes))
	}
	switch {
	case x.Again:
		about = append(about, "again after the repair")
	case x.Saves >= 1:
		about = append(about, "saves about "+mins(x.Saves))
	}
	head := x.Check.Label
	if len(about) > 0 {
		head += " (" + strings.Join(about, ", ") + ")"
	}
	t.styledLine("", "", 0, bold, head)
	if x.Opening {
		return
	}
	var first []string
	for _, f := range x.First {
		first = append(first, f.Do)
	}
	if len(first) > 0 {
		t.line("  first", talkIndent, strings.Join(first, "; "))
	}
	if len(x.Check.Needs) > 0 {
		t.line("  needs", talkIndent, strings.Join(x.Check.Needs, ", "))
	}
	if len(x.Check.Cautions) > 0 {
		t.line("  care", talkIndent, strings.Join(x.Check.Cautions, ", "))
	}
	if len(x.Leading) > 0 && !x.Again {
		t.styledLine(faint, "  so far", talkIndent, faint, faultsText(x.Leading))
	}
}

// reading asks for a reading.
func (t *talk) reading(q *engine.Question) {
	if q.Doubt != "" {
		t.line("", 2, fmt.Sprintf("really? %s. Enter keeps it; or give another value", q.Doubt))
	}
	switch {
	case len(q.Choices) > 0:
		t.choices(q.Choices)
		t.prompt(q.Label, "word or number")
	case q.Kind == "yes/no":
		t.prompt(q.Label+"?", "yes or no")
	case q.Limits != nil:
		t.prompt(q.Label, q.Limits.Text)
	case q.Unit != "":
		t.prompt(q.Label, "in "+q.Unit)
	default:
		t.prompt(q.Label, "a number")
	}
}

// choices lists words with their numbers, as many in a line as fit.
func (t *talk) choices(words []string) {
	text := " "
	for i, w := range words {
		part := fmt.Sprintf(" %d %s ", i+1, clean(w))
		if i > 0 && utf8.RuneCountInString(text+part) > t.page.width {
			fmt.Fprintln(t.w, strings.TrimRight(text, " "))
			text = " "
		}
		text += part
	}
	fmt.Fprintln(t.w, strings.TrimRight(text, " "))
}

// prompt leaves the cursor behind the question; a pipe gets a line of its own for
// what follows, since its answers are not seen.
func (t *talk) prompt(label, hint string) {
	last := fmt.Sprintf("%s [%s]", label, hint)
	if utf8.RuneCountInString(last) > t.page.width-12 { // an answer wants some room
		t.styledLine("", "", 0, bold, label)
		last = "[" + hint + "]"
	}
	fmt.Fprint(t.w, t.styled(bold, clean(last))+" > ")
	if t.piped {
		t.blank()
	}
}

// refuse says in a line why an answer was not taken.
func (t *talk) refuse(r engine.Reply) {
	text := r.Refused
	if r.Hint != "" {
		text += "; " + r.Hint
	}
	t.line("", 2, text)
}

// explain tells how to answer a question: how to measure, and what can hurt.
func (t *talk) explain(q *engine.Question) {
	if q.How != "" {
		t.line("  how", talkIndent, q.How)
	}
	switch {
	case q.Unit != "":
		t.line("  answer", talkIndent, "a number in "+q.Unit+", or with another unit behind it")
	case q.Kind == "number":
		t.line("  answer", talkIndent, "a plain number")
	}
	if q.Limits != nil {
		t.line("  in order", talkIndent, q.Limits.Text)
	}
	switch q.Ask {
	case engine.AskVehicle:
		t.line("  answer", talkIndent, "the car's name or number in the list. Without one its limits are not known; enter passes over")
	case engine.AskRepaired:
		t.line("  answer", talkIndent, "yes when it is done; another fault's id where that was repaired instead; enter ends here")
	case engine.AskAsBefore:
		t.line("  answer", talkIndent, "yes when all of these are so again; no goes through the list")
	}
	if s := q.Step; s != nil {
		n := 0
		for _, steps := range append(preparing(s.Check), s.Check.Do) {
			for _, do := range steps {
				n++
				lead := ""
				if n == 1 {
					lead = "  do"
				}
				t.line(lead, talkIndent, fmt.Sprintf("%d %s", n, do))
			}
		}
		t.care(s.Cautions)
	}
	t.styledLine(faint, "  or", talkIndent, faint, "enter to pass over, skip for all of this check, back, why, next, again, stop")
}

// preparing are the steps of what a check is prepared with.
func preparing(c engine.Check) [][]string {
	var all [][]string
	for _, p := range c.Prepare {
		all = append(all, p.Do)
	}
	return all
}

func (t *talk) care(all []engine.Caution) {
	var texts []string
	for _, c := range all {
		texts = append(texts, c.Text)
	}
	if len(texts) > 0 {
		t.line("  care", talkIndent, strings.Join(texts, " "))
	}
}

// propose says what to repair, in what time, and what can hurt.
func (t *talk) propose(p *engine.Proposal) {
	t.blank()
	head := "Settled"
	if !p.Settled {
		head = "No further check pays. Repair"
	}
	for _, f := range p.Faults {
		t.styledLine("", "", 0, bold, fmt.Sprintf("%s: %s (%s), %s", head, f.Label, f.Fault, percent(f.Probability)))
		t.line("  repair", talkIndent, fmt.Sprintf("%s, %s", f.Repair.Do, mins(f.Repair.Minutes)))
		if len(f.Repair.Needs) > 0 {
			t.line("  needs", talkIndent, strings.Join(f.Repair.Needs, ", "))
		}
	}
	t.care(p.Cautions)
}

// endText says in a sentence why an interview ends.
func endText(r *engine.Record) string {
	switch r.End {
	case engine.EndInOrder:
		return "In order: every setting, and every odd result of before."
	case engine.EndNotKnown:
		return "Nothing is odd any more, but not everything was taken again."
	case engine.EndNoFault:
		return "No check pays any more, and no fault stands out."
	case engine.EndNotDone:
		return "Left before the repair."
	}
	return "No check and no repair in these rules pays any more."
}

func labels(all []engine.Named) string {
	var out []string
	for _, n := range all {
		out = append(out, n.Reading)
	}
	slices.Sort(out)
	return strings.Join(out, ", ")
}
