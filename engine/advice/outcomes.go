package advice

import (
	"cmp"
	"container/heap"
	"math"
	"slices"

	"culprit/engine/belief"
)

// Outcome is one thing that a check may say.
type Outcome struct {
	Probability float64
	// Results has, for each of the check's findings that this outcome divides by,
	// what it says: the index of its outcome, the number of outcomes for none.
	Results []Result
	Faults  []float64 // posteriors after it
	None    float64
	Minutes float64 // expected cost of repairing after it
	// Whole says that everything the check decides is in Results.
	Whole bool
}

// Result is what one finding says.
type Result struct{ Finding, Outcome int }

// node is a part of what a check may say: results for the first findings.
type node struct {
	weights     []float64 // by case: its probability together with the results
	probability float64
	results     []int // by finding, in the order of splits
}

// nodes is a heap with the most probable on top.
type nodes []*node

func (h nodes) Len() int           { return len(h) }
func (h nodes) Less(i, j int) bool { return h[i].probability > h[j].probability }
func (h nodes) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *nodes) Push(x any)        { *h = append(*h, x.(*node)) }
func (h *nodes) Pop() any {
	old := *h
	x := old[len(old)-1]
	*h = old[:len(old)-1]
	return x
}

// splits divides what findings may say into at most so many parts, the most
// probable first divided; a part that is as finely divided as can be is done.
func splits(o *belief.Outlook, most int) (order []int, done, open []*node) {
	order = byInformation(o)
	root := &node{}
	for i := range o.Cases {
		root.weights = append(root.weights, o.Cases[i].Probability)
		root.probability += o.Cases[i].Probability
	}
	h := &nodes{root}
	for h.Len() > 0 && h.Len()+len(done) < most {
		x := heap.Pop(h).(*node)
		if len(x.results) == len(order) {
			done = append(done, x)
			continue
		}
		if x.probability < negligible {
			open = append(open, x)
			continue
		}
		k := order[len(x.results)]
		for j := range o.Cases[0].Chances[k] {
			y := &node{results: append(slices.Clone(x.results), j), weights: make([]float64, len(x.weights))}
			for i, w := range x.weights {
				y.weights[i] = w * o.Cases[i].Chances[k][j]
				y.probability += y.weights[i]
			}
			if y.probability > 0 {
				heap.Push(h, y)
			}
		}
	}
	for _, x := range *h {
		if len(x.results) == len(order) {
			done = append(done, x)
		} else {
			open = append(open, x)
		}
	}
	return order, done, open
}

// negligible is the probability of a part below which dividing it further can
// hardly matter. A judgement; what it can matter is bounded and said.
const negligible = 1e-4

// byInformation sorts the findings of an outlook by the mutual information
// between each and the cases, so that dividing by the first of them tells most.
func byInformation(o *belief.Outlook) []int {
	order := make([]int, len(o.Findings))
	bits := make([]float64, len(o.Findings))
	for k := range o.Findings {
		order[k] = k
		mean := make([]float64, len(o.Cases[0].Chances[k]))
		for i := range o.Cases {
			c := &o.Cases[i]
			for j, q := range c.Chances[k] {
				mean[j] += c.Probability * q
				bits[k] += c.Probability * plogp(q)
			}
		}
		for _, q := range mean {
			bits[k] -= plogp(q)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(bits[b], bits[a]) })
	return order
}

func plogp(p float64) float64 {
	if p <= 0 {
		return 0
	}
	return p * math.Log2(p)
}

// mixture is the posterior of the faults in a part.
func (x *node) mixture(o *belief.Outlook, into []float64) (faults []float64, none float64) {
	clear(into)
	for i, w := range x.weights {
		if w == 0 {
			continue
		}
		share := w / x.probability
		c := &o.Cases[i]
		none += share * c.None
		for f, p := range c.Faults {
			into[f] += share * p
		}
	}
	return into, min(1, none)
}

// outcomes divides what a check may say into parts, the most probable first.
func (p *Problem) outcomes(look *belief.Outlook, check, parts int) []Outcome {
	l := newPlanner(p)
	order, done, open := splits(look, parts)
	var all []Outcome
	for i, x := range slices.Concat(done, open) {
		out := Outcome{Probability: x.probability, Whole: i < len(done) && len(look.Left) == 0}
		out.Faults, out.None = x.mixture(look, make([]float64, len(p.Faults)))
		out.Minutes = l.expected(out.Faults, out.None, check)
		for i, j := range x.results {
			out.Results = append(out.Results, Result{look.Findings[order[i]], j})
		}
		all = append(all, out)
	}
	slices.SortStableFunc(all, func(x, y Outcome) int { return cmp.Compare(y.Probability, x.Probability) })
	return all
}

// Main divides what a check may say into at most so many parts, by what tells
// most: for people, who cannot read hundreds. Posteriors here are those of the
// network, as a person would see them after it; Minutes stays 0. Errors are
// those of [belief.Network.Outlook].
func (p *Problem) Main(check, parts int) ([]Outcome, error) {
	look, err := p.Net.Outlook(p.Evidence, p.Checks[check].Findings, belief.LookAhead{Cases: defaultCases})
	if err != nil {
		return nil, err
	}
	order, done, open := splits(look, parts)
	var all []Outcome
	for _, x := range slices.Concat(done, open) {
		out := Outcome{Probability: x.probability}
		out.Faults, out.None = x.mixture(look, make([]float64, len(p.Faults)))
		for i, j := range x.results {
			out.Results = append(out.Results, Result{look.Findings[order[i]], j})
		}
		all = append(all, out)
	}
	slices.SortStableFunc(all, func(x, y Outcome) int { return cmp.Compare(y.Probability, x.Probability) })
	return all, nil
}
