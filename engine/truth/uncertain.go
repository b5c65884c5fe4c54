package truth

import "math"

// status says whether a number could be had. The zero value is unknown, so
// that a result nobody filled in is never taken for a number.
type status uint8

const (
	unknown    status = iota
	known             //
	impossible        // the readings are there, but the arithmetic has no answer
)

// result is a number with its sensitivity to every uncertain reading.
type result struct {
	status status
	value  float64
	slack  float64 // how far value may be off by the computer's rounding
	terms  []term  // ascending by reading
	reason string  // of an impossible result
}

// term is the partial derivative by one reading, or by the timing of a trace,
// which stands at its reading's index plus the number of readings.
type term struct {
	reading int
	slope   float64
}

// rounding is the relative error that a figure is allowed from conversions and
// decimal fractions: far above what they cause, far below what a meter shows.
// So 0.1 + 0.2 is 0.3, and x - x is nothing.
const rounding = 1e-12

// exactly is a number without uncertainty.
func exactly(x float64) result {
	return result{status: known, value: x, slack: rounding * math.Abs(x)}
}

const noAnswer = "the arithmetic has no finite answer (a division by zero?)"

// impossibly is arithmetic without an answer.
func impossibly(reason string) result { return result{status: impossible, reason: reason} }

// spread is the standard uncertainty of what a term is a derivative by. The
// timing of a trace is counted in its own standard uncertainty.
func (v *Values) spread(i int) float64 {
	if i >= len(v.given) {
		return 1
	}
	return v.given[i].u
}

// linear joins two results with their slopes into one: a term's derivatives
// add before anything is squared, so a reading that both sides share is one
// reading. What cancels but for rounding is left out.
func (v *Values) linear(value, slopeA float64, a result, slopeB float64, b result) result {
	if !finite(value) || !finite(slopeA) || !finite(slopeB) {
		return impossibly(noAnswer)
	}
	out := result{status: known, value: value}
	out.slack = math.Abs(slopeA)*a.slack + math.Abs(slopeB)*b.slack + rounding*math.Abs(value)
	if len(a.terms)+len(b.terms) == 0 {
		return out
	}
	start := len(v.arena)
	x, y := a.terms, b.terms
	for len(x) > 0 || len(y) > 0 {
		t := term{}
		switch {
		case len(y) == 0 || len(x) > 0 && x[0].reading < y[0].reading:
			t = term{x[0].reading, slopeA * x[0].slope}
			x = x[1:]
		case len(x) == 0 || y[0].reading < x[0].reading:
			t = term{y[0].reading, slopeB * y[0].slope}
			y = y[1:]
		default:
			p, q := slopeA*x[0].slope, slopeB*y[0].slope
			t = term{x[0].reading, p + q}
			if math.Abs(t.slope) <= rounding*(math.Abs(p)+math.Abs(q)) {
				t.slope = 0
			}
			x, y = x[1:], y[1:]
		}
		if !finite(t.slope) {
			return impossibly(noAnswer)
		}
		if t.slope != 0 {
			v.arena = append(v.arena, t)
		}
	}
	out.terms = v.arena[start:len(v.arena):len(v.arena)]
	return out
}

// keep copies terms to where they last until the job changes.
func (v *Values) keep(terms []term) []term {
	start := len(v.kept)
	v.kept = append(v.kept, terms...)
	return v.kept[start:len(v.kept):len(v.kept)]
}

// fresh gives up what the last evaluation left, unless one is going on.
func (v *Values) fresh() {
	if v.depth == 0 {
		v.arena = v.arena[:0]
	}
}

// uncertainty is the standard uncertainty of a result by the law of
// propagation, the readings being independent (JCGM 100:2008, 5.1.2).
func (v *Values) uncertainty(terms []term) float64 {
	sum := 0.0
	for _, t := range terms {
		c := t.slope * v.spread(t.reading)
		sum += c * c
	}
	return math.Sqrt(sum)
}

// share appends to the arena each reading's share of a result's uncertainty,
// signed and relative to the whole: a vector of length one. The correlation of
// two results is the inner product of theirs (JCGM 100:2008, F.1.2.3, equation
// F.2, divided by both uncertainties).
func (v *Values) share(terms []term, u float64) []term {
	start := len(v.arena)
	for _, t := range terms {
		v.arena = append(v.arena, term{t.reading, t.slope * v.spread(t.reading) / u})
	}
	return v.arena[start:len(v.arena):len(v.arena)]
}

// inner is the inner product of two vectors, both ascending by reading.
func inner(a, b []term) float64 {
	sum := 0.0
	for len(a) > 0 && len(b) > 0 {
		switch x, y := a[0], b[0]; {
		case x.reading < y.reading:
			a = a[1:]
		case x.reading > y.reading:
			b = b[1:]
		default:
			sum += x.slope * y.slope
			a, b = a[1:], b[1:]
		}
	}
	return sum
}

// distance of two vectors, both ascending by reading.
func distance(a, b []term) float64 {
	sum := 0.0
	for len(a) > 0 || len(b) > 0 {
		d := 0.0
		switch {
		case len(b) == 0 || len(a) > 0 && a[0].reading < b[0].reading:
			d, a = a[0].slope, a[1:]
		case len(a) == 0 || b[0].reading < a[0].reading:
			d, b = b[0].slope, b[1:]
		default:
			d, a, b = a[0].slope-b[0].slope, a[1:], b[1:]
		}
		sum += d * d
	}
	return math.Sqrt(sum)
}

func finite(x float64) bool { return !math.IsInf(x, 0) && !math.IsNaN(x) }

// number is a result for the outside.
func (r result) number(v *Values) (value, u float64, ok bool) {
	if r.status != known {
		return 0, 0, false
	}
	return r.value, v.uncertainty(r.terms), true
}
