package engine

import (
	"cmp"
	"context"
	"slices"

	"culprit/engine/truth"
)

// BriefOptions say what a [Brief] tells.
type BriefOptions struct {
	Most int  // how many leading faults; 0 means 5, less than 0 none
	Next bool // what to do next, which takes far longer than the rest
}

// Brief ranks the faults of a job like [Pack.Diagnose], without saying why. Errors
// are the same.
func (p *Pack) Brief(ctx context.Context, j *Job, o BriefOptions) (*Brief, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	b, err := p.brief(ctx, j, cmp.Or(o.Most, defaultMost))
	if err != nil || !o.Next {
		return b, err
	}
	n, err := p.Next(ctx, j, NextOptions{Most: -1})
	if err != nil {
		return nil, err
	}
	b.Next = n.advised()
	return b, nil
}

func (p *Pack) brief(ctx context.Context, j *Job, most int) (*Brief, error) {
	return ask(ctx, p, j, func(s *session) (*Brief, error) {
		if err := p.net.Posterior(s.evidence, &s.posterior); err != nil {
			return nil, err
		}
		b := &Brief{Version: BriefVersion, Name: j.Name, Faults: p.leaders(s, most), NoFault: s.posterior.None, Warnings: []Warning{}}
		b.warn(WarnSetUp, p.unmet(s), nil)
		b.warn(WarnWaiting, p.waitedFor(s), nil)
		b.warn(WarnDoubtful, p.doubted(s), nil)
		measure, err := p.net.ConflictMeasure(s.evidence, s.posterior.LogEvidence)
		if err != nil {
			return nil, err
		}
		if measure >= contradicts {
			b.warn(WarnConflict, []string{}, &measure)
		}
		return b, nil
	})
}

// leaders lists the most probable faults, in the order of [Verdict.Faults].
func (p *Pack) leaders(s *session, most int) []Likely {
	order := make([]int, len(p.rules.Faults))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return likelier(s.posterior.Faults[a], s.posterior.Faults[b]) })
	out := []Likely{}
	for _, f := range order[:min(max(0, most), len(order))] {
		out = append(out, Likely{p.rules.Faults[f].ID, s.posterior.Faults[f]})
	}
	return out
}

// warn adds a warning about readings, if there are any.
func (b *Brief) warn(kind string, readings []string, measure *float64) {
	if len(readings) > 0 || measure != nil {
		b.Warnings = append(b.Warnings, Warning{Kind: kind, Readings: readings, Measure: measure})
	}
}

// unmet lists the set-up points that are known not to be met.
func (p *Pack) unmet(s *session) []string {
	var v Verdict
	p.describeSetUp(&v, s)
	var out []string
	for _, x := range v.SetUp {
		if x.Known {
			out = append(out, x.Reading)
		}
	}
	return out
}

// waitedFor lists the set-up points that rules wait for which would hold.
func (p *Pack) waitedFor(s *session) []string {
	wanted := make([]bool, len(p.rules.Readings))
	for _, r := range p.rules.Rules {
		if p.waits(r, s) {
			for _, l := range p.lacks(r, s) {
				wanted[l.Reading] = true
			}
		}
	}
	var out []string
	for i, w := range wanted {
		if w {
			out = append(out, p.rules.Readings[i].ID)
		}
	}
	return out
}

// doubted lists the readings that are hardly possible, or not what those behind
// them make of them.
func (p *Pack) doubted(s *session) []string {
	var out []string
	for _, r := range p.rules.Readings {
		given := s.values.Given(r.Index)
		if !given && r.From == nil || r.Kind != truth.Number && (!given || r.From == nil) {
			continue
		}
		if r.Kind == truth.Number {
			value, _, ok := s.values.Number(r.Index)
			if ok && r.Plausible != nil && (value < r.Plausible.From || value > r.Plausible.To) {
				out = append(out, r.ID)
				continue
			}
		}
		if given && r.From != nil && !s.assumes(r) {
			var read Reading
			read.fill(r, s.values)
			if len(disagreement(r, &read, s.values)) > 0 {
				out = append(out, r.ID)
			}
		}
	}
	return out
}

// contradicts is the conflict measure from which a brief record warns. Which reading
// to take again is left to the verdict: it takes a query for each finding. A
// judgement; rank's text has the same.
const contradicts = 0.1

// advised is an advice in short.
func (n *Next) advised() *Advised {
	a := &Advised{Do: n.Do}
	if len(n.Checks) > 0 {
		c := &n.Checks[0]
		a.Check, a.Minutes, a.Saves = c.Check.Check, &c.AsThingsAre, &c.WithNext
	}
	if n.Do == DoRepair && len(n.Repair.Steps) > 0 && len(n.Repair.Steps[0].Faults) > 0 {
		a.Fault = n.Repair.Steps[0].Faults[0].Fault
	}
	return a
}
