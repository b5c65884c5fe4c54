package engine

import (
	"cmp"
	"context"
	"slices"
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
	most = min(max(0, most), len(p.rules.Faults))
	out := make([]Likely, 0, most+1)
	for f, probability := range s.posterior.Faults {
		k := len(out) // where it belongs: behind what is as probable and stands before it in the pack
		for k > 0 && likelier(probability, out[k-1].Probability) < 0 {
			k--
		}
		if k < most {
			out = slices.Insert(out, k, Likely{p.rules.Faults[f].ID, probability})
			out = out[:min(len(out), most)]
		}
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
	var out []string
	for _, r := range p.rules.Readings {
		if r.SetUp == nil {
			continue
		}
		if known, met := setUpMet(s.values, r); known && !met {
			out = append(out, r.ID)
		}
	}
	return out
}

// waitedFor lists the set-up points that rules wait for which would hold.
func (p *Pack) waitedFor(s *session) []string {
	var wanted readingSet
	for _, r := range p.rules.Rules {
		if lacks, waits := p.waits(r, s); waits {
			for _, l := range lacks {
				wanted = wanted.with(l.Reading)
			}
		}
	}
	var out []string
	for i, r := range p.rules.Readings {
		if wanted.has(i) {
			out = append(out, r.ID)
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
		if !given && r.From == nil {
			continue
		}
		if implausible(r, s.values) || given && r.From != nil && !s.assumes(r) && disagrees(r, s.values) {
			out = append(out, r.ID)
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
