package cases

import (
	"slices"

	"culprit/engine"
)

// Coverage counts what the cases made of each rule, fault and check. Cases whose
// job was refused count for nothing.
type Coverage struct {
	Cases int `json:"cases"`
	// Seen of Wanted outcomes were seen: each rule holding, each rule not holding,
	// each fault leading, each check's readings given.
	Seen    int             `json:"seen"`
	Wanted  int             `json:"wanted"`
	Percent float64         `json:"percent"`
	Rules   []RuleCoverage  `json:"rules"`
	Faults  []FaultCoverage `json:"faults"`
	Checks  []CheckCoverage `json:"checks"`
}

// RuleCoverage is in how many cases a rule came out how. Gaps say what was never
// seen, and why.
type RuleCoverage struct {
	Rule         string `json:"rule"`
	Where        string `json:"where"`
	Held         int    `json:"held"`
	NotHeld      int    `json:"did_not_hold"`
	CannotTell   int    `json:"could_not_tell"`
	DoesNotApply int    `json:"did_not_apply"`
	Gaps         []Gap  `json:"gaps"`
}

// FaultCoverage is in how many cases a fault led; two that nothing tells apart
// both lead.
type FaultCoverage struct {
	Fault string `json:"fault"`
	Where string `json:"where"`
	Led   int    `json:"led"`
	Gaps  []Gap  `json:"gaps"`
}

// CheckCoverage is in how many cases a check's readings were given, and how
// often the rules that they bear on held and did not hold in these.
type CheckCoverage struct {
	Check        string `json:"check"`
	Where        string `json:"where"`
	Given        int    `json:"given"`         // all of its readings
	InPart       int    `json:"given_in_part"` // some of them
	NotGiven     int    `json:"not_given"`
	RulesHeld    int    `json:"rules_held"`
	RulesNotHeld int    `json:"rules_did_not_hold"`
	Gaps         []Gap  `json:"gaps"`
}

// Gap is an outcome that no case shows, and why.
type Gap struct {
	Never string `json:"never"` // "held", "did not hold", "led", "given"
	Why   string `json:"why"`
}

// Counter gathers the coverage of cases as they are run.
type Counter struct {
	out    Coverage
	rules  []engine.RuleOutline
	checks []engine.CheckOutline
	given  map[string]int          // by reading: cases that give it
	lacks  map[string]map[lack]int // by rule: what it waited for, in how many cases
	best   map[string]placed       // by fault: where it came nearest to leading
}

type lack struct {
	reading string
	figure  bool
}

type placed struct {
	rank int
	id   string
	in   string
}

// NewCounter counts for a pack.
func NewCounter(p *engine.Pack) *Counter {
	c := &Counter{rules: p.RuleOutlines(), checks: p.CheckOutlines(), given: map[string]int{}, lacks: map[string]map[lack]int{}, best: map[string]placed{}}
	for _, r := range c.rules {
		c.out.Rules = append(c.out.Rules, RuleCoverage{Rule: r.Rule, Where: r.Where, Gaps: []Gap{}})
		c.lacks[r.Rule] = map[lack]int{}
	}
	for _, f := range p.FaultOutlines() {
		c.out.Faults = append(c.out.Faults, FaultCoverage{Fault: f.Fault, Where: f.Where, Gaps: []Gap{}})
	}
	for _, k := range c.checks {
		c.out.Checks = append(c.out.Checks, CheckCoverage{Check: k.Check, Where: k.Where, Gaps: []Gap{}})
	}
	return c
}

// Add counts what came out of a case.
func (c *Counter) Add(id string, r Result) {
	v := r.Verdict
	if v == nil {
		return
	}
	c.out.Cases++
	var given []string
	for _, x := range v.Readings {
		if !x.Derived {
			given = append(given, x.Reading)
			c.given[x.Reading]++
		}
	}
	status := map[string]engine.Status{}
	for i, x := range v.Rules {
		status[x.Rule] = x.Status
		c.addRule(&c.out.Rules[i], x)
	}
	for i := range c.out.Faults {
		f := &c.out.Faults[i]
		at := slices.IndexFunc(v.Faults, func(x engine.Fault) bool { return x.Fault == f.Fault })
		n := rank(v.Faults, v.Faults[at].Probability)
		if n == 1 {
			f.Led++
		}
		if before, ok := c.best[f.Fault]; !ok || n < before.rank {
			c.best[f.Fault] = placed{rank: n, id: v.Faults[0].Fault, in: id}
		}
	}
	for i := range c.out.Checks {
		c.addCheck(&c.out.Checks[i], c.checks[i], given, status)
	}
}

func (c *Counter) addRule(to *RuleCoverage, x engine.Rule) {
	switch x.Status {
	case engine.Holds:
		to.Held++
	case engine.DoesNotHold:
		to.NotHeld++
	case engine.CannotTell:
		to.CannotTell++
		for _, l := range x.Lacks {
			c.lacks[x.Rule][lack{l.Reading, l.Figure}]++
		}
	default:
		to.DoesNotApply++
	}
}

func (c *Counter) addCheck(to *CheckCoverage, k engine.CheckOutline, given []string, status map[string]engine.Status) {
	n := 0
	for _, r := range k.Yields {
		if slices.Contains(given, r) {
			n++
		}
	}
	switch n {
	case 0:
		to.NotGiven++
		return
	case len(k.Yields):
		to.Given++
	default:
		to.InPart++
	}
	for _, r := range k.Rules {
		switch status[r] {
		case engine.Holds:
			to.RulesHeld++
		case engine.DoesNotHold:
			to.RulesNotHeld++
		}
	}
}

// Coverage is what was counted so far, with the gaps and why they are.
func (c *Counter) Coverage() *Coverage {
	out := c.out
	out.Seen, out.Wanted = 0, 0
	count := func(gaps []Gap, wanted int) {
		out.Wanted += wanted
		out.Seen += wanted - len(gaps)
	}
	out.Rules, out.Faults, out.Checks = slices.Clone(out.Rules), slices.Clone(out.Faults), slices.Clone(out.Checks)
	for i := range out.Rules {
		out.Rules[i].Gaps = c.ruleGaps(&out.Rules[i], c.rules[i])
		count(out.Rules[i].Gaps, 2)
	}
	for i := range out.Faults {
		out.Faults[i].Gaps = c.faultGaps(&out.Faults[i])
		count(out.Faults[i].Gaps, 1)
	}
	for i := range out.Checks {
		out.Checks[i].Gaps = c.checkGaps(&out.Checks[i], c.checks[i])
		count(out.Checks[i].Gaps, 1)
	}
	if out.Wanted > 0 {
		out.Percent = 100 * float64(out.Seen) / float64(out.Wanted)
	}
	return &out
}
