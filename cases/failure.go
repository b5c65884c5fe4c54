package cases

import (
	"slices"

	"culprit/engine"
)

// Explanation says why a case failed: what ranked where, and what made it so.
type Explanation struct {
	Ranking []Ranked `json:"ranking"` // the leading faults, and those that the case names
	// Wrong is the fault that leads and should not, Right the one that should have
	// ranked better; either may be "".
	Wrong string `json:"wrong,omitempty"`
	Right string `json:"right,omitempty"`
	// ForWrong are the rules that spoke for the wrong fault, ForRight and AgainstRight
	// those that spoke for and against the right one, with their weights and readings.
	ForWrong     []engine.Evidence `json:"for_wrong"`
	ForRight     []engine.Evidence `json:"for_right"`
	AgainstRight []engine.Evidence `json:"against_right"`
	// Rivals are, where the right fault leads with too little, those that have the
	// rest, with what spoke for them.
	Rivals []Rival `json:"rivals"`
}

// Rival is a fault that keeps the leading one from being more probable.
type Rival struct {
	Fault       string            `json:"fault"`
	Probability float64           `json:"probability"`
	For         []engine.Evidence `json:"for"`
}

// Ranked is a fault and its place.
type Ranked struct {
	Rank        int     `json:"rank"`
	Fault       string  `json:"fault"`
	Probability float64 `json:"probability"`
}

// leading is how many faults a failure tells in any case.
const leading = 3

// How many rivals are told, and how probable one is at least. Judgements.
const (
	mostRivals  = 2
	leastRivals = 0.05
)

// Explain says why a case failed; nil where it passed, where the job was refused,
// or where the ranking is not what failed.
func (c *Case) Explain(r Result) *Explanation {
	if len(r.Failures) == 0 || r.Verdict == nil {
		return nil
	}
	faults := r.Verdict.Faults
	e := &Explanation{Ranking: []Ranked{}, ForWrong: []engine.Evidence{}, ForRight: []engine.Evidence{}, AgainstRight: []engine.Evidence{}, Rivals: []Rival{}}
	for _, x := range c.Expect {
		var own Result
		own.Verdict = r.Verdict
		if own.judge(x); len(own.Failures) > 0 {
			e.Right = x.Fault.ID
			break
		}
	}
	lead := faults[0]
	if lead.Fault != e.Right && (e.Right != "" || c.mustNotLead(lead.Fault)) {
		e.Wrong = lead.Fault
	}
	if e.Right == "" && e.Wrong == "" {
		return nil
	}
	for i, f := range faults {
		named := slices.ContainsFunc(c.Expect, func(x Expected) bool { return x.Fault.ID == f.Fault })
		if i < leading || named {
			e.Ranking = append(e.Ranking, Ranked{rank(faults, f.Probability), f.Fault, f.Probability})
		}
		if f.Detail == nil {
			continue
		}
		if f.Fault == e.Wrong {
			e.ForWrong = f.Detail.For
		}
		if f.Fault == e.Right {
			e.ForRight, e.AgainstRight = f.Detail.For, f.Detail.Against
		}
		if e.Wrong == "" && f.Fault != e.Right && f.Probability >= leastRivals && len(e.Rivals) < mostRivals {
			e.Rivals = append(e.Rivals, Rival{f.Fault, f.Probability, f.Detail.For})
		}
	}
	return e
}

func (c *Case) mustNotLead(fault string) bool {
	return slices.ContainsFunc(c.NotLeading, func(n Name) bool { return n.ID == fault })
}

// rank is the place of a fault with this probability. Equal probabilities share
// the better one, so that two faults which nothing tells apart both lead.
func rank(faults []engine.Fault, p float64) int {
	rank := 1
	for _, f := range faults {
		if f.Probability > p*(1+1e-9) {
			rank++
		}
	}
	return rank
}
