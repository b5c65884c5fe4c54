package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"culprit/cmd/culprit/internal/drawing"
)

// plainWidth is the width of a sheet as text: it goes by mail and onto paper, not
// only onto this terminal.
const plainWidth = 80

// plainSheets writes sheets as text, each after a line across the page.
func plainSheets(w io.Writer, sheets []*sheet) {
	for i, s := range sheets {
		p := plainSheet{&page{w: w, width: plainWidth}}
		if i > 0 {
			p.blank()
			p.rule("=")
			p.blank()
		}
		p.sheet(s)
	}
}

type plainSheet struct{ *page }

func (p plainSheet) rule(of string) { fmt.Fprintln(p.w, strings.Repeat(of, plainWidth)) }

func (p plainSheet) title(text string) {
	p.blank()
	p.line("", 0, text)
	fmt.Fprintln(p.w, strings.Repeat("-", min(plainWidth, utf8.RuneCountInString(text))))
}

func (p plainSheet) sheet(s *sheet) {
	p.line("", 0, "JOB SHEET: "+s.Title)
	if s.Demo {
		p.line("", 0, "Invented car, for demonstration only")
	}
	p.blank()
	p.line("Car", restIndent, s.Car)
	complaint := s.Complaint
	if complaint == "" {
		complaint = "not told"
	}
	p.line("Complaint", restIndent, complaint)
	p.line("Rules", restIndent, s.Pack)
	for _, n := range s.Notes {
		p.line(cut(n.Label, restIndent-1), restIndent, n.Text)
	}
	p.title("What the readings say")
	for _, h := range s.Answer.Heads {
		p.line("", 0, h)
	}
	for _, l := range s.Answer.Lines {
		p.line("", 0, l)
	}
	p.after(s.After)
	p.setUp(s)
	p.readings(s)
	p.faults(s)
	p.checks(s)
	p.end(s)
}

func (p plainSheet) setUp(s *sheet) {
	if len(s.SetUp) == 0 {
		return
	}
	p.title("Set-up before reading")
	for _, x := range s.SetUp {
		text := x.Label + ": " + x.Is
		if !x.Met {
			text += ", must be " + x.MustBe
			if x.Do != "" {
				text += ". " + x.Do
			}
		}
		lead := "met"
		switch {
		case !x.Known:
			lead = "not known"
		case !x.Met:
			lead = "NOT MET"
		}
		p.line(lead, restIndent, text)
	}
	if len(s.Assumed) > 0 {
		p.line("taken for granted", restIndent, strings.Join(s.Assumed, "; "))
	}
}

// Columns of a reading: its value, the drawing, and where it stands.
const (
	valueIndent = 2
	gaugeIndent = 22
	gaugeCells  = 25
	standIndent = gaugeIndent + gaugeCells + 2
)

func (p plainSheet) readings(s *sheet) {
	if len(s.Readings)+len(s.Doubtful) == 0 {
		return
	}
	if s.After != nil {
		p.title("Other readings that count")
	} else {
		p.title("Readings against their limits")
	}
	for _, r := range s.Readings {
		label := r.Label
		if r.Derived {
			label += " (worked out)"
		}
		p.line("", 0, label)
		p.reading(strings.TrimSpace(r.Value+" "+r.Within), r.Gauge, r.Stands, r.Limits)
	}
	if s.Drawn() {
		p.line("", 0, "[=] what is in order, | the reading, < > off the scale; ± two standard uncertainties")
	}
	for _, d := range s.Doubtful {
		p.line("doubtful", restIndent, d)
	}
}

// reading writes a value with its drawing beside it and what is to be said of it.
func (p plainSheet) reading(value string, g *drawing.Gauge, stands, limits string) {
	if limits != "" {
		stands += "; limits: " + limits
	}
	lead := strings.Repeat(" ", valueIndent) + clean(value)
	if utf8.RuneCountInString(lead) >= gaugeIndent {
		p.line("", valueIndent, value)
		lead = ""
	}
	if g != nil {
		lead = pad(lead, gaugeIndent) + cells(g)
	}
	if strings.TrimSpace(lead+stands) != "" {
		p.line(lead, standIndent, stands)
	}
}

// cells draws a gauge as characters.
func cells(g *drawing.Gauge) string {
	at := func(x float64) int {
		share := (x - float64(g.From)) / float64(g.To-g.From)
		return min(gaugeCells-1, max(0, int(math.Round(share*(gaugeCells-1)))))
	}
	row := []rune(strings.Repeat("-", gaugeCells))
	from, to := at(float64(g.Band.From)), at(float64(g.Band.To))
	for i := from; i <= to; i++ {
		row[i] = '='
	}
	if !g.OpenFrom {
		row[from] = '['
	}
	if !g.OpenTo {
		row[to] = ']'
	}
	put := func(m *drawing.Mark, mark rune) {
		if m == nil {
			return
		}
		switch {
		case m.Below:
			mark = '<'
		case m.Above:
			mark = '>'
		}
		row[at(float64(m.X))] = mark
	}
	put(g.Before, 'o')
	put(&g.Now, '|')
	return string(row)
}

func (p plainSheet) after(a *sheetAfter) {
	if a == nil {
		return
	}
	p.title("Repair done, before and after")
	for _, r := range a.Repaired {
		p.line("repaired", restIndent, r.Label)
		if r.Found != "" {
			p.line("found", restIndent, r.Found)
		}
		p.line("outcome", restIndent, r.Outcome)
	}
	for _, c := range a.Changes {
		p.line("", 0, c.Label)
		was := strings.TrimSpace(fmt.Sprintf("%s → %s %s", c.Before, c.Now, c.Within))
		if c.Gauge == nil {
			p.line("", valueIndent, was+"; "+c.Stands)
			continue
		}
		p.line("", valueIndent, was)
		p.reading("", c.Gauge, c.Stands, c.Limits)
	}
	if len(a.Changes) == 0 {
		p.line("", 0, "Nothing was measured again.")
	} else {
		p.line("", 0, "[=] what is in order, o before, | now; < > off the scale")
	}
	for _, l := range a.Lists {
		p.line(l.Label, restIndent+2, l.Text)
	}
}
