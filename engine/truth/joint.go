package truth

import "math/bits"

// maxNested is how many quadratures may stand one inside the other. Of
// quantities that all hang together, the innermost two cost a closed form and
// each further one a quadrature around it.
const maxNested = 2

// chance is the probability of a node: of parts that no reading connects, the
// product; of the others, the integral over what the quantities may truly be.
func (f *formula) chance(n int32) Truth {
	f.relate()
	return f.part(n)
}

// relate works out which quantities hang together, by chains of correlation,
// and which of them each node touches.
func (f *formula) relate() {
	for i := range f.vars {
		f.vars[i].related = f.closure(uint32(1) << i)
	}
	for i := range f.nodes {
		switch n := &f.nodes[i]; n.op {
		case nodeMark:
			n.touches = f.vars[f.marks[n.left].variable].related
		case nodeAnd, nodeOr:
			n.touches = f.nodes[n.left].touches | f.nodes[n.right].touches
		}
	}
}

// closure adds to a set of variables all that are correlated with one of it.
func (f *formula) closure(set uint32) uint32 {
	for todo := set; todo != 0; {
		more := f.vars[bits.TrailingZeros32(todo)].correlated &^ set & (1<<len(f.vars) - 1)
		todo = todo&(todo-1) | more
		set |= more
	}
	return set
}

// unrelated is a correlation that is nothing but rounding.
const unrelated = 1e-14

func (f *formula) part(n int32) Truth {
	nd := &f.nodes[n]
	switch nd.op {
	case nodeOpen:
		return Truth{0, 1}
	case nodeMark:
		m := &f.marks[nd.left]
		p := inside(m.a, m.b)
		if nd.not {
			p = below(m.a) + below(-m.b)
		}
		return Truth{p, p}
	}
	op := nd.op
	start := len(f.list)
	f.gather(n, op)
	all := Truth{1, 1} // of "and": all parts so far; of "or": none of them
	for from := start; from < len(f.list); {
		to := f.group(from)
		var t Truth
		if to == from+1 {
			t = f.part(f.list[from])
		} else {
			t = f.integrate(op, from, to)
		}
		if op == nodeOr {
			t = t.not()
		}
		all.Least *= t.Least
		all.Most *= t.Most
		from = to
	}
	f.list = f.list[:start]
	if op == nodeOr {
		return all.not()
	}
	return all
}

// gather lists the parts of a junction of junctions of the same sort.
func (f *formula) gather(n int32, op nodeOp) {
	if nd := &f.nodes[n]; nd.op == op {
		f.gather(nd.left, op)
		f.gather(nd.right, op)
		return
	}
	f.list = append(f.list, n)
}

// group moves the parts that hang together with the first one next to it, and
// says where they end.
func (f *formula) group(from int) (to int) {
	touches := f.nodes[f.list[from]].touches
	to = from + 1
	for i := to; i < len(f.list); i++ {
		if t := f.nodes[f.list[i]].touches; t&touches != 0 {
			touches |= t
			f.list[i], f.list[to] = f.list[to], f.list[i]
			to++
			i = to - 1 // an earlier part may hang together with this one
		}
	}
	return to
}

// joint is the scratch of one integration. The quantities are standard normal
// variables, each a combination of independent scores: its own, and those of
// the ones before it. They are gone through one by one.
type joint struct {
	op     nodeOp
	parts  []int32
	marks  []placed
	breaks []float64 // a stack
	order  [maxVars]int
	count  int
	factor [maxVars][maxVars]float64 // share of each score in each variable, in the order: a lower triangle
	moved  []int                     // the readings that move the variables
	left   []float64                 // a row for each variable over those readings: what no score explains yet
	score  [maxVars]float64          // the independent scores chosen so far
	truth  [maxVars]kleene           // of the marks
}

// placed is a mark whose variable is given by its place in the order.
type placed struct {
	at   int
	mark int32
	a, b float64
}

// integrate joins parts of a junction that hang together.
func (f *formula) integrate(op nodeOp, from, to int) Truth {
	j := &f.joint
	j.op, j.parts = op, f.list[from:to]
	j.marks, j.breaks = j.marks[:0], j.breaks[:0]
	var marks, vars uint32
	for _, n := range j.parts {
		marks |= f.marksOf(n)
	}
	for k := range f.marks {
		if marks>>k&1 != 0 {
			vars |= 1 << f.marks[k].variable
		}
	}
	f.arrange(vars)
	f.factorize()
	for k, m := range f.marks {
		if marks>>k&1 != 0 {
			at := 0
			for j.order[at] != m.variable {
				at++
			}
			j.marks = append(j.marks, placed{at: at, mark: int32(k), a: m.a, b: m.b})
		}
	}
	if j.nested() > maxNested {
		f.overfull = true
		return Truth{0, 1}
	}
	return f.over(0)
}

// marksOf is the set of the marks in a part.
func (f *formula) marksOf(n int32) uint32 {
	switch nd := &f.nodes[n]; nd.op {
	case nodeMark:
		return 1 << nd.left
	case nodeAnd, nodeOr:
		return f.marksOf(nd.left) | f.marksOf(nd.right)
	}
	return 0
}

// nested is how many quadratures the integral takes, one inside the other.
func (j *joint) nested() int {
	n := 0
	for i := 0; i < j.count; i++ {
		switch {
		case j.factor[i][i] == 0:
		case j.pair(i):
			i++
		case j.smooth(i):
			n++
		}
	}
	return n
}

// holds decides the formula's parts once the truth of every mark is fixed.
func (f *formula) holds() kleene {
	k := f.value(f.joint.parts[0])
	for _, n := range f.joint.parts[1:] {
		if f.joint.op == nodeAnd {
			k = min(k, f.value(n))
		} else {
			k = max(k, f.value(n))
		}
	}
	return k
}

func (f *formula) value(n int32) kleene {
	switch nd := &f.nodes[n]; nd.op {
	case nodeAnd:
		return min(f.value(nd.left), f.value(nd.right))
	case nodeOr:
		return max(f.value(nd.left), f.value(nd.right))
	case nodeMark:
		if nd.not {
			return isTrue - f.joint.truth[nd.left]
		}
		return f.joint.truth[nd.left]
	}
	return isUnknown
}
