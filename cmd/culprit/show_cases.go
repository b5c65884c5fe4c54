package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"culprit/cases"
	"culprit/engine"
)

// exercised is what cases have to do with something in a pack.
type exercised struct {
	Known  int         `json:"known"` // how many cases were looked at
	Groups []caseGroup `json:"groups"`
}

// caseGroup is the cases that stand in one relation to it.
type caseGroup struct {
	Relation string    `json:"relation"`
	Cases    []caseRef `json:"cases"`
}

type caseRef struct {
	Case  string `json:"case"`
	Where string `json:"where"` // file:line:column
	Text  string `json:"text,omitempty"`
}

func (x *exercised) add(relation string, ref caseRef) {
	for i := range x.Groups {
		if x.Groups[i].Relation == relation {
			x.Groups[i].Cases = append(x.Groups[i].Cases, ref)
			return
		}
	}
	x.Groups = append(x.Groups, caseGroup{relation, []caseRef{ref}})
}

// knownCases are the cases that show looks at.
type knownCases struct {
	pack    *engine.Pack
	all     []*cases.Case
	results []cases.Result // of all, once a card has asked
}

// knownCases reads the cases named, else those that come with the pack, which
// may be none.
func (o *showOptions) knownCases(pack *engine.Pack) (*knownCases, error) {
	k := &knownCases{pack: pack}
	var err error
	if len(o.cases) > 0 {
		k.all, err = cases.LoadNamed(o.pack, o.cases...)
	} else if k.all, err = cases.Shipped(o.pack); errors.Is(err, cases.ErrNoShipped) {
		err = nil
	}
	return k, err
}

// run judges every case, once.
func (k *knownCases) run() []cases.Result {
	for _, c := range k.all[len(k.results):] {
		k.results = append(k.results, c.Run(context.Background(), k.pack))
	}
	return k.results
}

// exercise tells what the cases have to do with a card; nil for kinds that cases
// do not name.
func (k *knownCases) exercise(c engine.Card) *exercised {
	x := &exercised{Known: len(k.all), Groups: []caseGroup{}}
	switch c.Kind {
	case "fault":
		k.faultIn(c, x)
	case "rule":
		k.ruleIn(c, x)
	case "reading":
		for _, each := range k.all {
			if caseGives(each, c.ID) {
				x.add("is given by", reference(each, ""))
			}
		}
	case "check":
		k.checkIn(c, x)
	case "vehicle":
		for _, each := range k.all {
			if each.Job.Vehicle == c.ID {
				x.add("is the car of", reference(each, ""))
			}
		}
	default:
		return nil
	}
	return x
}

// caseGives tells whether a case has a value of a reading, in any set of its job.
func caseGives(c *cases.Case, reading string) bool {
	for _, set := range c.Job.InSets() {
		if set.Readings[reading].Taken() {
			return true
		}
	}
	return false
}

func reference(c *cases.Case, text string) caseRef {
	return caseRef{Case: c.ID, Where: c.At.String(), Text: text}
}

// faultIn lists the cases that expect a fault, and that forbid it to lead, at
// the places where they say so.
func (k *knownCases) faultIn(c engine.Card, x *exercised) {
	at := func(each *cases.Case, name cases.Name, text string) caseRef {
		pos, _ := name.At.At(0, len(name.ID))
		return caseRef{Case: each.ID, Where: pos.String(), Text: text}
	}
	for _, each := range k.all {
		for _, e := range each.Expect {
			if e.Fault.ID == c.ID {
				x.add("is expected by", at(each, e.Fault, expectation(e)))
			}
		}
	}
	for _, each := range k.all {
		for _, n := range each.NotLeading {
			if n.ID == c.ID {
				x.add("must not lead in", at(each, n, ""))
			}
		}
	}
}

func expectation(e cases.Expected) string {
	var parts []string
	if e.Rank > 0 {
		parts = append(parts, fmt.Sprintf("rank %d", e.Rank))
	}
	if e.AtLeast > 0 {
		parts = append(parts, fmt.Sprintf("at least %g", e.AtLeast))
	}
	return strings.Join(parts, ", ")
}

// ruleIn runs the cases and lists what came of a rule in each.
func (k *knownCases) ruleIn(c engine.Card, x *exercised) {
	results := k.run()
	for _, group := range []struct {
		status   engine.Status
		relation string
	}{
		{engine.Holds, "holds in"},
		{engine.DoesNotHold, "does not hold in"},
		{engine.CannotTell, "cannot tell in"},
		{engine.DoesNotApply, "does not apply in"},
	} {
		for i, r := range results {
			if r.Verdict == nil {
				continue
			}
			for _, rule := range r.Verdict.Rules {
				if rule.Rule == c.ID && rule.Status == group.status {
					x.add(group.relation, reference(k.all[i], lacking(rule)))
				}
			}
		}
	}
	for i, r := range results {
		if r.Verdict == nil {
			x.add("is refused with the job of", reference(k.all[i], ""))
		}
	}
}

// lacking names what a rule that cannot tell waits for.
func lacking(r engine.Rule) string {
	var lacks []string
	for _, l := range r.Lacks {
		name := l.Reading
		if l.Figure {
			name = "a figure for " + name
		}
		lacks = append(lacks, name)
	}
	if lacks == nil {
		return ""
	}
	return "lacks " + strings.Join(lacks, ", ")
}

// checkIn lists the cases that give what a check yields, wholly or in part.
func (k *knownCases) checkIn(c engine.Card, x *exercised) {
	for _, whole := range []bool{true, false} {
		for _, each := range k.all {
			var given, missing []string
			for _, l := range c.Links {
				if l.Relation != "yields" {
					continue
				}
				if caseGives(each, l.ID) {
					given = append(given, l.ID)
				} else {
					missing = append(missing, l.ID)
				}
			}
			switch {
			case len(given) == 0 || (missing == nil) != whole:
			case whole:
				x.add("all its readings are given by", reference(each, ""))
			default:
				x.add("its readings are given in part by", reference(each, "without "+strings.Join(missing, ", ")))
			}
		}
	}
}
