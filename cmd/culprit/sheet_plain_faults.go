package main

import (
	"fmt"
	"strings"
)

func (p plainSheet) faults(s *sheet) {
	p.title("Faults that could explain it")
	for _, f := range s.Ranked {
		p.line(fmt.Sprintf("%6s %s", f.Chance, p.share(f.chance)), restIndent+2, f.Label)
	}
	p.line(fmt.Sprintf("%6s %s", s.NoFault, p.share(s.noFault)), restIndent+2, "None of the faults in these rules")
	if s.Together != "" {
		p.line("", 0, s.Together)
	}
	for _, l := range s.Leading {
		p.leading(&l)
	}
	if len(s.Open) > 0 {
		p.title("What stays open")
		for _, o := range s.Open {
			p.line(cut(o.Label, restIndent+3), restIndent+4, o.Text)
		}
	}
	if len(s.Others) > 0 {
		p.title("Less probable")
		for _, o := range s.Others {
			p.line(fmt.Sprintf("%6s", o.Chance), 8, strings.Join(o.Labels, "; "))
		}
	}
}

func (p plainSheet) share(chance float64) string { return pad(bar(chance, 10), 10) }

// leading tells of one fault what speaks for it and against it, and what is to be
// done about it.
func (p plainSheet) leading(l *sheetLeading) {
	p.title(fmt.Sprintf("%s: %s", l.Label, l.Chance))
	about := l.Before + " before any reading"
	if l.Repaired {
		about += "; its repair was done"
	}
	if len(l.Evidence) > 0 {
		about += "; weights in decibans: +10 makes the odds ten times"
	}
	p.line("", 0, about)
	for _, e := range l.Evidence {
		says := e.Says
		if e.Not {
			says = "not so: " + says
		}
		p.line(fmt.Sprintf("%7s", e.Weight), 9, says)
		for _, text := range []string{e.chain, e.Asked, e.Limit} {
			if text != "" {
				p.line("", 11, text)
			}
		}
	}
	if len(l.Fits) > 0 {
		p.line("also fits", restIndent, strings.Join(l.Fits, "; "))
	}
	if w := l.Settle; w != nil {
		p.work("settled by", w)
	}
	if w := l.Repair; w != nil {
		p.work("repair", w)
	}
}

func (p plainSheet) work(lead string, w *sheetWork) {
	text := w.Do + ", " + w.Minutes
	switch {
	case w.Elsewhere:
		text += " (see the checks below)"
	case w.Needs != "":
		text += "; needs " + w.Needs
	}
	p.line(lead, restIndent, text)
	if !w.Elsewhere {
		p.cautions(w.Cautions)
	}
}

func (p plainSheet) cautions(texts []string) {
	for _, c := range texts {
		p.line("  caution", restIndent, c)
	}
}

func (p plainSheet) checks(s *sheet) {
	p.title("Checks still worth making")
	if s.Advice != "" {
		p.line("", 0, s.Advice)
	}
	for _, c := range s.Checks {
		p.blank()
		p.line("[ ]", 4, c.Label+", "+c.Minutes)
		p.line("", 4, c.Why)
		for _, f := range c.First {
			p.line("", 4, "First: "+f)
		}
		if c.Needs != "" {
			p.line("", 4, "Needs "+c.Needs)
		}
		for i, d := range c.Do {
			p.line(fmt.Sprintf("    %d", i+1), 7, d)
		}
		p.cautions(c.Cautions)
	}
	if s.NoChecks != "" {
		p.line("", 0, s.NoChecks)
	}
	if len(s.Unread) > 0 {
		p.line("rules wait for", restIndent, strings.Join(s.Unread, "; "))
	}
	if len(s.Unlooked) > 0 {
		p.line("look up", restIndent, strings.Join(s.Unlooked, "; "))
	}
}

// end is the room to write and sign, and who decides.
func (p plainSheet) end(s *sheet) {
	lines := []string{"Work done by", "Checked by", "Date", "Distance on the clock", "Customer"}
	if s.After == nil {
		p.title("Repair done, and signed")
		lines = append([]string{"Found and repaired", "Read again after it"}, lines...)
	} else {
		p.title("Signed")
	}
	for _, l := range lines {
		p.blank()
		fmt.Fprintln(p.w, pad(l, 24)+strings.Repeat("_", plainWidth-24))
	}
	p.blank()
	for _, n := range s.Notices {
		p.line("", 0, n)
	}
}
