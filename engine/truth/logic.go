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

// not is the truth of the opposite.
func (t Truth) not() Truth { return Truth{1 - t.Most, 1 - t.Least} }

func certain(yes bool) Truth { return decided(yes).truth() }

// Truth evaluates a [YesNo] expression. The probability is that of readings with
// independent normal errors: comparisons that share readings are joined by
// their correlation, not multiplied. Where at most two quantities hang
// together it is exact to 1e-14, with three or four to 1e-8. Arithmetic other
// than sums is taken to first order; abs, min and max are exact where they are
// one side of a comparison.
func (e *Expr) Truth(v *Values) Truth {
	t, _ := v.ask(e.logic)
	return t
}

// Judge is Truth, and tells whether the expression certainly holds because no part of it
// is a matter of degree. What is joined to it by and is then worth what it is by itself, to
// the last bit.
func (e *Expr) Judge(v *Values) (t Truth, holds bool) {
	f := v.begin()
	defer v.end()
	out := f.emit(v, e.logic, false)
	return f.truth(out), out.truth == isTrue
}

// Number evaluates a [Number] expression: the value and its standard
// uncertainty; ok is false where a reading or figure is missing or the
// arithmetic has no answer.
func (e *Expr) Number(v *Values) (value, u float64, ok bool) {
	v.fresh()
	return e.value.evaluate(v).number(v)
}

// ask works out the truth of a node. It says in overfull that the formula was
// too large to join, which leaves the truth wider than the readings do.
func (v *Values) ask(n *logic) (t Truth, overfull bool) {
	f := v.begin()
	defer v.end()
	return f.truth(f.emit(v, n, false)), f.overfull
}

// truth is what was written comes to.
func (f *formula) truth(w written) Truth {
	if w.truth != isCode {
		return w.truth.truth()
	}
	t := f.chance(w.node)
	return Truth{clamp(t.Least), clamp(t.Most)}
}

func clamp(p float64) float64 { return min(max(p, 0), 1) }

// begin hands out a cleared formula. Derived readings are written into the
// formula that names them; only known() asks one formula inside another.
func (v *Values) begin() *formula {
	v.fresh()
	if v.depth == len(v.formulas) {
		v.formulas = append(v.formulas, new(formula))
	}
	f := v.formulas[v.depth]
	v.depth++
	f.reset()
	return f
}

func (v *Values) end() { v.depth-- }

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
	isCode           // undecided: a node of the formula says how probable it is
)

func (k kleene) truth() Truth {
	switch k {
	case isTrue:
		return Truth{1, 1}
	case isFalse:
		return Truth{0, 0}
	}
	return Truth{0, 1}
}

func decided(yes bool) kleene {
	if yes {
		return isTrue
	}
	return isFalse
}
