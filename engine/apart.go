package engine

import (
	"cmp"
	"context"
	"math"
	"slices"

	"culprit/engine/belief"
)

// HardlyApart is the expected weight of evidence in decibans below which two
// faults count as not told apart: all checks together do not double the odds on
// the average. A judgement.
const HardlyApart = 3

// worthMore is how many times the best check several together have to give before
// they are named instead. A judgement.
const worthMore = 2

// Apart is what can be told apart in a pack, if every check is made.
//
// It is worked out for a car whose set-up points are all met, with what is
// assumed unless a job says otherwise, and with exactly one fault present. A rule
// counts where a check's readings bear on it and its given can be so in such a car when every reading that a check
// yields was taken. Whether a given that asks for measured values is so cannot be
// known beforehand, so it counts as so; two rules whose givens exclude each other
// then both count, and the evidence is the most that can be.
type Apart struct {
	Version   int       `json:"version"`
	Pack      string    `json:"pack"`
	Threshold float64   `json:"threshold_decibans"`
	SetUp     []Assumed `json:"set_up"` // what is taken as so
	// Counted and LeftOut are the ids of rules.
	Counted []string `json:"rules_counted"`
	LeftOut []string `json:"rules_left_out"`
	// Groups are faults of which each is less than the threshold apart from
	// another of its group.
	Groups [][]string `json:"groups"`
	Pairs  []Pair     `json:"pairs"` // the closest first
}

// ApartVersion is the version of the JSON form of [Apart].
const ApartVersion = 1

// Pair is two faults and the evidence between them.
type Pair struct {
	Faults [2]string `json:"faults"`
	// FirstOverSecond is the weight of evidence for the first against the second
	// that is to be expected when the first is present; SecondOverFirst the reverse.
	FirstOverSecond Weight `json:"first_over_second"`
	SecondOverFirst Weight `json:"second_over_first"`
	// Best is the check that separates them best; null where none does.
	Best *BestCheck `json:"best"`
}

// Weight is an expected weight of evidence in decibans, between two bounds that
// are the same where it is exact; null where there is no limit.
type Weight struct {
	Least *float64 `json:"least"`
	Most  *float64 `json:"most"`
}

// BestCheck is what separates two faults best: the check whose readings answer
// rules that are expected to give most. Where rules ask for readings of several
// checks and give more than twice that, it is these checks together.
type BestCheck struct {
	Check           string   `json:"check"`
	Label           string   `json:"label"`
	With            []string `json:"with,omitempty"` // the other checks that it takes
	FirstOverSecond Weight   `json:"first_over_second"`
	SecondOverFirst Weight   `json:"second_over_first"`
}

func weight(a belief.Apart) Weight { return Weight{finite(a.Least), finite(a.Most)} }

// Exact tells whether the bounds are one number.
func (w Weight) Exact() bool {
	if w.Least == nil || w.Most == nil {
		return w.Least == w.Most
	}
	return *w.Least == *w.Most
}

func top(w *float64) float64 {
	if w == nil {
		return math.Inf(1)
	}
	return *w
}

// Least is what is expected at least, whichever of the two is present.
func (p *Pair) Least() float64 {
	return min(top(p.FirstOverSecond.Least), top(p.SecondOverFirst.Least))
}

// Most bounds from above what is expected of the worse of the two directions.
func (p *Pair) Most() float64 { return min(top(p.FirstOverSecond.Most), top(p.SecondOverFirst.Most)) }

// Least is what the check is expected to give at least, whichever is present.
func (b *BestCheck) Least() float64 {
	return min(top(b.FirstOverSecond.Least), top(b.SecondOverFirst.Least))
}

// Apart works out what can be told apart. The error is that of ctx, or one of
// the network.
func (p *Pack) Apart(ctx context.Context) (*Apart, error) {
	car := p.readyCar()
	out := &Apart{Version: ApartVersion, Pack: p.name, Threshold: HardlyApart, SetUp: car.setUp,
		Counted: []string{}, LeftOut: []string{}, Groups: [][]string{}, Pairs: []Pair{}}
	var counted []int
	for i, f := range p.findings {
		counts := p.borne(f.rules) && car.canApply(f.rules[0])
		if counts {
			counted = append(counted, i)
		}
		for _, r := range f.rules {
			if counts {
				out.Counted = append(out.Counted, r.ID)
			} else {
				out.LeftOut = append(out.LeftOut, r.ID)
			}
		}
	}
	evidence := belief.Evidence{Acting: car.acting}
	all, err := p.net.Contrast(evidence, counted)
	if err != nil {
		return nil, err
	}
	tries, err := p.tries(car, counted)
	if err != nil {
		return nil, err
	}
	for i := range p.rules.Faults {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for j := range i {
			pair, err := p.pair(all, tries, j, i)
			if err != nil {
				return nil, err
			}
			out.Pairs = append(out.Pairs, pair)
		}
	}
	slices.SortStableFunc(out.Pairs, func(a, b Pair) int { return cmp.Compare(a.Least(), b.Least()) })
	out.group(p.Faults())
	return out, nil
}

// pair works out both directions of two faults, and the best check.
func (p *Pack) pair(all *belief.Contrast, tries []try, a, b int) (Pair, error) {
	out := Pair{Faults: [2]string{p.rules.Faults[a].ID, p.rules.Faults[b].ID}}
	var err error
	if out.FirstOverSecond, out.SecondOverFirst, err = between(all, a, b); err != nil {
		return out, err
	}
	var several *BestCheck
	for _, t := range tries {
		x := BestCheck{Check: t.checks[0].ID, Label: t.checks[0].Label}
		for _, c := range t.checks[1:] {
			x.With = append(x.With, c.ID)
		}
		if x.FirstOverSecond, x.SecondOverFirst, err = between(t.contrast, a, b); err != nil {
			return out, err
		}
		best := &out.Best
		if len(t.checks) > 1 {
			best = &several
		}
		if x.Least() > 0 && (*best == nil || x.Least() > (*best).Least()) {
			*best = &x
		}
	}
	if several != nil && (out.Best == nil || several.Least() > worthMore*out.Best.Least()) {
		out.Best = several
	}
	return out, nil
}

func between(c *belief.Contrast, a, b int) (there, back Weight, err error) {
	x, err := c.Expected([]int{a}, []int{b})
	if err != nil {
		return there, back, err
	}
	y, err := c.Expected([]int{b}, []int{a})
	return weight(x), weight(y), err
}

// group joins the faults of pairs below the threshold, in the order of the pack.
func (a *Apart) group(faults []string) {
	of := map[string]string{} // the first of its group, itself included
	for _, f := range faults {
		of[f] = f
	}
	for _, p := range a.Pairs {
		from, to := of[p.Faults[1]], of[p.Faults[0]]
		if p.Most() >= a.Threshold || from == to {
			continue
		}
		for f := range of {
			if of[f] == from {
				of[f] = to
			}
		}
	}
	done := map[string]bool{}
	for _, f := range faults {
		var group []string
		for _, g := range faults {
			if of[g] == of[f] {
				group = append(group, g)
			}
		}
		if len(group) > 1 && !done[of[f]] {
			a.Groups = append(a.Groups, group)
		}
		done[of[f]] = true
	}
}
