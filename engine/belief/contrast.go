package belief

import (
	"fmt"
	"slices"
)

// Limits of one table of a contrast: the joint outcomes of findings that hang
// together, and these times the values of their conditions. Judgements of time
// and memory; past them the answer is a pair of bounds.
const (
	maxOutcomes = 1 << 14
	maxTerms    = 1 << 21
)

// Contrast tells how far apart findings are expected to keep sets of faults.
// It keeps the tables that it made, so one contrast serves all sets; it is not
// safe for concurrent use.
type Contrast struct {
	n               *Network
	acting          []float64
	outcomes, terms int // limits
	blocks          []block
	dropped         []int32           // findings that no block could take
	hidden          []int32           // the conditions that these show
	given           map[string][]dist // by set of faults: what every block expects
}

// block is findings whose joint outcomes are counted through.
type block struct {
	findings   []int32
	conditions []int32
	cause      []int32 // faults that a finding shows itself, ascending
	outcomes   int
	terms      int                  // combinations of values of the conditions
	cut        bool                 // part of a cluster that was too large
	tables     map[string][]float64 // by what the faults make of the block
}

// dist is the joint prediction of a block, with the key of its table.
type dist struct {
	key   string
	table []float64
}

// Apart bounds an expected weight of evidence in decibans. Both ends are the
// same where it was worked out exactly; they can be infinite.
type Apart struct{ Least, Most float64 }

// Contrast prepares to compare what is expected of these findings, each at most
// once. Of the evidence only Acting counts. Errors are indexes out of range or
// given twice, and a wrong Acting.
func (n *Network) Contrast(e Evidence, findings []int) (*Contrast, error) {
	return n.contrast(e, findings, maxOutcomes, maxTerms)
}

func (n *Network) contrast(e Evidence, findings []int, outcomes, terms int) (*Contrast, error) {
	if err := n.checkActing(e.Acting); err != nil {
		return nil, err
	}
	c := &Contrast{n: n, outcomes: outcomes, terms: terms, acting: slices.Clone(e.Acting), given: map[string][]dist{}}
	seen := map[int]bool{}
	var single []block
	for _, f := range findings {
		if f < 0 || f >= len(n.findings) {
			return nil, fmt.Errorf("contrast: there is no finding %d, only %d", f, len(n.findings))
		}
		if seen[f] {
			return nil, fmt.Errorf("contrast: finding %d is given twice", f)
		}
		seen[f] = true
		single = append(single, n.single(int32(f)))
	}
	for _, cluster := range clusters(single) {
		c.divide(cluster)
	}
	for i := range c.blocks {
		c.blocks[i].tables = map[string][]float64{}
	}
	return c, nil
}

// single is a finding by itself.
func (n *Network) single(f int32) block {
	x := &n.findings[f]
	b := block{findings: []int32{f}, outcomes: x.outcomes + 1, terms: 1}
	for _, s := range x.shown {
		b.conditions = append(b.conditions, s.condition)
	}
	if x.shownBy >= 0 {
		b.conditions = []int32{x.shownBy}
	}
	for _, q := range b.conditions {
		b.terms *= n.states(q) + 1
	}
	for _, q := range x.faults {
		b.cause = append(b.cause, q.fault)
	}
	return b
}

// clusters puts findings together that share a condition, directly or through
// others: given exactly one set of faults, conditions are independent, and so
// are findings of different clusters.
func clusters(all []block) [][]block {
	var out [][]block
	for _, b := range all {
		joined := []block{b}
		rest := out[:0:0]
		for _, group := range out {
			if slices.ContainsFunc(group, func(x block) bool { return shareOne(x.conditions, b.conditions) }) {
				joined = append(joined, group...)
			} else {
				rest = append(rest, group)
			}
		}
		out = append(rest, joined)
	}
	return out
}

func shareOne(a, b []int32) bool {
	return slices.ContainsFunc(a, func(x int32) bool { return slices.Contains(b, x) })
}

// divide makes one block of a cluster where its joint outcomes are few. Else
// it builds blocks from the findings that show the fewest conditions, as far as
// the limits go, and drops those that would tie too much together.
func (c *Contrast) divide(cluster []block) {
	slices.SortStableFunc(cluster, func(a, b block) int { return len(a.conditions) - len(b.conditions) })
	var made []block
	lost := false
	for _, x := range cluster {
		joined := x
		rest := made[:0:0]
		for _, b := range made {
			if shareOne(b.conditions, x.conditions) {
				joined = c.n.join(joined, b)
			} else {
				rest = append(rest, b)
			}
		}
		if joined.outcomes > c.outcomes || joined.terms > c.terms/joined.outcomes {
			c.dropped = append(c.dropped, x.findings[0])
			c.hidden = union(c.hidden, x.conditions)
			lost = true
			continue
		}
		made = append(rest, joined)
	}
	if lost {
		for i := range made {
			made[i].cut = true
		}
	}
	c.blocks = append(c.blocks, made...)
}

func (n *Network) join(a, b block) block {
	j := block{
		findings: slices.Concat(a.findings, b.findings), conditions: union(a.conditions, b.conditions),
		cause: union(a.cause, b.cause), outcomes: a.outcomes * b.outcomes, terms: 1,
	}
	for _, q := range j.conditions {
		j.terms = min(j.terms*(n.states(q)+1), maxTerms+1)
	}
	j.outcomes = min(j.outcomes, maxOutcomes+1)
	return j
}

func union(a, b []int32) []int32 {
	out := slices.Concat(a, b)
	slices.Sort(out)
	return slices.Compact(out)
}
