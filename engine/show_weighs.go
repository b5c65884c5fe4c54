package engine

import (
	"cmp"
	"math"
	"slices"

	"culprit/engine/belief"
	"culprit/engine/rulefile"
)

// Weighs is what one answer of a rule says of a fault: how far it moves the odds
// of exactly this fault against no fault at all,
//
//	10 log10 (P(answer | exactly this fault) / P(answer | no fault)) decibans
//
// (Good 1950, "Probability and the Weighing of Evidence"; from memory). It is
// exact for the rule by itself. In a job other rules may have said the same
// already, and other faults may explain it.
type Weighs struct {
	Rule  string `json:"rule"`
	Fault string `json:"fault"`
	Says  string `json:"says"`
	// Holds is the answer. Of rules that exclude each other, one that does not
	// hold leaves open which of the others does.
	Holds    bool     `json:"holds"`
	Decibans *float64 `json:"decibans"` // null without limit: certain
	// Chance is how probable the answer is with exactly this fault, Without how
	// probable with none.
	Chance  float64 `json:"chance"`
	Without float64 `json:"without"`
	Chains  []Chain `json:"chains"` // the way from the fault to the rule, the strongest first
	// LinkGiven is the given of the links that were taken to act, "" where these
	// always do. Where a fault brings the conditions of a rule under several
	// givens, it is the one under which the rule is expected to tell most.
	LinkGiven string `json:"link_given,omitempty"`
	// Readings carry the answer: the rule names them, or they are worked into what
	// it names. Checks yield them all; none where no set of checks does.
	Readings []string  `json:"readings"`
	Checks   []TakenBy `json:"checks"`
}

// TakenBy is a check that yields something, and its time.
type TakenBy struct {
	Check   string  `json:"check"`
	Minutes float64 `json:"minutes"`
}

// weighing works out what rules say of faults.
type weighing struct {
	p         *Pack
	car       *readyCar
	findingOf []int // by rule
}

func (p *Pack) weighing() *weighing {
	w := &weighing{p: p, car: p.readyCar(), findingOf: make([]int, len(p.rules.Rules))}
	for i, f := range p.findings {
		for _, r := range f.rules {
			w.findingOf[r.Index] = i
		}
	}
	return w
}

// both gives what a rule says of a fault when it holds, and when it does not;
// nil where the two have nothing to do with each other.
func (w *weighing) both(f *rulefile.Fault, r *rulefile.Rule) ([]Weighs, error) {
	var best []Weighs
	most := 0.0
	for _, given := range w.givens(f, r) {
		s := &session{acting: w.acting(f, given)}
		two, expected, err := w.under(f, r, s)
		if err != nil {
			return nil, err
		}
		if expected > most {
			best, most = two, expected
			if given >= 0 {
				for i := range best {
					best[i].LinkGiven = w.p.givenText(given)
				}
			}
		}
	}
	return best, nil
}

// givens lists the conditions of the links from a fault to what a rule shows, or
// -1 alone where all of them always act.
func (w *weighing) givens(f *rulefile.Fault, r *rulefile.Rule) []int {
	var out []int
	for _, l := range w.p.links {
		if l.fault == f && l.given >= 0 && !slices.Contains(out, l.given) &&
			slices.ContainsFunc(r.Shows, func(s rulefile.Shown) bool { return s.Condition == l.link.Condition }) {
			out = append(out, l.given)
		}
	}
	if out == nil {
		out = []int{-1}
	}
	return out
}

// acting lets the links of a fault act that always do, and those of one given.
func (w *weighing) acting(f *rulefile.Fault, given int) []float64 {
	acting := make([]float64, len(w.p.links))
	for k, l := range w.p.links {
		if l.fault == f && (l.given < 0 || l.given == given) {
			acting[k] = 1
		}
	}
	return acting
}

// under weighs a rule with these links acting, and gives besides what it is then
// expected to tell: the Kullback-Leibler divergence of its two answers.
func (w *weighing) under(f *rulefile.Fault, r *rulefile.Rule, s *session) ([]Weighs, float64, error) {
	finding := w.findingOf[r.Index]
	e := belief.Evidence{Acting: s.acting}
	with, err := w.p.net.Predict(e, []int{f.Index}, finding)
	if err != nil {
		return nil, 0, err
	}
	without, err := w.p.net.Predict(e, nil, finding)
	if err != nil {
		return nil, 0, err
	}
	k := slices.Index(w.p.findings[finding].rules, r)
	base := Weighs{Rule: r.ID, Fault: f.ID, Says: r.Says, Chains: w.p.chains(f, r, s), Readings: w.p.taken(r), Checks: []TakenBy{}}
	for _, c := range w.car.needs(r) {
		base.Checks = append(base.Checks, TakenBy{c.ID, c.Minutes})
	}
	var out []Weighs
	expected := 0.0
	for _, holds := range []bool{true, false} {
		x := base
		x.Holds, x.Chance, x.Without = holds, with[k], without[k]
		if !holds {
			x.Chance, x.Without = others(with, k), others(without, k)
		}
		if x.Chance == 0 && x.Without == 0 {
			continue // it never comes
		}
		d := 10 * math.Log10(x.Chance/x.Without)
		x.Decibans = finite(d)
		if x.Chance > 0 {
			expected += x.Chance * d
		}
		out = append(out, x)
	}
	return out, expected, nil
}

// others sums all outcomes but one; taking one from 1 would lose digits.
func others(outcomes []float64, k int) float64 {
	sum := 0.0
	for i, p := range outcomes {
		if i != k {
			sum += p
		}
	}
	return sum
}

// Number is the weight as a number that can be infinite.
func (x *Weighs) Number() float64 {
	switch {
	case x.Decibans != nil:
		return *x.Decibans
	case x.Chance == 0:
		return math.Inf(-1)
	}
	return math.Inf(1)
}

// raisesAndLowers sorts answers into those that speak for, and those that speak
// against, the heaviest first; what hardly speaks stays out.
func raisesAndLowers(all []Weighs) (raises, lowers []Weighs) {
	raises, lowers = []Weighs{}, []Weighs{}
	for _, x := range all {
		switch n := x.Number(); {
		case n >= weighty:
			raises = append(raises, x)
		case n <= -weighty:
			lowers = append(lowers, x)
		}
	}
	heavier := func(a, b Weighs) int { return cmp.Compare(math.Abs(b.Number()), math.Abs(a.Number())) }
	slices.SortStableFunc(raises, heavier)
	slices.SortStableFunc(lowers, heavier)
	return raises, lowers
}

// taken lists the readings that somebody has to take for a rule's question.
func (p *Pack) taken(r *rulefile.Rule) []string {
	out := []string{}
	for _, i := range p.sources(r.When.Reads()) {
		if x := p.rules.Readings[i]; x.From == nil && x.SetUp == nil {
			out = append(out, x.ID)
		}
	}
	return out
}

func (p *Pack) givenText(given int) string {
	for _, l := range p.links {
		if l.given == given {
			return l.link.GivenText
		}
	}
	return ""
}

// NearFault is a fault that is hard to tell from another.
type NearFault struct {
	Fault string `json:"fault"`
	Label string `json:"label"`
	// Decibans are what all checks together are expected to give at least between
	// the two, whichever is present, as in [Pair]; null without limit.
	Decibans *float64 `json:"decibans"`
}

// nearest lists the faults that are hardest to tell from one. Like [Pack.Apart] it
// takes a car that is ready, every check made, and exactly one fault.
func (w *weighing) nearest(f *rulefile.Fault) ([]NearFault, error) {
	var counted []int
	for i, x := range w.p.findings {
		if w.p.borne(x.rules) && w.car.canApply(x.rules[0]) {
			counted = append(counted, i)
		}
	}
	all, err := w.p.net.Contrast(belief.Evidence{Acting: w.car.acting}, counted)
	if err != nil {
		return nil, err
	}
	out := []NearFault{}
	for _, other := range w.p.rules.Faults {
		if other == f {
			continue
		}
		pair := Pair{}
		if pair.FirstOverSecond, pair.SecondOverFirst, err = between(all, f.Index, other.Index); err != nil {
			return nil, err
		}
		out = append(out, NearFault{other.ID, other.Label, finite(pair.Least())})
	}
	slices.SortStableFunc(out, func(a, b NearFault) int { return cmp.Compare(top(a.Decibans), top(b.Decibans)) })
	return out, nil
}
