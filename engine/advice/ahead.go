package advice

import (
	"context"
	"errors"
	"slices"

	"culprit/engine/belief"
)

// How coarsely the second of two checks is weighed, and what the first may say
// before it. Judgements: finer ones change the order of checks rarely and cost
// a person's patience.
const (
	aheadOutcomes = 5
	aheadParts    = 24
	aheadCases    = 32
	aheadLeast    = 1e-3
	aheadSecond   = 8 // checks that are weighed as the second: the best as things are
)

// lookAhead adds to the best checks what the check after them would save. What a
// check says is divided coarsely here, so that the sum is too small rather than
// too large, and what looking no further ahead gives is kept where that is more.
func (p *Problem) lookAhead(ctx context.Context, a *Advice, many int) error {
	best := make([]*Worth, 0, max(0, many))
	seconds := make([]bool, len(p.Checks))
	for i := range a.Checks {
		seconds[a.Checks[i].Check] = i < aheadSecond
		if len(best) < many && a.Checks[i].look != nil {
			best = append(best, &a.Checks[i])
		}
	}
	errs := make([]error, len(best))
	each(len(best), func(i int) { errs[i] = p.second(ctx, a, best[i], seconds) })
	return errors.Join(errs...)
}

// second weighs the checks that can follow one.
func (p *Problem) second(ctx context.Context, a *Advice, w *Worth, seconds []bool) error {
	mean := 0.0
	for _, o := range p.outcomes(w.look, w.Check, aheadOutcomes) {
		if o.Probability == 0 {
			continue
		}
		next := p.after(w.Check, o.Results)
		for i := range next.Checks {
			if !seconds[i] {
				next.Checks[i].Findings = nil
			}
		}
		then, err := next.myopic(ctx, Options{Parts: aheadParts, Cases: aheadCases, Least: aheadLeast}, one)
		if err != nil && !errors.Is(err, belief.ErrImpossible) {
			return err
		}
		saves := 0.0
		if err == nil && len(then.Checks) > 0 {
			saves = max(0, then.Checks[0].Saves)
		}
		mean += o.Probability * (o.Minutes - saves)
	}
	w.Ahead = min(max(w.Saves, a.Now.Minutes-mean-w.Minutes), max(w.Saves, a.Now.Minutes-a.Perfect-w.Minutes))
	return nil
}

// after is the problem once a check has said something.
func (p *Problem) after(check int, results []Result) *Problem {
	next := *p
	next.Evidence.Seen = slices.Clone(p.Evidence.Seen)
	for _, r := range results {
		next.Evidence.Seen = append(next.Evidence.Seen, p.Net.Sure(r.Finding, r.Outcome))
	}
	seen := func(f int) bool {
		return slices.ContainsFunc(results, func(r Result) bool { return r.Finding == f })
	}
	next.Checks = slices.Clone(p.Checks)
	next.Checks[check].Made = true
	for i := range next.Checks {
		c := &next.Checks[i]
		if slices.ContainsFunc(c.Findings, seen) {
			c.Findings = slices.DeleteFunc(slices.Clone(c.Findings), seen)
		}
	}
	next.Preparations = slices.Clone(p.Preparations)
	for _, k := range p.Checks[check].Prepare {
		next.Preparations[k] = 0
	}
	return &next
}
