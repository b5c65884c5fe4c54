package engine

import (
	"fmt"

	"culprit/engine/belief"
	"culprit/engine/rulefile"
)

// finding is one finding of the network: a rule by itself, or a group of rules
// that exclude each other, each being one outcome.
type finding struct {
	rules []*rulefile.Rule
}

// link ties a link of the network to the fault that states it.
type link struct {
	fault *rulefile.Fault
	link  *rulefile.Link
	given int // index into Pack.questions, or -1: it always acts
}

// connect builds the network from the rules.
func (p *Pack) connect() error {
	r := p.rules
	m := belief.Model{}
	for _, c := range r.Conditions {
		var leaks []float64
		for _, s := range c.States {
			leaks = append(leaks, s.OfItself)
		}
		m.Conditions = append(m.Conditions, belief.Condition{Leaks: leaks})
	}
	q := questions{pack: p, byText: map[string]int{}, nothing: r.Scope.Values()}
	for _, f := range r.Faults {
		m.Faults = append(m.Faults, belief.Fault{Prior: f.Per1000 / 1000})
		for i := range f.Brings {
			b := &f.Brings[i]
			m.Links = append(m.Links, belief.Link{Fault: f.Index, Condition: b.Condition.Index, State: b.State, Strength: b.Strength})
			p.links = append(p.links, link{fault: f, link: b, given: q.index(b.Given)})
		}
	}
	for _, rule := range r.Rules {
		p.asking = append(p.asking, asking{q.index(rule.Given), q.index(rule.When)})
	}
	for _, rule := range r.Rules {
		if rule.Alternatives != nil && rule.Alternatives.Rules[0] != rule {
			continue // entered with the first of its group
		}
		f := finding{rules: []*rulefile.Rule{rule}}
		if rule.Alternatives != nil {
			f.rules = rule.Alternatives.Rules
		}
		var outcomes []belief.Outcome
		for _, each := range f.rules {
			outcomes = append(outcomes, outcome(each))
		}
		m.Findings = append(m.Findings, belief.Finding{Outcomes: outcomes})
		p.findings = append(p.findings, f)
	}
	net, err := belief.New(m)
	if err != nil {
		return fmt.Errorf("the rules make no network: %w", err)
	}
	p.net, p.model = net, m
	return nil
}

func outcome(r *rulefile.Rule) belief.Outcome {
	o := belief.Outcome{Leak: r.Otherwise}
	for _, s := range r.Shows {
		if s.Fault != nil {
			o.Faults = append(o.Faults, belief.FromFault{Fault: s.Fault.Index, Strength: s.Strength})
		} else {
			o.States = append(o.States, belief.Shown{Condition: s.Condition.Index, State: s.State, Strength: s.Strength})
		}
	}
	return o
}
