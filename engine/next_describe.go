package engine

import (
	"cmp"
	"slices"

	"culprit/engine/advice"
	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

const (
	defaultProspects = 3 // checks whose outcomes are told
	prospectParts    = 4 // parts into which they are divided for a person
	leadingFaults    = 3
)

// describe turns numbers into what a person reads.
func (b *moves) describe(n *Next, a *advice.Advice, o NextOptions) error {
	n.Faults, n.NoFault, n.Perfect = b.leading(a.Posterior.Faults, leadingFaults), a.Posterior.None, a.Perfect
	n.Repair = b.plan(a)
	most := cmp.Or(o.Most, defaultProspects)
	for i := range a.Checks {
		c, err := b.check(&a.Checks[i], i < most || b.pack.rules.Checks[a.Checks[i].Check].ID == o.About)
		if err != nil {
			return err
		}
		n.Checks = append(n.Checks, c)
	}
	b.bar(n, o.Without)
	for _, r := range b.waiting {
		w := Waiting{Rule: r.ID, Says: r.Says, Lacks: []Lack{}}
		for _, x := range b.points(r) {
			w.Lacks = append(w.Lacks, Lack{Reading: x.ID})
		}
		n.Waiting = append(n.Waiting, w)
	}
	switch f := n.FollowUp; {
	case f != nil && f.InOrder:
		n.Do = DoNothing
	case f != nil && len(f.StillOdd) == 0 && len(f.NotAgain) > 0:
		n.Do = DoAgain
	case len(b.waiting) > 0 && b.listed != nil:
		n.Do = DoSetUp
	case b.settled(n):
		n.Do = DoRepair
	case len(n.Checks) > 0 && n.Checks[0].WithNext > 0:
		n.Do = DoCheck
	case len(n.Repair.Steps) > 0:
		n.Do = DoRepair
	default:
		n.Do = DoLastResort
	}
	b.cautions(n)
	return nil
}

// Settled is the probability from which a fault whose check has been made is
// repaired before anything else is checked: it has to be repaired anyway, and the
// readings are taken again afterwards. A judgement.
const Settled = 0.95

// settled tells whether the plan begins with repairing such a fault.
func (b *moves) settled(n *Next) bool {
	return len(n.Repair.Steps) > 0 && n.Repair.Steps[0].Check == nil && n.Repair.Steps[0].Faults[0].Probability >= Settled
}

func (b *moves) leading(faults []float64, most int) []Leading {
	out := make([]Leading, len(faults))
	for i, f := range b.pack.rules.Faults {
		out[i] = Leading{f.ID, f.Label, faults[i]}
	}
	slices.SortStableFunc(out, func(x, y Leading) int { return likelier(x.Probability, y.Probability) })
	return out[:min(most, len(out))]
}

func (b *moves) plan(a *advice.Advice) Plan {
	out := Plan{Minutes: a.Now.Minutes, Steps: []PlanStep{}}
	for _, s := range a.Now.Steps {
		step := PlanStep{Minutes: s.Minutes, Probability: s.Probability, Reached: s.Reached, Repairs: []Mending{}}
		if s.Check >= 0 {
			step.Check = b.pack.describeCheck(b.pack.rules.Checks[s.Check])
		}
		for _, i := range s.Faults {
			f := b.pack.rules.Faults[i]
			step.Faults = append(step.Faults, Leading{f.ID, f.Label, a.Posterior.Faults[i]})
			if r := describeRepair(f.Repair); r != nil {
				step.Repairs = append(step.Repairs, Mending{f.ID, *r})
			}
		}
		slices.SortStableFunc(step.Faults, func(x, y Leading) int { return likelier(x.Probability, y.Probability) })
		out.Steps = append(out.Steps, step)
	}
	if a.Now.LastResort > 0 {
		last := &LastResort{Label: "Last resort", Minutes: b.problem.LastResort, Probability: a.Now.LastResort}
		if l := b.pack.rules.About.LastResort; l != nil {
			last.Label, last.Do = l.Label, l.Do
		}
		out.LastResort = last
	}
	return out
}

func (b *moves) check(w *advice.Worth, outcomes bool) (NextCheck, error) {
	c := b.pack.rules.Checks[w.Check]
	out := NextCheck{Check: *b.pack.describeCheck(c), AsThingsAre: w.Minutes, Saves: w.Saves, AtMost: w.Most, WithNext: w.Ahead, Bits: w.Bits,
		First: b.first(c), Gives: []Gives{}, Settles: []string{}}
	for _, i := range c.Yields {
		out.Gives = append(out.Gives, b.gives(b.pack.rules.Readings[i]))
	}
	for _, f := range b.pack.rules.Faults {
		if f.Settle == c {
			out.Settles = append(out.Settles, f.ID)
		}
	}
	if !outcomes || w.TooWide {
		return out, nil
	}
	parts, err := b.problem.Main(w.Check, prospectParts)
	for _, o := range parts {
		out.Outcomes = append(out.Outcomes, Prospect{Probability: o.Probability, Says: b.says(o.Results),
			Faults: b.leading(o.Faults, leadingFaults), NoFault: o.None})
	}
	return out, err
}

// first lists what has to be done before a check.
func (b *moves) first(c *rulefile.Check) []First {
	out := []First{}
	open := false
	for _, r := range b.needs[c.Index] {
		if slices.Contains(b.wrong, r) {
			out = append(out, First{Do: r.SetUp.Do, Minutes: r.SetUp.Minutes, Reading: r.ID})
		} else {
			open = true
		}
	}
	if open && b.listed != nil && b.listed != c {
		out = append(out, First{Do: b.listed.Label, Minutes: b.listed.Minutes, Check: b.listed.ID})
	}
	for _, k := range c.Prepare {
		if x := b.pack.rules.Preparations[k]; !b.prepared[k] {
			out = append(out, First{Do: x.Label, Minutes: x.Minutes})
		}
	}
	return out
}

func (b *moves) gives(r *rulefile.Reading) Gives {
	out := Gives{Reading: r.ID, Label: r.Label, Kind: r.Kind.String(), Unit: r.Unit.String(), Among: r.Among, How: r.How, Taken: b.s.known(r.Index) && !slices.Contains(b.open, r)}
	if spec := b.s.values.Spec(r.Index); spec != (truth.Spec{}) {
		out.Limits = limits(spec, r.Unit)
	}
	return out
}

// says names the rules of an outcome, those that hold first.
func (b *moves) says(results []advice.Result) []Said {
	out := []Said{}
	for _, r := range results {
		rules := b.pack.findings[r.Finding].rules
		if r.Outcome < len(rules) {
			x := rules[r.Outcome]
			out = append(out, Said{x.ID, x.Says, true})
			continue
		}
		for _, x := range rules {
			out = append(out, Said{x.ID, x.Says, false})
		}
	}
	slices.SortStableFunc(out, func(x, y Said) int {
		switch {
		case x.Holds == y.Holds:
			return 0
		case x.Holds:
			return -1
		}
		return 1
	})
	return out
}

// bar lists the checks that would decide something if the shop had the tool.
func (b *moves) bar(n *Next, without []string) {
	for i, c := range b.pack.rules.Checks {
		if a := &b.problem.Checks[i]; a.Barred && !a.Made && len(a.Findings) > 0 {
			lacking := slices.DeleteFunc(slices.Clone(c.Needs), func(t string) bool { return !slices.Contains(without, t) })
			n.Barred = append(n.Barred, Barred{c.ID, c.Label, lacking})
		}
	}
}

// cautions gathers the dangers of the leading checks and of the plan's first
// steps, each once, in the order of the pack.
func (b *moves) cautions(n *Next) {
	named := map[string]bool{}
	add := func(ids []string) {
		for _, id := range ids {
			named[id] = true
		}
	}
	for i := range n.Checks {
		if len(n.Checks[i].Outcomes) > 0 {
			add(n.Checks[i].Cautions)
		}
	}
	for _, s := range n.Repair.Steps[:min(3, len(n.Repair.Steps))] {
		if s.Check != nil {
			add(s.Check.Cautions)
		}
		for _, r := range s.Repairs {
			add(r.Cautions)
		}
	}
	if f := n.FollowUp; f != nil && n.Do == DoAgain {
		for _, x := range f.NotAgain {
			if x.Check != nil {
				add(x.Check.Cautions)
			}
		}
	}
	n.Cautions = b.pack.namedCautions(named)
}

// namedCautions lists cautions in the order of the pack.
func (p *Pack) namedCautions(named map[string]bool) []Caution {
	out := []Caution{}
	for _, c := range p.rules.Cautions {
		if named[c.ID] {
			out = append(out, Caution{Caution: c.ID, Text: c.Text})
		}
	}
	return out
}
