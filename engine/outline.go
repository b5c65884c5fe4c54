package engine

import (
	"slices"

	"culprit/engine/rulefile"
)

// RuleOutline is what a rule asks for. Readings are those that it names, and
// those that these are worked out from.
type RuleOutline struct {
	Rule  string
	Says  string
	Where string // file:line:column
	Given []string
	When  []string
}

// CheckOutline is what a check yields and takes, and the rules that its readings bear on.
type CheckOutline struct {
	Check   string
	Label   string
	Where   string
	Yields  []string
	Rules   []string
	Minutes float64    // with what is prepared for it
	Prepare []Prepared // nil when there is nothing
}

// RuleOutlines outlines every rule of the pack in its order.
func (p *Pack) RuleOutlines() []RuleOutline {
	var out []RuleOutline
	for _, r := range p.rules.Rules {
		o := RuleOutline{Rule: r.ID, Says: r.Says, Where: r.At.String(), When: p.ids(p.sources(r.When.Reads()))}
		if r.Given != nil {
			o.Given = p.ids(p.sources(r.Given.Reads()))
		}
		out = append(out, o)
	}
	return out
}

// CheckOutlines outlines every check of the pack in its order.
func (p *Pack) CheckOutlines() []CheckOutline {
	var out []CheckOutline
	for _, c := range p.rules.Checks {
		o := CheckOutline{Check: c.ID, Label: c.Label, Where: c.At.String(), Yields: p.ids(c.Yields), Minutes: c.Minutes, Prepare: p.prepared(c)}
		for _, r := range p.rules.Rules {
			if p.bears(c, r) {
				o.Rules = append(o.Rules, r.ID)
			}
		}
		out = append(out, o)
	}
	return out
}

func (p *Pack) ids(readings []int) []string {
	out := []string{}
	for _, i := range readings {
		out = append(out, p.rules.Readings[i].ID)
	}
	return out
}

// sources adds to readings those that they are worked out from.
func (p *Pack) sources(readings []int) []int {
	out := slices.Clone(readings)
	for k := 0; k < len(out); k++ {
		from := p.rules.Readings[out[k]].From
		if from == nil {
			continue
		}
		for _, i := range from.Reads() {
			if !slices.Contains(out, i) {
				out = append(out, i)
			}
		}
	}
	return out
}

// bears tells whether a check yields something that the rule's question asks for.
func (p *Pack) bears(c *rulefile.Check, r *rulefile.Rule) bool {
	asked := p.sources(r.When.Reads())
	return slices.ContainsFunc(c.Yields, func(i int) bool { return slices.Contains(asked, i) })
}

// borne tells whether any check bears on any of the rules.
func (p *Pack) borne(rules []*rulefile.Rule) bool {
	return slices.ContainsFunc(rules, func(r *rulefile.Rule) bool {
		return slices.ContainsFunc(p.rules.Checks, func(c *rulefile.Check) bool { return p.bears(c, r) })
	})
}

// FaultOutline is a fault and where it is defined.
type FaultOutline struct {
	Fault string
	Where string // file:line:column
}

// FaultOutlines outlines every fault of the pack in its order.
func (p *Pack) FaultOutlines() []FaultOutline {
	var out []FaultOutline
	for _, f := range p.rules.Faults {
		out = append(out, FaultOutline{f.ID, f.At.String()})
	}
	return out
}

// SetUpOutline is a point of the set-up list: a yes/no reading, what it must be
// before readings count, and what to do where it is not.
type SetUpOutline struct {
	Reading string
	Label   string
	MustBe  bool
	Do      string
}

// SetUpOutlines lists the points of the pack's set-up list in its order.
func (p *Pack) SetUpOutlines() []SetUpOutline {
	var out []SetUpOutline
	for _, r := range p.rules.Readings {
		if r.SetUp != nil {
			out = append(out, SetUpOutline{r.ID, r.Label, r.SetUp.MustBe, r.SetUp.Do})
		}
	}
	return out
}
