package belief

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Expected is the weight of evidence for a against b, in decibans, that these
// findings give on the average when exactly the faults of a are present:
//
//	10/ln 10 · KL(P(findings | exactly a) ‖ P(findings | exactly b))
//
// the Kullback-Leibler divergence of the joint predictions (Good 1950, "Probability
// and the Weighing of Evidence", calls it expected weight of evidence; Kullback and
// Leibler 1951; from memory). It is never negative.
//
// Clusters of findings that share no condition add up. A cluster with too many
// joint outcomes is bounded: from below by what is left when findings are
// dropped, from above by what would be told if the conditions of the dropped ones
// could be seen themselves, since neither step can add information (the data-processing
// inequality; Cover and Thomas, "Elements of Information Theory", from memory).
// Errors are faults out of range.
func (c *Contrast) Expected(a, b []int) (Apart, error) {
	for _, f := range slices.Concat(a, b) {
		if f < 0 || f >= len(c.n.prior) {
			return Apart{}, fmt.Errorf("contrast: there is no fault %d, only %d", f, len(c.n.prior))
		}
	}
	p, q := c.predict(a), c.predict(b)
	var whole, cut float64
	for i := range c.blocks {
		if p[i].key == q[i].key {
			continue
		}
		d := divergence(p[i].table, q[i].table)
		if c.blocks[i].cut {
			cut += d
		} else {
			whole += d
		}
	}
	above := cut
	if len(c.dropped) > 0 {
		above = max(cut, c.above(a, b))
	}
	const decibans = 10 / math.Ln10
	return Apart{Least: decibans * (whole + cut), Most: decibans * (whole + above)}, nil
}

// divergence is KL(p ‖ q) in natural units; rounding must not make it negative.
func divergence(p, q []float64) float64 {
	sum := 0.0
	for i, x := range p {
		switch {
		case x == 0:
		case q[i] == 0:
			return math.Inf(1)
		default:
			sum += x * math.Log(x/q[i])
		}
	}
	return max(0, sum)
}

// predict gives the joint prediction of every block, each table made once.
func (c *Contrast) predict(faults []int) []dist {
	name := fmt.Sprint(faults)
	if known, ok := c.given[name]; ok {
		return known
	}
	isIn := c.set(faults)
	out := make([]dist, len(c.blocks))
	for i := range c.blocks {
		b := &c.blocks[i]
		out[i] = c.dist(b, c.spread(b.conditions, isIn), isIn)
	}
	c.given[name] = out
	return out
}

// dist gives the joint prediction of a block with its conditions spread so.
func (c *Contrast) dist(b *block, values [][]float64, isIn []bool) dist {
	var key strings.Builder
	for _, v := range values {
		for _, p := range v {
			fmt.Fprintf(&key, "%x,", math.Float64bits(p))
		}
	}
	for _, f := range b.cause {
		fmt.Fprint(&key, isIn[f])
	}
	out := dist{key: key.String()}
	if _, made := b.tables[out.key]; !made {
		b.tables[out.key] = c.table(b, values, isIn)
	}
	out.table = b.tables[out.key]
	return out
}

func (c *Contrast) set(faults []int) []bool {
	isIn := make([]bool, len(c.n.prior))
	for _, f := range faults {
		isIn[f] = true
	}
	return isIn
}

// table sums the joint outcomes of a block over the values of its conditions.
func (c *Contrast) table(b *block, values [][]float64, isIn []bool) []float64 {
	sum := make([]float64, b.outcomes)
	now := make([]float64, 0, b.outcomes)
	next := make([]float64, 0, b.outcomes)
	c.n.combine(b.conditions, values, func(at []int32, p float64) {
		now = append(now[:0], p)
		for _, f := range b.findings {
			row := c.n.outcomesAt(&c.n.findings[f], b.conditions, at, isIn)
			next = next[:0]
			for _, x := range row {
				for _, y := range now {
					next = append(next, x*y)
				}
			}
			now, next = next, now
		}
		for i, x := range now {
			sum[i] += x
		}
	})
	return sum
}

// combine calls do for each combination of values that can be, with its chance.
func (n *Network) combine(conditions []int32, values [][]float64, do func(at []int32, p float64)) {
	at := make([]int32, len(conditions))
	var from func(k int, p float64)
	from = func(k int, p float64) {
		if k == len(at) {
			do(at, p)
			return
		}
		for v, x := range values[k] {
			if x > 0 {
				at[k] = int32(v)
				from(k+1, p*x)
			}
		}
	}
	from(0, 1)
}

// outcomesAt gives the chances of a finding's outcomes, none of them last, with
// the conditions at these values and exactly these faults present.
func (n *Network) outcomesAt(f *finding, conditions, at []int32, isIn []bool) []float64 {
	if f.outcomes > 1 {
		if f.shownBy < 0 {
			return f.chances[0]
		}
		return f.chances[at[slices.Index(conditions, f.shownBy)]]
	}
	q, off := f.leak, 1-f.leak
	first := true
	for i := range f.shown {
		s := &f.shown[i]
		if v := at[slices.Index(conditions, s.condition)]; v > 0 {
			q, off = s.add(v, q, off, first)
			first = false
		}
	}
	if q, off = f.withFaults(isIn, q, off); off > 1 {
		q, off = 0, 1
	}
	return []float64{q, off}
}

// above bounds the clusters that lost findings: what would be told if the
// conditions of the lost ones could be seen, with the findings that are left, and
// by the lost ones besides, given these conditions.
func (c *Contrast) above(a, b []int) float64 {
	inA, inB := c.set(a), c.set(b)
	sum := 0.0
	for _, q := range c.hidden {
		sum += divergence(c.n.valuesGiven(q, inA, c.acting), c.n.valuesGiven(q, inB, c.acting))
	}
	for i := range c.blocks {
		if c.blocks[i].cut {
			sum += c.left(&c.blocks[i], inA, inB)
		}
	}
	for _, i := range c.dropped {
		f := &c.n.findings[i]
		if !slices.ContainsFunc(f.faults, func(x cause) bool { return inA[x.fault] != inB[x.fault] }) {
			continue
		}
		one := c.n.single(i)
		c.n.combine(one.conditions, c.spread(one.conditions, inA), func(at []int32, p float64) {
			sum += p * divergence(c.n.outcomesAt(f, one.conditions, at, inA), c.n.outcomesAt(f, one.conditions, at, inB))
		})
	}
	return sum
}

// spread gives the chances of the values of conditions.
func (c *Contrast) spread(conditions []int32, isIn []bool) [][]float64 {
	values := make([][]float64, len(conditions))
	for k, q := range conditions {
		values[k] = c.n.valuesGiven(q, isIn, c.acting)
	}
	return values
}

// left is what the findings of a block are expected to tell once the hidden
// conditions among its own are seen.
func (c *Contrast) left(b *block, inA, inB []bool) float64 {
	var seen []int32
	for _, q := range b.conditions {
		if slices.Contains(c.hidden, q) {
			seen = append(seen, q)
		}
	}
	va, vb := c.spread(b.conditions, inA), c.spread(b.conditions, inB)
	sum := 0.0
	c.n.combine(seen, c.spread(seen, inA), func(at []int32, p float64) {
		for k, q := range seen {
			i := slices.Index(b.conditions, q)
			sure := make([]float64, len(va[i]))
			sure[at[k]] = 1
			va[i], vb[i] = sure, sure
		}
		x, y := c.dist(b, va, inA), c.dist(b, vb, inB)
		if x.key != y.key {
			sum += p * divergence(x.table, y.table)
		}
	})
	return sum
}
