package truth

import "math"

// evaluate computes a number and its partial derivative by every uncertain
// reading below it (forward differentiation). Products, quotients, named
// functions and the kinks of abs, min and max are taken to first order, as the
// law of propagation of uncertainty does (JCGM 100:2008, 5.1.2).
func (n *number) evaluate(v *Values) result {
	switch n.op {
	case opLiteral:
		return exactly(n.literal)
	case opReading:
		return *v.reading(n.reading)
	case opReference:
		if s := v.specs[n.reading]; s.HasReference {
			return exactly(s.Reference)
		}
		return result{}
	case opTrace:
		return n.measure(v)
	case opMin, opMax:
		return n.extreme(v)
	case opCall:
		return n.call(v)
	}
	a := n.args[0].evaluate(v)
	if a.status != known {
		return a
	}
	switch n.op {
	case opNeg:
		return v.linear(-a.value, -1, a, 0, result{})
	case opAbs:
		return v.linear(math.Abs(a.value), math.Copysign(1, a.value), a, 0, result{})
	}
	b := n.args[1].evaluate(v)
	if b.status != known {
		return b
	}
	switch n.op {
	case opAdd:
		return v.linear(a.value+b.value, 1, a, 1, b)
	case opSub:
		return v.linear(a.value-b.value, 1, a, -1, b)
	case opMul:
		return v.linear(a.value*b.value, b.value, a, a.value, b)
	case opDiv:
		q := a.value / b.value
		return v.linear(q, 1/b.value, a, -q/b.value, b)
	}
	panic("truth: unknown operation")
}

// reading evaluates a number by its index: given first, else derived. What it gives
// is not to be changed, and is gone when the job changes.
func (v *Values) reading(i int) *result {
	if g := &v.given[i]; g.known {
		return &g.number
	}
	e := v.scope.from[i]
	if e == nil || e.value == nil {
		return &v.none
	}
	m := &v.memos[i]
	if m.at != v.now {
		r := e.value.evaluate(v)
		r.terms = v.keep(r.terms)
		*m = memo{at: v.now, result: r}
	}
	return &m.result
}

// extreme is the least or greatest argument with that argument's slopes.
func (n *number) extreme(v *Values) result {
	best := n.args[0].evaluate(v)
	for _, a := range n.args[1:] {
		if best.status != known {
			return best
		}
		r := a.evaluate(v)
		if r.status != known || (r.value < best.value) == (n.op == opMin) {
			best = r
		}
	}
	return best
}

// maxArguments is the most that a named function of numbers takes.
const maxArguments = 4

// call evaluates a named function of numbers.
func (n *number) call(v *Values) result {
	var args [maxArguments]result
	var x, slope [maxArguments]float64
	for i, a := range n.args {
		args[i] = a.evaluate(v)
		if args[i].status != known {
			return args[i]
		}
		x[i] = args[i].value
	}
	y, err := n.fn.compute(x[:len(n.args)], slope[:len(n.args)])
	if err != nil {
		return impossibly(err.Error())
	}
	out := exactly(y)
	for i := range n.args {
		if out = v.linear(y, 1, out, slope[i], args[i]); out.status != known {
			return out
		}
	}
	return out
}

// measure reads one figure out of a trace. The meter's error shifts every
// sample alike, so levels take it over with slope 1; a rate has an uncertainty
// of its own, which comes from the timing and not from the meter.
func (n *number) measure(v *Values) result {
	g := &v.given[n.reading]
	if !g.known {
		return result{}
	}
	f := g.trace()
	if n.fn.timing {
		if f.rateErr != nil {
			return impossibly(f.rateErr.Error())
		}
		r := exactly(f.rate)
		if f.rateU > 0 {
			f.timing[0] = term{n.reading + len(v.given), f.rateU}
			r.terms = f.timing[:]
		}
		return r
	}
	r := exactly(n.fn.level(f))
	if g.u > 0 {
		r.terms = g.self[:]
	}
	return r
}
