package engine

import (
	"cmp"
	"context"
	"math"
	"slices"

	"culprit/engine/belief"
	"culprit/engine/rulefile"
)

// weighty is the weight of evidence in decibans below which a rule is not
// mentioned for or against a fault: half the smallest change that a person
// notices (1 deciban: Good 1950; from memory).
const weighty = 0.5

// explain works out everything that says why.
func (p *Pack) explain(ctx context.Context, v *Verdict, s *session, most int, why []int) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	left, err := p.net.LeaveOut(s.evidence)
	if err != nil {
		return err
	}
	for i := range v.Faults {
		f := p.rules.Fault(v.Faults[i].Fault)
		if i < most || slices.Contains(why, f.Index) {
			v.Faults[i].Detail = p.detail(f, s, left)
		}
	}
	for _, part := range []func() error{
		func() error { return p.describeConditions(v, s) },
		func() error { return p.findTogether(v, s) },
		func() error { return p.findConflict(v, s, left) },
	} {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := part(); err != nil {
			return err
		}
	}
	return nil
}

// detail is the evidence for and against one fault, and what settles it.
func (p *Pack) detail(f *rulefile.Fault, s *session, left []belief.Left) *Detail {
	d := &Detail{For: []Evidence{}, Against: []Evidence{}, Fits: []Fit{}, Settle: p.describeCheck(f.Settle), Repair: describeRepair(f.Repair)}
	for _, l := range left {
		w := l.Weight[f.Index]
		switch {
		case w >= weighty:
			d.For = append(d.For, p.evidence(f, l.Finding, w, s))
		case w <= -weighty:
			d.Against = append(d.Against, p.evidence(f, l.Finding, w, s))
		default:
			d.Fits = append(d.Fits, p.fits(f, l.Finding, s)...)
		}
	}
	heavier := func(a, b Evidence) int { return cmp.Compare(size(b.Decibans), size(a.Decibans)) }
	slices.SortStableFunc(d.For, heavier)
	slices.SortStableFunc(d.Against, heavier)
	return d
}

// fits lists the rules of a finding that hold and that the fault leads to,
// although the finding alone moves the odds little because others tell the same.
func (p *Pack) fits(f *rulefile.Fault, finding int, s *session) []Fit {
	var out []Fit
	for _, r := range p.findings[finding].rules {
		if s.answers[r.Index].status != Holds {
			continue
		}
		if chains := p.chains(f, r, s); len(chains) > 0 && chains[0].Shows > chains[0].Otherwise {
			out = append(out, Fit{Rule: r.ID, Says: r.Says})
		}
	}
	return out
}

func size(decibans *float64) float64 {
	if decibans == nil {
		return math.Inf(1)
	}
	return math.Abs(*decibans)
}

// evidence describes what a finding says about a fault.
func (p *Pack) evidence(f *rulefile.Fault, finding int, decibans float64, s *session) Evidence {
	r := p.speaker(f, p.findings[finding].rules, s)
	a := &s.answers[r.Index]
	return Evidence{
		Rule: r.ID, Says: r.Says, Status: a.status, Truth: a.holds, Decibans: finite(decibans),
		Because: r.Because, Chains: p.chains(f, r, s), Asks: p.asks(r, s),
	}
}

// speaker picks the rule that speaks for rules that exclude each other: the one
// that holds, else one that counts and that the fault leads to, else one that
// counts; of several the one that holds most nearly.
func (p *Pack) speaker(f *rulefile.Fault, rules []*rulefile.Rule, s *session) *rulefile.Rule {
	rank := func(r *rulefile.Rule) float64 {
		a := &s.answers[r.Index]
		switch {
		case !a.counts():
			return 0
		case a.status == Holds:
			return 3 + a.holds
		case len(p.chains(f, r, s)) > 0:
			return 2 + a.holds
		}
		return 1 + a.holds
	}
	best := rules[0]
	for _, r := range rules[1:] {
		if rank(r) > rank(best) {
			best = r
		}
	}
	return best
}

// chains lists the ways from a fault to a rule, the strongest first.
func (p *Pack) chains(f *rulefile.Fault, r *rulefile.Rule, s *session) []Chain {
	out := []Chain{}
	for _, shown := range r.Shows {
		if shown.Fault == f {
			out = append(out, Chain{Shows: shown.Strength, Otherwise: r.Otherwise})
		}
		if shown.Condition == nil {
			continue
		}
		brings := 0.0
		state := shown.Condition.States[shown.State]
		for k, l := range p.links {
			if l.fault == f && l.link.Condition == shown.Condition && l.link.State == shown.State {
				brings = max(brings, state.OfItself+s.acting[k]*(l.link.Strength-state.OfItself))
			}
		}
		if brings > state.OfItself {
			out = append(out, Chain{Condition: shown.Condition.ID, State: state.ID, StateLabel: state.Label,
				Brings: brings, Shows: shown.Strength, Otherwise: r.Otherwise})
		}
	}
	slices.SortStableFunc(out, func(a, b Chain) int { return cmp.Compare(b.pull(), a.pull()) })
	return out
}

// pull is how much a chain moves the rule away from how it is anyway.
func (c *Chain) pull() float64 {
	return math.Abs(c.Shows-c.Otherwise) * cmp.Or(c.Brings, 1)
}

// describeConditions fills the posterior of every condition.
func (p *Pack) describeConditions(v *Verdict, s *session) error {
	states, err := p.net.States(s.evidence)
	if err != nil {
		return err
	}
	v.Conditions = make([]Condition, 0, len(states))
	for i, c := range p.rules.Conditions {
		out := Condition{Condition: c.ID, Label: c.Label, States: []State{}}
		for k, st := range c.States {
			out.States = append(out.States, State{State: st.ID, Label: st.Label, Probability: states[i][k]})
		}
		v.Conditions = append(v.Conditions, out)
	}
	return nil
}

func (p *Pack) describeCheck(c *rulefile.Check) *Check {
	if c == nil {
		return nil
	}
	out := &Check{Check: c.ID, Label: c.Label, Minutes: c.Minutes, Needs: slices.Clone(c.Needs), Do: slices.Clone(c.Do), Cautions: cautionIDs(c.Cautions),
		Yields: []string{}, Prepare: p.prepared(c)}
	for _, i := range c.Yields {
		out.Yields = append(out.Yields, p.rules.Readings[i].ID)
	}
	return out
}

func describeRepair(r *rulefile.Repair) *Repair {
	if r == nil {
		return nil
	}
	return &Repair{Do: r.Do, Minutes: r.Minutes, Needs: slices.Clone(r.Needs), Cautions: cautionIDs(r.Cautions)}
}

func cautionIDs(cs []*rulefile.Caution) []string {
	var ids []string
	for _, c := range cs {
		ids = append(ids, c.ID)
	}
	return ids
}

// collectCautions gathers the dangers of what the verdict names, each once, in
// the order of the pack.
func (p *Pack) collectCautions(v *Verdict) {
	named := map[string]bool{}
	for _, f := range v.Faults {
		if f.Detail == nil {
			continue
		}
		if c := f.Detail.Settle; c != nil {
			for _, id := range c.Cautions {
				named[id] = true
			}
		}
		if r := f.Detail.Repair; r != nil {
			for _, id := range r.Cautions {
				named[id] = true
			}
		}
	}
	if v.FollowUp != nil {
		for _, n := range v.FollowUp.NotAgain {
			if n.Check != nil {
				for _, id := range n.Check.Cautions {
					named[id] = true
				}
			}
		}
	}
	v.Cautions = p.namedCautions(named)
}
