package belief

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// eliminate combines the tables that have slots of a node, in pairs, those that make the
// smallest table first, then with its weights, and sums it out.
func (c *compiler) eliminate(i int32, limit float64) {
	c.rankFor(c.turn[i])
	c.bucket = c.bucket[:0]
	for _, k := range c.members[c.turn[i]] {
		c.bucket = append(c.bucket, c.fill(k))
	}
	c.combine(limit)
	one := placed{mask: make([]uint64, c.words), size: 1} // the number 1
	x, f := one, one
	if len(c.bucket) == 1 {
		x = c.bucket[0]
	}
	if c.e.nodes[i].numbers > 0 {
		o := operation{kind: opWeights, id: i}
		f = c.place(&o, c.e.weightSlots(i))
		f.wants = c.e.asks(c.w, &c.e.nodes[i])
		c.ops = append(c.ops, o)
	}
	c.sumOut(i, x, f)
}

// mostPaired is how many tables cheapest chooses from: it looks at all pairs.
const mostPaired = 32

// combine multiplies the tables of the bucket into one. Where they are many, those over the
// same slots come first, then those with the fewest.
func (c *compiler) combine(limit float64) {
	if len(c.bucket) > mostPaired {
		slices.SortStableFunc(c.bucket, func(a, b placed) int {
			return cmp.Or(cmp.Compare(len(a.slots), len(b.slots)), slices.Compare(a.mask, b.mask))
		})
		kept := c.bucket[:1]
		for _, x := range c.bucket[1:] {
			if last := &kept[len(kept)-1]; !slices.Equal(last.mask, x.mask) {
				kept = append(kept, x)
			} else if *last = c.multiply(*last, x); c.isTooMuch(limit) {
				return
			}
		}
		c.bucket = kept
	}
	for len(c.bucket) > 1 && !c.isTooMuch(limit) {
		a, b := 0, 1
		if len(c.bucket) <= mostPaired {
			a, b = c.cheapest()
		}
		c.bucket[a] = c.multiply(c.bucket[a], c.bucket[b])
		c.bucket = slices.Delete(c.bucket, b, b+1)
	}
}

// mostIndex bounds the lists of a program, to 4 MiB; a judgement.
const mostIndex = 1 << 20

// isTooMuch reports whether the program needs too large tables or lists, or more products
// than the limit.
func (c *compiler) isTooMuch(limit float64) bool {
	return c.p.size > mostNumbers || c.p.work > limit || len(c.index) > mostIndex
}

// cheapest returns the two tables of the bucket, a before b, whose product is smallest.
func (c *compiler) cheapest() (a, b int) {
	least := math.Inf(1)
	for i := range c.bucket {
		for k := i + 1; k < len(c.bucket); k++ {
			many, shared, threefold := 0, 0, 0
			for q, m := range c.bucket[i].mask {
				both := c.bucket[k].mask[q]
				many += bits.OnesCount64(m | both)
				shared += bits.OnesCount64(m & both)
				threefold += bits.OnesCount64(m & both & c.apart[q])
			}
			score := math.Ldexp(1, many)
			for range threefold {
				score *= 1.5
			}
			if score -= float64(shared) / 64; score < least { // of equals, those that share most
				a, b, least = i, k, score
			}
		}
	}
	return a, b
}
