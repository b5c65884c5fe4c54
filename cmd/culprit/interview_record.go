package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"culprit/engine"
)

const recordIndent = 13

// record writes down the job at its end, for whoever has to know of it later.
func (t *talk) record() error {
	r, err := t.iv.Record(context.Background())
	if err != nil {
		return err
	}
	t.blank()
	t.styledLine("", "", 0, bold, endText(r))
	t.blank()
	if r.Name != "" {
		t.line("job", recordIndent, r.Name)
	}
	car := "not named, so its limits are not known"
	if r.Vehicle != nil {
		car = r.Vehicle.Label
	}
	t.line("car", recordIndent, car)
	t.line("complaint", recordIndent, complaints(r.Complaint))
	t.readings(r)
	t.repairs(r)
	if faults := worthTelling(r.Faults); !r.InOrder && len(faults) > 0 {
		t.line("leading", recordIndent, fmt.Sprintf("%s; none of these %s", faultsText(faults), percent(r.NoFault)))
	}
	if len(r.Odd) > 0 {
		t.line("still odd", recordIndent, strings.Join(r.Odd, "; "))
	}
	t.leftOpen(r)
	text := fmt.Sprintf("about %s of checks", mins(r.CheckMinutes))
	if len(r.Repairs) > 0 {
		text += fmt.Sprintf(" and %s of repair", mins(r.RepairMinutes))
	}
	t.line("time", recordIndent, text+", by the figures of the pack")
	if r.Notice != "" {
		t.styledLine(faint, "", 0, faint, r.Notice)
	}
	t.blank()
	return nil
}

// complaints says what the customer said, before and now.
func complaints(bySet []string) string {
	said := "not asked"
	for k, c := range bySet {
		switch {
		case c == "":
		case k == 0 || said == "not asked":
			said = c
		default:
			said += ", then " + c
		}
	}
	return said
}

// worthTelling leaves out what is hardly there.
func worthTelling(faults []engine.Leading) []engine.Leading {
	return slices.DeleteFunc(slices.Clone(faults), func(f engine.Leading) bool { return f.Probability < 0.05 })
}

// repairs says what was found and done, and what is still to be done.
func (t *talk) repairs(r *engine.Record) {
	for _, d := range r.Repairs {
		t.line("fault", recordIndent, fmt.Sprintf("%s (%s)", d.Label, d.Fault))
		if d.Found != "" {
			t.line("found", recordIndent, d.Found)
		}
		t.line("repair", recordIndent, fmt.Sprintf("%s, %s", d.Repair.Do, mins(d.Repair.Minutes)))
		t.line("outcome", recordIndent, outcomeText(d.Repaired))
	}
	if r.Proposed == nil {
		return
	}
	for _, f := range r.Proposed.Faults {
		t.line("not done", recordIndent, fmt.Sprintf("%s (%s, %s): %s, %s", f.Label, f.Fault, percent(f.Probability), f.Repair.Do, mins(f.Repair.Minutes)))
	}
}

// leftOpen says what is not known.
func (t *talk) leftOpen(r *engine.Record) {
	lead := "left open"
	tell := func(what, which string) {
		if which != "" {
			t.line(lead, recordIndent, what+": "+which)
			lead = ""
		}
	}
	var wrong, unknown []string
	for _, x := range r.SetUp {
		if x.Known {
			wrong = append(wrong, x.Reading)
		} else {
			unknown = append(unknown, x.Reading)
		}
	}
	tell("set-up not met", strings.Join(wrong, ", "))
	tell("set-up not known", strings.Join(unknown, ", "))
	tell("not taken since the repair", labels(r.NotAgain))
	tell("passed over", labels(r.PassedOver))
}

// readings is a table: a line for each reading, a column for each set; where that
// is too wide, the first and the last value.
func (t *talk) readings(r *engine.Record) {
	if len(r.Readings) == 0 {
		t.line("readings", recordIndent, "none")
		return
	}
	t.blank()
	rows := everySet(r)
	if len(r.Sets) > 2 && !t.fits(rows) {
		rows = firstAndLast(r)
	}
	if t.fits(rows) {
		t.table(rows)
	} else {
		t.readingByReading(rows)
	}
	t.blank()
}

// everySet are the rows of a table with a column for each set.
func everySet(r *engine.Record) [][]string {
	head := append([]string{"reading"}, r.Sets...)
	if len(r.Sets) == 1 {
		head[1] = "value"
	}
	rows := [][]string{append(head, "in order")}
	for _, l := range r.Readings {
		row := []string{l.Label}
		for k := range l.Values {
			row = append(row, valueText(l, k))
		}
		rows = append(rows, append(row, limitsText(l)))
	}
	return rows
}

// firstAndLast are the rows of a table with two columns of values.
func firstAndLast(r *engine.Record) [][]string {
	rows := [][]string{{"reading", "first", "last", "in order"}}
	for _, l := range r.Readings {
		row := []string{l.Label, "", "", limitsText(l)}
		for k := range l.Values {
			switch {
			case l.Values[k] == "":
			case row[1] == "":
				row[1] = valueText(l, k)
			default:
				row[2] = valueText(l, k)
			}
		}
		rows = append(rows, row)
	}
	return rows
}

func valueText(l engine.RecordLine, set int) string {
	text := clean(l.Values[set])
	if l.Out[set] {
		text += " OUT"
	}
	return text
}

func limitsText(l engine.RecordLine) string {
	if l.Limits == nil {
		return ""
	}
	return l.Limits.Text
}

// shortest is the width of a label that can still be read.
const shortest = 28

// columns are the widths of a table's columns, the first cut to what is left for it.
func (t *talk) columns(rows [][]string) (widths []int, total int) {
	widths = make([]int, len(rows[0]))
	for _, row := range rows {
		for i, text := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(text))
		}
	}
	for _, w := range widths[1:] {
		total += w + 2
	}
	widths[0] = min(widths[0], max(shortest, t.page.width-total))
	return widths, total + widths[0]
}

func (t *talk) fits(rows [][]string) bool {
	_, total := t.columns(rows)
	return total <= t.page.width
}

func (t *talk) table(rows [][]string) {
	widths, _ := t.columns(rows)
	for i, row := range rows {
		text := pad(cut(row[0], widths[0]), widths[0])
		for k, cell := range row[1:] {
			text += "  " + pad(cell, widths[k+1])
		}
		style := ""
		if i == 0 {
			style = faint
		}
		fmt.Fprintln(t.w, t.styled(style, strings.TrimRight(text, " ")))
	}
}

// readingByReading is the table where it is too wide: a line for each reading.
func (t *talk) readingByReading(rows [][]string) {
	last := len(rows[0]) - 1
	for _, row := range rows[1:] {
		text := row[0] + ": "
		for k, v := range row[1:last] {
			if k > 0 {
				text += " → "
			}
			if v == "" {
				v = "not taken again"
			}
			text += v
		}
		if row[last] != "" {
			text += " (in order: " + row[last] + ")"
		}
		t.line("", 0, text)
	}
}
