package truth

import "math"

// interval is a set of numbers between two ends, both included, with a bound on
// how far the computer's rounding may put a number of it off. Operations round
// outwards, so that whatever evaluation comes to with operands inside lies
// inside the result: the inclusion property of IEEE 1788-2015.
type interval struct {
	from, to float64
	slack    float64
}

var anything = interval{from: math.Inf(-1), to: math.Inf(1), slack: math.Inf(1)}

// outward widens an interval by one unit in the last place at both ends, but for
// nought, which sums and products of floating-point numbers only give when they are.
func outward(from, to, slack float64) interval {
	if math.IsNaN(from) || math.IsNaN(to) {
		return anything
	}
	i := interval{from: from, to: to}
	if from != 0 {
		i.from = math.Nextafter(from, math.Inf(-1))
	}
	if to != 0 {
		i.to = math.Nextafter(to, math.Inf(1))
	}
	if i.slack = slack + rounding*i.size(); math.IsNaN(i.slack) {
		i.slack = math.Inf(1)
	}
	return i
}

// size is the greatest number without its sign.
func (i interval) size() float64 { return max(math.Abs(i.from), math.Abs(i.to)) }

func exactInterval(from, to float64) interval {
	i := interval{from: from, to: to}
	i.slack = rounding * i.size()
	return i
}

func (i interval) neg() interval { return interval{-i.to, -i.from, i.slack} }

func (i interval) plus(j interval) interval {
	return outward(i.from+j.from, i.to+j.to, i.slack+j.slack)
}

func (i interval) minus(j interval) interval { return i.plus(j.neg()) }

// product is a b, with 0 for nought times infinity: an infinite end stands for
// arbitrarily large numbers, and not for infinity itself.
func product(a, b float64) float64 {
	if a == 0 || b == 0 {
		return 0
	}
	if p := a * b; p != 0 {
		return p
	}
	return math.Copysign(math.SmallestNonzeroFloat64, a) * math.Copysign(1, b) // less than can be written
}

func (i interval) times(j interval) interval {
	a, b, c, d := product(i.from, j.from), product(i.from, j.to), product(i.to, j.from), product(i.to, j.to)
	return outward(min(a, b, c, d), max(a, b, c, d), product(i.size(), j.slack)+product(j.size(), i.slack))
}

// over divides; a divisor that may be nought leaves anything possible.
func (i interval) over(j interval) interval {
	if j.from <= 0 && j.to >= 0 {
		return anything
	}
	inverse := outward(1/j.to, 1/j.from, 0)
	inverse.slack += product(inverse.size()*inverse.size(), j.slack)
	out := i.times(inverse)
	// The quotient is rounded once, the product with an inverse twice.
	return outward(out.from, out.to, out.slack)
}

func (i interval) abs() interval {
	switch {
	case i.from >= 0:
		return i
	case i.to <= 0:
		return i.neg()
	}
	return interval{0, i.size(), i.slack}
}

// bounds is the interval in which a number lies. The function gives that of a
// reading; a specification's reference counts as a plausible value.
func (n *number) bounds(of func(reading int) interval) interval {
	switch n.op {
	case opLiteral:
		return exactInterval(n.literal, n.literal)
	case opReading, opReference:
		return of(n.reading)
	case opTrace:
		if n.fn.timing {
			return interval{0, math.Inf(1), math.Inf(1)}
		}
		i := of(n.reading)
		i.from -= rounding * math.Abs(i.from) // a mean is rounded often
		i.to += rounding * math.Abs(i.to)
		return outward(i.from, i.to, rounding*i.size())
	case opCall:
		return anything
	case opNeg:
		return n.args[0].bounds(of).neg()
	case opAbs:
		return n.args[0].bounds(of).abs()
	}
	out := n.args[0].bounds(of)
	for _, a := range n.args[1:] {
		b := a.bounds(of)
		switch n.op {
		case opAdd:
			out = out.plus(b)
		case opSub:
			out = out.minus(b)
		case opMul:
			out = out.times(b)
		case opDiv:
			out = out.over(b)
		case opMin:
			out = interval{min(out.from, b.from), min(out.to, b.to), max(out.slack, b.slack)}
		case opMax:
			out = interval{max(out.from, b.from), max(out.to, b.to), max(out.slack, b.slack)}
		}
	}
	return out
}
