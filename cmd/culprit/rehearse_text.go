package main

import (
	"fmt"
	"slices"
	"strings"

	"culprit/cases"
	"culprit/engine"
)

// renderRun writes the line of one case, and why it failed.
func renderRun(s *stdio, x rehearsed) {
	word := "pass"
	if !x.Passed {
		word = "FAIL"
	}
	fmt.Fprintf(s.out, "%s:%d:%d: %s %s\n", x.File, x.Line, x.Column, word, x.Case)
	if x.Passed {
		return
	}
	x.result.Failures.Format(s.out)
	r := &verdictText{page: s.page(), v: x.result.Verdict}
	if e := x.Explanation; e != nil {
		for _, f := range e.Ranking {
			r.line(fmt.Sprintf("  rank %-3d %6s", f.Rank, percent(f.Probability)), 18, f.Fault)
		}
		r.weights("for", e.Wrong, ", which leads", e.ForWrong)
		if e.Wrong == "" {
			r.weights("for", e.Right, "", e.ForRight)
		}
		r.weights("against", e.Right, "", e.AgainstRight)
		r.rivals(e)
	}
	r.line("  because", 18, x.Because)
	r.blank()
}

// rivals tells what gives others their part where the right fault leads with too little.
func (r *verdictText) rivals(e *cases.Explanation) {
	for _, x := range e.Rivals {
		r.line("", 2, fmt.Sprintf("for %s, which has %s:", x.Fault, percent(x.Probability)))
		for _, k := range x.For {
			r.line(fmt.Sprintf("%17s", weight(k)), 18, fmt.Sprintf("%s (rule %s)", says(k), k.Rule))
		}
		if len(x.For) == 0 {
			r.line("", 4, "no rule: it is as probable as it is common")
		}
	}
}

// weights lists the rules that spoke for or against a fault, in decibans.
func (r *verdictText) weights(side, fault, what string, all []engine.Evidence) {
	switch {
	case fault == "":
		return
	case len(all) == 0:
		r.line("", 2, fmt.Sprintf("no rule speaks %s %s%s", side, fault, what))
		return
	}
	r.line("", 2, fmt.Sprintf("%s %s%s, in decibans:", side, fault, what))
	for _, e := range all {
		r.evidence(fault, "", e, false)
		r.styledLine("", "", 20, faint, "rule "+e.Rule)
	}
}

// summary closes a run: how many passed, and what all of them showed.
func (o *rehearseOptions) summary(p *page, out *rehearsal) {
	if out.Passed+out.Failed == 0 {
		p.line("", 0, "no case was run, which counts as a failure; case files end in .yaml or .yml")
		return
	}
	fmt.Fprintf(p.w, "%s: %d passed, %d failed\n", plural(out.Passed+out.Failed, "case"), out.Passed, out.Failed)
	c := out.Coverage
	var held, notHeld, led, made int
	for _, r := range c.Rules {
		held += min(1, r.Held)
		notHeld += min(1, r.NotHeld)
	}
	for _, f := range c.Faults {
		led += min(1, f.Led)
	}
	for _, k := range c.Checks {
		made += min(1, k.Given+k.InPart)
	}
	p.line("", 0, fmt.Sprintf("seen: %d of %d rules to hold, %d of %d not to hold, %d of %d faults to lead, %d of %d checks made; %s of these outcomes",
		held, len(c.Rules), notHeld, len(c.Rules), led, len(c.Faults), made, len(c.Checks), share(c.Percent)))
	if o.cover {
		o.gaps(p, out)
	}
	if c.Percent < o.failUnder {
		p.line("", 0, fmt.Sprintf("%s is less than the %s that --fail-under asks for", share(c.Percent), share(o.failUnder)))
	}
}

// share writes a percentage, cut and not rounded, so that 100 % means all.
func share(percent float64) string {
	return strings.TrimSuffix(fmt.Sprintf("%.1f", float64(int(percent*10))/10), ".0") + " %"
}

// neverText says of an outcome that it was not seen.
var neverText = map[string]string{
	"held":         "is never seen to hold",
	"did not hold": "is never seen not to hold",
	"led":          "never leads",
	"given":        "is never made",
}

// gaps lists what no case shows. Where cases were named or rules added to a shipped pack, only what the pack itself does not
// define, with the rest counted.
func (o *rehearseOptions) gaps(p *page, out *rehearsal) {
	only := o.only && slices.Contains(engine.ShippedPacks(), out.Pack)
	listed, rest := 0, 0
	gaps := func(kind, id, where string, all []cases.Gap) {
		if only && strings.HasPrefix(where, out.Pack+"/") {
			rest += len(all)
			return
		}
		for _, g := range all {
			p.line("", 0, fmt.Sprintf("%s: %s %s %s", where, kind, id, neverText[g.Never]))
			p.line("", 4, g.Why)
			listed++
		}
	}
	p.blank()
	for _, r := range out.Coverage.Rules {
		gaps("rule", r.Rule, r.Where, r.Gaps)
	}
	for _, f := range out.Coverage.Faults {
		gaps("fault", f.Fault, f.Where, f.Gaps)
	}
	for _, k := range out.Coverage.Checks {
		gaps("check", k.Check, k.Where, k.Gaps)
	}
	switch {
	case listed+rest == 0:
		p.line("", 0, "no gaps: every rule is seen to hold and not to hold, every fault leads, every check is made")
	case rest == 0:
		p.line("", 0, plural(listed, "gap"))
	case len(o.also) == 0:
		p.line("", 0, fmt.Sprintf("%s, all in %s itself; --all lists them", plural(rest, "gap"), out.Pack))
	case listed == 0:
		p.line("", 0, fmt.Sprintf("no gaps in what you added; %d in %s itself, which --all lists", rest, out.Pack))
	default:
		p.line("", 0, fmt.Sprintf("%s in what you added; %d more in %s itself, which --all lists", plural(listed, "gap"), rest, out.Pack))
	}
}
