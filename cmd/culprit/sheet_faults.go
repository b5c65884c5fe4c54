package main

import (
	"fmt"
	"math"
	"strings"

	"culprit/cmd/culprit/internal/drawing"
	"culprit/engine"
)

const (
	mostLeading = 3 // faults that may be explained
	mostRanked  = 5 // faults with a bar
)

// sheetLeading is a fault that is explained.
type sheetLeading struct {
	sheetFault
	Before   string // how common it is
	Repaired bool   // its repair was done
	Chain    *drawing.Chain
	Evidence []sheetEvidence
	Fits     []string
	Settle   *sheetWork
	Repair   *sheetWork
}

// sheetOthers are faults of one probability that are not among the leading ones.
type sheetOthers struct {
	Chance string
	Labels []string
}

// sheetEvidence is one piece of evidence with its weight.
type sheetEvidence struct {
	Says, Asked string
	Not         bool // it does not hold
	Weight      string
	Bar         drawing.Weight
	Limit       string // where it lies on a limit
	Because     string
	chain       string // as text
}

// sheetWork is a check or a repair, with its dangers.
type sheetWork struct {
	Do, Minutes string
	Needs       string
	Cautions    []string
	Elsewhere   bool // it stands among the checks, with its cautions
}

// speaks reports whether any rule counts.
func speaks(v *engine.Verdict) bool { return (&verdictText{v: v}).speaks() }

// leadingFaults are those that text and sheet explain.
func leadingFaults(v *engine.Verdict) []engine.Fault { return (&verdictText{v: v}).leading(nil) }

// ranking lists all faults; the leading ones have a bar.
func (b *sheetBuilder) ranking() {
	for i, f := range b.v.Faults {
		row := b.fault(&f)
		if i < mostRanked {
			b.s.Ranked = append(b.s.Ranked, row)
		} else {
			b.other(&row)
		}
	}
	b.s.NoFault, b.s.None, b.s.noFault = percent(b.v.NoFault), drawing.NewShare(b.v.NoFault), b.v.NoFault
	if t := b.v.Together; len(t) > 0 && len(t[0].Faults) > 1 && t[0].Probability >= 0.1 {
		var labels []string
		for _, id := range t[0].Faults {
			labels = append(labels, b.faultLabel(id))
		}
		b.s.Together = fmt.Sprintf("Most probable as a whole: %s, together (%s)", strings.Join(labels, " and "), percent(t[0].Probability))
	}
}

// other adds a fault to those that are as probable as it.
func (b *sheetBuilder) other(f *sheetFault) {
	if n := len(b.s.Others); n == 0 || b.s.Others[n-1].Chance != f.Chance {
		b.s.Others = append(b.s.Others, sheetOthers{Chance: f.Chance})
	}
	last := &b.s.Others[len(b.s.Others)-1]
	last.Labels = append(last.Labels, f.Label)
}

func (b *sheetBuilder) fault(f *engine.Fault) sheetFault {
	return sheetFault{ID: f.Fault, Label: f.Label, Chance: percent(f.Probability), Share: drawing.NewShare(f.Probability), chance: f.Probability}
}

func (b *sheetBuilder) faultLabel(id string) string {
	for _, f := range b.v.Faults {
		if f.Fault == id {
			return f.Label
		}
	}
	return id
}

// leading explains the faults that lead.
func (b *sheetBuilder) leading() {
	if speaks(b.v) {
		b.explain(leadingFaults(b.v))
	}
}

// explain explains faults that have a detail. All weights are drawn on one scale.
func (b *sheetBuilder) explain(all []engine.Fault) {
	var weights []float64
	for _, f := range all {
		for _, side := range [][]engine.Evidence{f.Detail.For, f.Detail.Against} {
			for _, e := range side {
				weights = append(weights, evidenceWeight(&e, true))
			}
		}
	}
	scale := drawing.NewWeights(weights)
	for i, f := range all {
		l := sheetLeading{sheetFault: b.fault(&f), Before: in100(f.Prior), Repaired: (&verdictText{v: b.v}).ruledOut(f.Fault)}
		l.Chain = drawing.NewChain(&f, b.names, fmt.Sprintf("%s-fault%d", b.s.ID, i+1))
		for _, e := range f.Detail.For {
			l.Evidence = append(l.Evidence, b.evidence(&e, scale, true))
		}
		for _, e := range f.Detail.Against {
			l.Evidence = append(l.Evidence, b.evidence(&e, scale, false))
		}
		for _, x := range f.Detail.Fits {
			l.Fits = append(l.Fits, strings.TrimSuffix(x.Says, "."))
		}
		if c := f.Detail.Settle; c != nil {
			l.Settle = &sheetWork{Do: c.Label, Minutes: mins(c.Minutes), Needs: strings.Join(c.Needs, ", "), Cautions: b.warn(c.Cautions)}
		}
		if r := f.Detail.Repair; r != nil {
			l.Repair = &sheetWork{Do: r.Do, Minutes: mins(r.Minutes), Needs: strings.Join(r.Needs, ", "), Cautions: b.warn(r.Cautions)}
		}
		b.s.Leading = append(b.s.Leading, l)
	}
}

// evidenceWeight is the weight of evidence; what is certain has an infinite one.
func evidenceWeight(e *engine.Evidence, speaksFor bool) float64 {
	switch {
	case e.Decibans != nil:
		return *e.Decibans
	case speaksFor:
		return math.Inf(1)
	}
	return math.Inf(-1)
}

func (b *sheetBuilder) evidence(e *engine.Evidence, scale drawing.Weights, speaksFor bool) sheetEvidence {
	w := evidenceWeight(e, speaksFor)
	out := sheetEvidence{Says: e.Says, Asked: drawing.Asked(e.Asks, b.names), Not: e.Status == engine.DoesNotHold, Bar: scale.Weight(w), Because: e.Because}
	switch {
	case !math.IsInf(w, 0):
		out.Weight = fmt.Sprintf("%+.1f", w)
	case speaksFor:
		out.Weight = "certain, for"
	default:
		out.Weight = "certain, against"
	}
	if e.Truth > 0.05 && e.Truth < 0.95 {
		out.Limit = fmt.Sprintf("on the limit: holds with probability %.2f", e.Truth)
	}
	if len(e.Chains) > 0 {
		out.chain = wayText(&e.Chains[0])
	}
	return out
}

// wayText writes the way from a fault to a rule in a line.
func wayText(c *engine.Chain) string {
	so := fmt.Sprintf("→ so in %s, else in %.2g", in100(c.Shows), 100*c.Otherwise)
	if c.Condition == "" {
		return so
	}
	state := c.StateLabel
	if state == "" {
		state = c.State
	}
	return fmt.Sprintf("→ %s, in %s %s", state, in100(c.Brings), so)
}

// open lists what the ranking leaves open.
func (b *sheetBuilder) open() {
	add := func(label, format string, args ...any) {
		b.s.Open = append(b.s.Open, sheetLine{label, fmt.Sprintf(format, args...)})
	}
	for _, x := range b.v.Waiting {
		var lacks []string
		for _, l := range x.Lacks {
			lacks = append(lacks, b.name(l.Reading))
		}
		add("Waiting", "%s. Counts once this is known: %s", x.Says, strings.Join(lacks, ", "))
	}
	for _, u := range b.v.Unexplained {
		if u.Status == engine.DoesNotHold {
			add("Expected, but absent", "%s: so in %s with the best explanation", u.Says, in100(u.Predicted))
		} else {
			add("Unexplained", "%s: so in only %s with the best explanation", u.Says, in100(u.Predicted))
		}
	}
	if again := b.v.Conflict.TakeAgain; len(again) > 0 && b.v.Conflict.Measure >= 0.1 {
		var labels []string
		for _, a := range again {
			labels = append(labels, a.Label)
		}
		add("Contradiction", "The readings do not go together (measure %+.1f). Take again: %s", b.v.Conflict.Measure, strings.Join(labels, "; "))
	}
}
