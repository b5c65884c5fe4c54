package main

import (
	"fmt"
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
		r.weights("against", e.Right, "", e.AgainstRight)
	}
	r.line("  because", 18, x.Because)
	r.blank()
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
		p.line("", 0, "no case was run, which counts as a failure")
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
		renderGaps(p, c)
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

func renderGaps(p *page, c *cases.Coverage) {
	n := 0
	gaps := func(kind, id, where string, all []cases.Gap) {
		for _, g := range all {
			p.line("", 0, fmt.Sprintf("%s: %s %s %s", where, kind, id, neverText[g.Never]))
			p.line("", 4, g.Why)
			n++
		}
	}
	p.blank()
	for _, r := range c.Rules {
		gaps("rule", r.Rule, r.Where, r.Gaps)
	}
	for _, f := range c.Faults {
		gaps("fault", f.Fault, f.Where, f.Gaps)
	}
	for _, k := range c.Checks {
		gaps("check", k.Check, k.Where, k.Gaps)
	}
	if n == 0 {
		p.line("", 0, "no gaps: every rule is seen to hold and not to hold, every fault leads, every check is made")
		return
	}
	p.line("", 0, plural(n, "gap"))
}
