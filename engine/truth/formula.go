package truth

import "math"

// formula is what is left of an expression once everything certain has been
// decided: and, or, uncertain comparisons and unknowns. Negations stand at the
// comparisons only.
type formula struct {
	nodes []node
	marks []mark
	vars  []variable
	steps int

	// overfull says that the formula grew past what is joined exactly. The
	// rest of it is then unknown.
	overfull bool

	list  []int32 // of junctions under way: their parts
	joint joint
}

const (
	// maxVars is how many uncertain quantities one formula may hang on, and
	// how many different comparisons of them it may make.
	maxVars = 16
	// maxSteps bounds the work of writing out derived readings that name each
	// other many times.
	maxSteps = 20_000
)

// node is a part of the formula; its own parts stand before it.
type node struct {
	op          nodeOp
	not         bool   // of a mark
	left, right int32  // parts of a junction; left of a mark: which
	touches     uint32 // the variables it hangs on and all that are correlated with them
}

type nodeOp uint8

const (
	nodeMark nodeOp = iota // an uncertain comparison
	nodeOpen               // an unknown
	nodeAnd
	nodeOr
)

// mark is an uncertain comparison: whether the standard score of a variable
// lies between a and b.
type mark struct {
	variable int
	a, b     float64
}

// variable is an uncertain quantity, as a standard score. Those that are the
// same up to scale and sign are one.
type variable struct {
	share      []term // first slope positive
	correlated uint32 // set of the variables correlated with it
	related    uint32 // those that chains of correlation lead to, itself included
}

// same is the distance of two quantities' shares up to which they are one.
const same = 1e-12

func (f *formula) reset() {
	f.nodes, f.marks, f.vars, f.list = f.nodes[:0], f.marks[:0], f.vars[:0], f.list[:0]
	f.steps, f.overfull = 0, false
}

// written is what an expression comes to: a truth value, or a node.
type written struct {
	truth kleene
	node  int32 // when truth is isCode
}

// emit decides a part of an expression, or its opposite, as far as it can be
// decided at once, and writes the rest into the formula.
func (f *formula) emit(v *Values, n *logic, not bool) written {
	if f.steps++; f.steps > maxSteps {
		f.overfull = true
	}
	if f.overfull {
		return written{truth: isUnknown}
	}
	var k kleene
	switch n.op {
	case opNot:
		return f.emit(v, n.left, !not)
	case opWhole:
		return f.emit(v, n.left, not)
	case opAnd, opOr:
		return f.junction(v, n, not)
	case opFlag:
		if !v.given[n.reading].known && v.scope.from[n.reading] != nil {
			return f.derived(v, n.reading, not)
		}
		k = v.plain(n)
	case opSame, opKnown, opToggle:
		k = v.plain(n)
	case opWithin:
		return f.compare(v, n.value.evaluate(v), n.from, n.to, not)
	default:
		from, to, ok := specEdges(n.op, v.specs[n.reading])
		if !ok {
			return written{truth: isUnknown}
		}
		return f.compare(v, v.reading(n.reading), from, to, not)
	}
	if not {
		k = isTrue - k
	}
	return written{truth: k}
}

// plain decides a question that is no matter of degree.
func (v *Values) plain(n *logic) kleene {
	g := &v.given[n.reading]
	switch {
	case n.op == opKnown:
		return decided(v.Known(n.reading))
	case !g.known:
		return isUnknown
	case n.op == opFlag:
		return decided(g.yes)
	case n.op == opSame:
		return decided(g.word == n.word)
	}
	f := g.trace()
	if f.togglesErr != nil {
		return isUnknown
	}
	return decided(f.toggles)
}

// derived writes a derived yes/no reading, or its opposite.
func (f *formula) derived(v *Values, reading int, not bool) written {
	m := &v.memos[reading]
	if m.at != v.now {
		out := f.emit(v, v.scope.from[reading].logic, not)
		if out.truth == isCode || f.overfull {
			return out
		}
		*m = memo{at: v.now, truth: out.truth}
		if not {
			m.truth = isTrue - m.truth
		}
	}
	if not {
		return written{truth: isTrue - m.truth}
	}
	return written{truth: m.truth}
}

// junction writes "and" or "or". A negated one is the other one of the
// opposites (De Morgan).
func (f *formula) junction(v *Values, n *logic, not bool) written {
	decides, neutral, op := isFalse, isTrue, nodeAnd
	if (n.op == opOr) != not {
		decides, neutral, op = isTrue, isFalse, nodeOr
	}
	nodes, marks, vars := len(f.nodes), len(f.marks), len(f.vars)
	left := f.emit(v, n.left, not)
	var right written
	if left.truth != decides {
		right = f.emit(v, n.right, not)
	}
	switch {
	case left.truth == decides || right.truth == decides:
		f.nodes, f.marks, f.vars = f.nodes[:nodes], f.marks[:marks], f.vars[:vars]
		return written{truth: decides}
	case left.truth == neutral:
		return right
	case right.truth == neutral:
		return left
	case left.truth == isUnknown && right.truth == isUnknown:
		return left
	}
	return f.add(node{op: op, left: f.nodeOf(left), right: f.nodeOf(right)})
}

func (f *formula) nodeOf(w written) int32 {
	if w.truth == isUnknown {
		return f.add(node{op: nodeOpen}).node
	}
	return w.node
}

func (f *formula) add(n node) written {
	f.nodes = append(f.nodes, n)
	return written{truth: isCode, node: int32(len(f.nodes) - 1)}
}

// specEdges is the range of ok, high or low; ok is false without the figure.
func specEdges(op logicOp, s Spec) (from, to edge, ok bool) {
	switch op {
	case opHigh:
		return edge{at: s.To, bounded: true}, edge{}, s.HasTo
	case opLow:
		return edge{}, edge{at: s.From, bounded: true}, s.HasFrom
	}
	return edge{s.From, s.HasFrom, true}, edge{s.To, s.HasTo, true}, s.HasFrom || s.HasTo
}

// compare decides whether a number lies between two edges, at once where its
// uncertainty leaves no doubt, else by a mark.
func (f *formula) compare(v *Values, r result, from, to edge, not bool) written {
	if r.status != known {
		return written{truth: isUnknown}
	}
	u := v.uncertainty(r.terms)
	var yes bool
	switch a, b := from.score(r.value, u, -2*reach), to.score(r.value, u, 2*reach); {
	case u <= r.slack:
		yes = from.admits(r, 1) && to.admits(r, -1)
	case !finite(u):
		f.overfull = true
		return written{truth: isUnknown}
	case b <= -reach || a >= reach || a >= b:
		yes = false
	case a <= -reach && b >= reach:
		yes = true
	default:
		return f.mark(v.share(r.terms, u), a, b, not)
	}
	return written{truth: decided(yes != not)}
}

// admits reports whether a number that is as good as exact lies on the side of
// the edge that way points to: 1 upwards, -1 downwards.
func (e edge) admits(r result, way float64) bool {
	if !e.bounded {
		return true
	}
	by := way * (r.value - e.at)
	if math.Abs(by) <= r.slack+rounding*math.Abs(e.at) {
		return e.inclusive
	}
	return by > 0
}

// score is an edge as a standard score of the number.
func (e edge) score(value, u, open float64) float64 {
	if !e.bounded {
		return open
	}
	return (e.at - value) / u
}

// mark writes an uncertain comparison of the quantity with these shares.
func (f *formula) mark(share []term, a, b float64, not bool) written {
	if share[0].slope < 0 {
		for i := range share {
			share[i].slope = -share[i].slope
		}
		a, b = -b, -a
	}
	at := f.variable(share)
	if at < 0 {
		f.overfull = true
		return written{truth: isUnknown}
	}
	m := mark{variable: at, a: a, b: b}
	k := 0
	for k < len(f.marks) && f.marks[k] != m {
		k++
	}
	if k == len(f.marks) {
		if k == maxVars {
			f.overfull = true
			return written{truth: isUnknown}
		}
		f.marks = append(f.marks, m)
	}
	return f.add(node{op: nodeMark, left: int32(k), not: not})
}

// variable finds the quantity with these shares, or adds it; -1 when there is
// no room.
func (f *formula) variable(share []term) int {
	for i := range f.vars {
		if v := &f.vars[i]; distance(share, v.share) < same {
			return i
		}
	}
	n := len(f.vars)
	if n == maxVars {
		return -1
	}
	own := variable{share: share}
	for i := range f.vars {
		v := &f.vars[i]
		v.correlated &^= 1 << n // left by one that was taken back
		if math.Abs(inner(share, v.share)) > unrelated {
			v.correlated |= 1 << n
			own.correlated |= 1 << i
		}
	}
	f.vars = append(f.vars, own)
	return n
}
