package main

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"culprit/cases"
	"culprit/engine"
)

// nearest is how many numbers the text tells when --most does not say; JSON has
// all.
const nearest = 10

// swayed is the JSON form of --sway.
type swayed struct {
	Case string `json:"case"`
	*engine.Sways
}

// tellSway writes what each number of the rules does to the lead of a case.
func (o *proofreadOptions) tellSway(s *stdio, files []string, format string) error {
	pack, err := o.open()
	if err != nil {
		return err
	}
	c, err := o.findCase(files)
	if err != nil {
		return err
	}
	a, err := pack.Sway(context.Background(), c.Job)
	if err != nil {
		return err
	}
	if format == "json" {
		if o.limited {
			a.Numbers = a.Numbers[:min(o.most, len(a.Numbers))]
		}
		return writeJSON(s.out, swayed{c.ID, a})
	}
	o.writeSway(s.page(), c.ID, a)
	return nil
}

// findCase finds the case that is asked for, among those of the files or else
// those that come with the pack.
func (o *proofreadOptions) findCase(files []string) (*cases.Case, error) {
	var all []*cases.Case
	var err error
	if len(files) > 0 {
		all, err = cases.LoadNamed(o.pack, files...)
	} else if all, err = cases.Shipped(o.pack); err != nil {
		err = fmt.Errorf("%w; name a case file or a folder", err)
	}
	if err != nil {
		return nil, err
	}
	var ids []string
	for _, c := range all {
		if c.ID == o.sway {
			return c, nil
		}
		ids = append(ids, c.ID)
	}
	return nil, usageError{fmt.Sprintf("there is no case %q", o.sway), nearestName(o.sway, ids, "culprit rehearse lists the cases"), ""}
}

func (o *proofreadOptions) writeSway(p *page, id string, a *engine.Sways) {
	p.styledLine("", "", 0, bold, fmt.Sprintf("%s: %s leads with %s", id, a.Lead.Fault, percent(a.Lead.Probability)))
	if r := a.RunnerUp; r != nil {
		p.line("", 0, fmt.Sprintf("next is %s with %s", r.Fault, percent(r.Probability)))
	}
	p.blank()
	turns := slices.IndexFunc(a.Numbers, func(n engine.NumberSway) bool { return n.Effect != engine.Turns })
	if turns < 0 {
		turns = len(a.Numbers)
	}
	most := nearest
	if o.limited {
		most = o.most
	}
	if turns == 0 {
		p.line("", 0, "no number of the rules, moved by itself, takes the lead away")
	} else {
		p.line("", 0, "How far each number has to move, all others staying, before another fault leads; the smallest move first. "+
			"It is told in decibans of the number's own odds: 10 makes them ten times as large or small. "+
			"Then what a small step up does to the leading fault's probability, and to the gap between it and the next, in percentage points.")
		p.blank()
	}
	for i := range a.Numbers[:min(turns, most)] {
		writeNumber(p, &a.Numbers[i])
	}
	if left := turns - most; left > 0 {
		p.line("", swayIndent, fmt.Sprintf("and %s by a larger move", plural(left, "number")))
	}
	if turns > 0 {
		p.blank()
	}
	p.line("", 0, count(a.Numbers, engine.Keeps, "However far it is moved, the lead stays"))
	p.line("", 0, count(a.Numbers, engine.Idle, "Without any effect in this case"))
}

const swayIndent = 9

func writeNumber(p *page, n *engine.NumberSway) {
	t := n.Nearest()
	move := "any"
	if t.Decibans != nil {
		move = fmt.Sprintf("%.1f", *t.Decibans)
	}
	now, then := turning(n, t.Value)
	p.styledLine(bold, move, swayIndent, bold, fmt.Sprintf("%s, %s: %s to %s", n.Owner, aboutNumber(n), now, then))
	step, unit := 0.01, "0.01"
	if n.Key == "per_1000" {
		step, unit = 1, "1"
	}
	p.line("", swayIndent, fmt.Sprintf("then %s leads; %s more: lead %s, gap %s", t.Leads, unit, points(step*n.ByLead), points(step*n.ByGap)))
	p.styledLine("", "", swayIndent, faint, fmt.Sprintf("%s:%d", n.File, n.Line))
}

func aboutNumber(n *engine.NumberSway) string {
	about := n.Key
	if n.Target != "" && n.Key != "of_itself" {
		about += " " + n.Target
	} else if n.Target != "" {
		about += " " + strings.TrimPrefix(n.Target, n.Owner+".")
	}
	if n.Given != "" {
		about += " (given " + n.Given + ")"
	}
	return about
}

// turning writes where a number stands and where it turns, to three digits, or
// to as many as tell the two apart.
func turning(n *engine.NumberSway, to float64) (now, then string) {
	whole := 1.0
	if n.Key == "per_1000" {
		whole = 1000
	}
	now = strconv.FormatFloat(n.Value, 'f', -1, 64)
	for digits := 3; digits < 16; digits++ {
		if then = figure(to, whole, digits); then != now {
			break
		}
	}
	return now, then
}

// figure writes a number to so many digits, of its distance to the whole where
// that is smaller.
func figure(x, whole float64, digits int) string {
	small := math.Min(x, whole-x)
	places := 0
	if small > 0 {
		places = max(0, digits-1-int(math.Floor(math.Log10(small))))
	}
	text := strconv.FormatFloat(x, 'f', places, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

func points(x float64) string {
	text := strconv.FormatFloat(100*x, 'f', 2, 64)
	switch text {
	case "0.00", "-0.00":
		return "±0.00"
	}
	if x > 0 {
		text = "+" + text
	}
	return text
}

// count says how many numbers of each key have an effect.
func count(all []engine.NumberSway, effect engine.Effect, what string) string {
	var parts []string
	total := 0
	for _, key := range []string{"per_1000", "how_often", "of_itself", "shows", "otherwise"} {
		n := 0
		for i := range all {
			if all[i].Effect == effect && all[i].Key == key {
				n++
			}
		}
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, key))
		}
		total += n
	}
	if total == 0 {
		return what + ": no number."
	}
	return fmt.Sprintf("%s: %s (%s).", what, plural(total, "number"), strings.Join(parts, ", "))
}
