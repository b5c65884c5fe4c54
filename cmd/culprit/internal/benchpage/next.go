package benchpage

import (
	"fmt"
	"slices"
	"strings"

	"culprit/cmd/culprit/internal/drawing"
	"culprit/engine"
)

// nextView is what to do next.
type nextView struct {
	Head     string
	Minutes  string
	Check    string // the check to make, "" where it is something else
	Lines    []string
	First    []string
	Needs    string
	Do       []string
	Cautions []string
	Enter    []engine.Named // what it gives
	Says     []outcome
	InOrder  bool
}

// outcome is what a check may say, and what would lead then.
type outcome struct {
	Chance float64
	Says   []string
	Leads  string
}

// next turns an advice into what the page says of it.
func (s *Server) next(n *engine.Next) *nextView {
	v := &nextView{}
	switch n.Do {
	case engine.DoNothing:
		v.Head, v.InOrder = "Nothing: all that was odd is in order", true
	case engine.DoSetUp:
		v.Head = "Settle the set-up list first"
		v.Lines = append(v.Lines, count(len(n.Waiting), "rule waits", "rules wait")+" for it.")
		for _, p := range n.SetUp {
			v.Enter = append(v.Enter, engine.Named{Reading: p.Reading, Label: p.Label})
		}
	case engine.DoAgain:
		v.Head = "Take again what the repair could have moved"
		s.again(v, n)
	case engine.DoCheck:
		c := &n.Checks[0]
		if i := slices.IndexFunc(c.First, func(f engine.First) bool { return f.Check != "" }); i >= 0 {
			s.firstOf(v, c, c.First[i])
			break
		}
		s.check(v, c)
		v.Lines = append(v.Lines, saves(c))
	case engine.DoRepair:
		s.step(v, n)
	case engine.DoLastResort:
		v.Head = "No check and no repair in these rules pays any more"
		if l := n.Repair.LastResort; l != nil {
			v.Lines = append(v.Lines, "Last resort: "+l.Label+" ("+minutes(l.Minutes)+"). "+l.Do)
		}
	}
	return v
}

// firstOf tells of the check that finds out about the set-up list before another.
func (s *Server) firstOf(v *nextView, c *engine.NextCheck, f engine.First) {
	v.Head, v.Minutes, v.Check = f.Do, minutes(f.Minutes), f.Check
	v.Lines = append(v.Lines, "Readings count only once the car is set up.", "Then: "+c.Label+", which saves most.")
	for _, o := range s.o.Pack.CheckOutlines() {
		if o.Check == f.Check {
			for _, id := range o.Yields {
				v.Enter = append(v.Enter, engine.Named{Reading: id, Label: s.labels["reading "+id]})
			}
		}
	}
}

func (s *Server) check(v *nextView, c *engine.NextCheck) {
	v.Head, v.Minutes, v.Check = c.Label, minutes(c.AsThingsAre), c.Check.Check
	v.Needs, v.Do, v.Cautions = strings.Join(c.Needs, ", "), c.Do, s.texts("caution", c.Cautions)
	for _, f := range c.First {
		v.First = append(v.First, f.Do+" ("+minutes(f.Minutes)+")")
	}
	for _, g := range c.Gives {
		v.Enter = append(v.Enter, engine.Named{Reading: g.Reading, Label: g.Label})
	}
	for _, o := range c.Outcomes {
		out := outcome{Chance: o.Probability}
		for _, x := range o.Says { // those that hold come first, and say it all where there are any
			switch {
			case x.Holds:
				out.Says = append(out.Says, x.Says)
			case !o.Says[0].Holds:
				out.Says = append(out.Says, "not so: "+x.Says)
			}
		}
		var leads []string
		for i, f := range o.Faults {
			if i == 0 || i < 2 && f.Probability >= 0.1 {
				leads = append(leads, f.Label+" "+drawing.Percent(f.Probability))
			}
		}
		out.Leads = strings.Join(leads, "; ")
		v.Says = append(v.Says, out)
	}
}

// step tells of the first step of the plan of repairing.
func (s *Server) step(v *nextView, n *engine.Next) {
	x := &n.Repair.Steps[0]
	var faults []string
	for _, f := range x.Faults {
		faults = append(faults, f.Label+" "+drawing.Percent(f.Probability))
	}
	if x.Check == nil {
		v.Head, v.Minutes = "Repair: "+x.Faults[0].Label, minutes(x.Minutes)
		v.Lines = append(v.Lines, "No further check pays. "+strings.Join(faults, "; ")+".")
		for _, r := range x.Repairs {
			v.Do = append(v.Do, r.Do)
			v.Cautions = append(v.Cautions, s.texts("caution", r.Cautions)...)
		}
		return
	}
	if i := slices.IndexFunc(n.Checks, func(c engine.NextCheck) bool { return c.Check.Check == x.Check.Check }); i >= 0 {
		s.check(v, &n.Checks[i])
	} else {
		v.Head, v.Minutes, v.Check = x.Check.Label, minutes(x.Minutes), x.Check.Check
		v.Needs, v.Do, v.Cautions = strings.Join(x.Check.Needs, ", "), x.Check.Do, s.texts("caution", x.Check.Cautions)
		for _, id := range x.Check.Yields {
			v.Enter = append(v.Enter, engine.Named{Reading: id, Label: s.labels["reading "+id]})
		}
	}
	v.Lines = append(v.Lines, "It proves, before anything is repaired: "+strings.Join(faults, "; ")+". Repair what it finds.")
}

// again lists what is to be taken again; the quickest checks that yield it come with
// their fields below.
func (s *Server) again(v *nextView, n *engine.Next) {
	for _, x := range n.FollowUp.NotAgain {
		v.Enter = append(v.Enter, engine.Named{Reading: x.Reading, Label: x.Label + " (was " + x.Before + ")"})
		if x.Check == nil {
			continue
		}
		if v.Check == "" {
			v.Check = x.Check.Check
		}
		if line := x.Check.Label + ", " + minutes(x.Check.Minutes); !slices.Contains(v.Lines, line) {
			v.Lines = append(v.Lines, line)
			for _, c := range s.texts("caution", x.Check.Cautions) {
				if !slices.Contains(v.Cautions, c) {
					v.Cautions = append(v.Cautions, c)
				}
			}
		}
	}
}

// saves says what a check is worth.
func saves(c *engine.NextCheck) string {
	if c.Saves >= 0.5 {
		return "Saves " + minutes(c.Saves) + " on the average, its own taken off."
	}
	if c.WithNext >= 0.5 {
		return "Saves " + minutes(c.WithNext) + " on the average with the best check after it, their own taken off."
	}
	return "About as long as what it saves."
}

func count(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}
