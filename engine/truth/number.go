package truth

import "math"

// evaluate computes a number and its partial derivative by every uncertain
// reading below it (forward differentiation). Products, quotients and named
// functions are taken to first order, as the law of propagation of uncertainty
// does (JCGM 100:2008, 5.1.2). A derived reading that two branches share is
// one reading: the derivatives add before anything is squared.
func (n *number) evaluate(v *Values) result {
	switch n.op {
	case opLiteral:
		return result{status: known, value: n.literal}
	case opReading:
		return v.reading(n.reading)
	case opReference:
		if s := v.specs[n.reading]; s.HasReference {
			return result{status: known, value: s.Reference}
		}
		return result{}
	case opTrace:
		return n.measure(v)
	}
	var args [4]result
	for i, a := range n.args {
		r := a.evaluate(v)
		if r.status != known {
			return r
		}
		if i < len(args) {
			args[i] = r
		}
	}
	switch n.op {
	case opNeg:
		return v.linear(-args[0].value, -1, args[0], 0, result{})
	case opAbs:
		return v.linear(math.Abs(args[0].value), math.Copysign(1, args[0].value), args[0], 0, result{})
	case opAdd:
		return v.linear(args[0].value+args[1].value, 1, args[0], 1, args[1])
	case opSub:
		return v.linear(args[0].value-args[1].value, 1, args[0], -1, args[1])
	case opMul:
		return v.linear(args[0].value*args[1].value, args[1].value, args[0], args[0].value, args[1])
	case opDiv:
		q := args[0].value / args[1].value
		return v.linear(q, 1/args[1].value, args[0], -q/args[1].value, args[1])
	case opMin, opMax:
		return n.extreme(v)
	case opCall:
		return n.call(v, args[:len(n.args)])
	}
	panic("truth: unknown operation")
}

// linear joins two results with their slopes into one.
func (v *Values) linear(value, slopeA float64, a result, slopeB float64, b result) result {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return result{status: impossible, reason: "the arithmetic has no finite answer (a division by zero?)"}
	}
	if len(a.terms)+len(b.terms) == 0 {
		return result{status: known, value: value}
	}
	start := len(v.arena)
	x, y := a.terms, b.terms
	for len(x) > 0 || len(y) > 0 {
		switch {
		case len(y) == 0 || len(x) > 0 && x[0].reading < y[0].reading:
			v.arena = append(v.arena, term{x[0].reading, slopeA * x[0].slope})
			x = x[1:]
		case len(x) == 0 || y[0].reading < x[0].reading:
			v.arena = append(v.arena, term{y[0].reading, slopeB * y[0].slope})
			y = y[1:]
		default:
			v.arena = append(v.arena, term{x[0].reading, slopeA*x[0].slope + slopeB*y[0].slope})
			x, y = x[1:], y[1:]
		}
	}
	return result{status: known, value: value, terms: v.arena[start:len(v.arena):len(v.arena)]}
}

// extreme is the least or greatest argument with that argument's slopes.
func (n *number) extreme(v *Values) result {
	best := n.args[0].evaluate(v)
	for _, a := range n.args[1:] {
		r := a.evaluate(v)
		if (r.value < best.value) == (n.op == opMin) {
			best = r
		}
	}
	return best
}

// call evaluates a named function of up to four numbers.
func (n *number) call(v *Values, args []result) result {
	var x, slope [4]float64
	for i, a := range args {
		x[i] = a.value
	}
	y, err := n.fn.compute(x[:len(args)], slope[:len(args)])
	if err != nil {
		return result{status: impossible, reason: err.Error()}
	}
	out := result{status: known, value: y}
	for i, a := range args {
		out = v.linear(y, 1, out, slope[i], a)
		if out.status != known {
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
	y, own, err := n.fn.measure(g.samples)
	out := result{status: known, value: y}
	switch {
	case err != nil:
		return result{status: impossible, reason: err.Error()}
	case own > 0:
		out.terms = v.keep(term{n.reading + len(v.given), own})
	case g.u > 0 && n.fn.name != "switch_rate":
		out.terms = v.keep(term{n.reading, 1})
	}
	return out
}
