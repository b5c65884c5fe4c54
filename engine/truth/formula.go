package truth

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
		if n.value.op == opReading {
			return f.compare(v, v.reading(n.value.reading), &n.from, &n.to, not)
		}
		r := n.value.evaluate(v)
		return f.compare(v, &r, &n.from, &n.to, not)
	default:
		from, to, ok := specEdges(n.op, &v.specs[n.reading])
		if !ok {
			return written{truth: isUnknown}
		}
		return f.compare(v, v.reading(n.reading), &from, &to, not)
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
