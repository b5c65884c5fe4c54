package quantity

import (
	"math"
	"strings"
)

// A Quantity is a measured number.
type Quantity struct {
	Value   float64
	Unit    Unit
	HasUnit bool    // whether Unit is not None; a bare number takes any unit that In asks for
	U       float64 // standard uncertainty, in Unit
	HasU    bool    // whether U is known
}

// In gives the quantity in the unit u. A bare number is taken to be in u already; a quantity of another
// dimension is a *DimensionError. An uncertainty is scaled and never shifted, also between temperature
// scales. A value too large for the new unit is an error.
func (q Quantity) In(u Unit) (Quantity, error) {
	if q.Unit == u || q.Unit == None {
		q.Unit, q.HasUnit = u, u != None
		return q, nil
	}
	if !q.Unit.Fits(u) {
		return Quantity{}, &DimensionError{Have: q, Want: u}
	}
	r := q
	r.Unit, r.HasUnit = u, true
	r.Value = q.Unit.convert(q.Value, u)
	if q.HasU {
		r.U = scale(q.U, q.Unit.facts(), u.facts())
	}
	if math.IsInf(r.Value, 0) || math.IsInf(r.U, 0) {
		return Quantity{}, &ParseError{Text: quote(q.String()) + " is too large to be given in " + u.String()}
	}
	return r, nil
}

// A DimensionError says that a quantity has a unit which does not fit.
type DimensionError struct {
	Have Quantity
	Want Unit
}

// Error names the units that would fit, such as: "75 psi" is a pressure; here a fraction is wanted: %, ppm, deg
// dwell4.
func (e *DimensionError) Error() string {
	var b strings.Builder
	b.WriteString(quote(e.Have.String()) + " is " + e.Have.Unit.Dimension().article() + "; here " +
		e.Want.Dimension().article() + " is wanted")
	sep := ": "
	for _, u := range Units(e.Want.Dimension()) {
		if u != None {
			b.WriteString(sep + u.String())
			sep = ", "
		}
	}
	return b.String()
}

// Limits are the limits of error that a meter's data sheet states: so much in the reading's unit, so many percent
// of the reading, or both, and then the larger holds.
type Limits struct{ Within, Percent float64 }

// U is the standard uncertainty of a value read within the limits: a/√3 for the half width
// a = max(Within, Percent/100·|value|), every value between being as likely as another
// (JCGM 100:2008, 4.3.7). It is 0 for the zero Limits.
func (l Limits) U(value float64) float64 {
	return max(l.Within, l.Percent/100*math.Abs(value)) / math.Sqrt(3)
}
