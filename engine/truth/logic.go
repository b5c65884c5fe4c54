package truth

// Truth is the least and the most probability that something holds. The two
// differ only where readings or figures are missing.
type Truth struct {
	Least, Most float64
}

// Tolerance is the widest interval that still counts as an answer. It is a
// judgement: a hundredth of a chance changes no ranking.
const Tolerance = 0.01

// Settled reports whether the interval is narrow enough to be an answer.
func (t Truth) Settled() bool { return t.Most-t.Least <= Tolerance }

// Middle is the answer of a settled interval.
func (t Truth) Middle() float64 { return (t.Least + t.Most) / 2 }

func certain(yes bool) Truth {
	if yes {
		return Truth{1, 1}
	}
	return Truth{0, 0}
}

// Truth evaluates a [YesNo] expression. The probability is exact for readings
// with independent normal errors: comparisons that share readings are joined
// by their covariance, not multiplied. Arithmetic other than sums is taken to
// first order.
func (e *Expr) Truth(v *Values) Truth {
	j := v.begin()
	switch j.emit(v, e.logic) {
	case isFalse:
		return Truth{0, 0}
	case isTrue:
		return Truth{1, 1}
	case isUnknown:
		return Truth{0, 1}
	}
	return j.probability(v)
}

// Number evaluates a [Number] expression: the value and its standard
// uncertainty; ok is false where a reading or figure is missing or the
// arithmetic has no answer.
func (e *Expr) Number(v *Values) (value, u float64, ok bool) {
	r := e.value.evaluate(v)
	return r.value, v.uncertainty(r.terms), r.status == known
}

// kleene is a truth value of strong Kleene logic, ordered so that and is the
// lesser, or the greater, and not the mirror image:
//
//	and | F U T    or | F U T    not |
//	 F  | F F F    F  | F U T     F  | T
//	 U  | F U U    U  | U U T     U  | U
//	 T  | F U T    T  | T T T     T  | F
type kleene uint8

const (
	isFalse   kleene = iota
	isUnknown        //
	isTrue           //
	isCode           // undecided: what was emitted decides, given the readings' true values
)

// step is an instruction of the postfix program that decides a formula once
// the true values of the uncertain quantities are fixed.
type step struct {
	op   stepOp
	mark int // stepMark
}

type stepOp uint8

const (
	stepMark    stepOp = iota // push whether a quantity lies in a range
	stepAnd                   //
	stepOr                    //
	stepNot                   //
	stepAndOpen               // and with an unknown
	stepOrOpen                // or with an unknown
)

// emit decides a formula as far as it can be decided at once, and appends code
// for the rest.
func (j *joint) emit(v *Values, n *logic) kleene {
	switch n.op {
	case opAnd, opOr:
		return j.emitJunction(v, n)
	case opNot:
		k := j.emit(v, n.left)
		if k == isCode {
			j.code = append(j.code, step{op: stepNot})
			return isCode
		}
		return isTrue - k
	case opKnown:
		return decided(v.knownWithin(n.reading))
	}
	return j.emitLeaf(v, n)
}

func decided(yes bool) kleene {
	if yes {
		return isTrue
	}
	return isFalse
}

func (j *joint) emitJunction(v *Values, n *logic) kleene {
	// In "or", true decides; in "and", false does.
	decides, neutral, op, open := isFalse, isTrue, stepAnd, stepAndOpen
	if n.op == opOr {
		decides, neutral, op, open = isTrue, isFalse, stepOr, stepOrOpen
	}
	start := len(j.code)
	left := j.emit(v, n.left)
	if left == decides {
		j.code = j.code[:start]
		return decides
	}
	right := j.emit(v, n.right)
	switch {
	case right == decides:
		j.code = j.code[:start]
		return decides
	case left == neutral:
		return right
	case right == neutral:
		return left
	case left == isUnknown && right == isUnknown:
		return isUnknown
	case left == isUnknown || right == isUnknown:
		j.code = append(j.code, step{op: open})
	default:
		j.code = append(j.code, step{op: op})
	}
	return isCode
}

// emitLeaf emits everything that asks a reading.
func (j *joint) emitLeaf(v *Values, n *logic) kleene {
	switch n.op {
	case opFlag:
		if g := &v.given[n.reading]; g.known {
			return decided(g.yes)
		}
		if e := v.scope.from[n.reading]; e != nil {
			return j.emit(v, e.logic)
		}
		return isUnknown
	case opSame:
		if g := &v.given[n.reading]; g.known {
			return decided(g.word == n.word)
		}
		return isUnknown
	case opToggle:
		if g := &v.given[n.reading]; g.known {
			switch yes, err := g.samples.toggles(); {
			case err != nil:
				return isUnknown
			default:
				return decided(yes)
			}
		}
		return isUnknown
	case opWithin:
		return j.compare(v, n.value.evaluate(v), n.from, n.to)
	}
	from, to, ok := specEdges(n.op, v.specs[n.reading])
	if !ok {
		return isUnknown
	}
	return j.compare(v, v.reading(n.reading), from, to)
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
func (j *joint) compare(v *Values, r result, from, to edge) kleene {
	if r.status != known {
		return isUnknown
	}
	u := v.uncertainty(r.terms)
	if u == 0 {
		above := !from.bounded || r.value > from.at || from.inclusive && r.value == from.at
		below := !to.bounded || r.value < to.at || to.inclusive && r.value == to.at
		return decided(above && below)
	}
	a, b := bound(from, r.value, u, -2*reach), bound(to, r.value, u, 2*reach)
	switch {
	case b <= -reach || a >= reach || a >= b:
		return isFalse
	case a <= -reach && b >= reach:
		return isTrue
	}
	return j.mark(v, r, u, a, b)
}

// bound is an edge as a standard score.
func bound(e edge, value, u, open float64) float64 {
	if !e.bounded {
		return open
	}
	return (e.at - value) / u
}

// decide runs the code for fixed truths of the marks.
func (j *joint) decide() kleene {
	stack := j.stack[:0]
	for _, s := range j.code {
		top := len(stack) - 1
		switch s.op {
		case stepMark:
			stack = append(stack, j.marks[s.mark].truth)
		case stepNot:
			stack[top] = isTrue - stack[top]
		case stepAnd:
			stack[top-1] = min(stack[top-1], stack[top])
			stack = stack[:top]
		case stepOr:
			stack[top-1] = max(stack[top-1], stack[top])
			stack = stack[:top]
		case stepAndOpen:
			stack[top] = min(stack[top], isUnknown)
		case stepOrOpen:
			stack[top] = max(stack[top], isUnknown)
		}
	}
	j.stack = stack[:0]
	return stack[0]
}
