package rulefile

import (
	"fmt"
	"math"
	"strings"

	"culprit/engine/quantity"
	"culprit/engine/truth"
)

// refuseOtherUnits reports derived numbers whose unit is not that of what their expression yields. A factor may bring a value to
// another unit, so an expression that multiplies or divides is taken at its word.
func (l *loader) refuseOtherUnits() {
	for i, r := range l.readings.things {
		raw := &l.readings.raw[i].V
		if r.From == nil || r.Kind != truth.Number || l.broken[r.ID] || l.excused(r.FromText) || hasFactor(r.FromText) {
			continue
		}
		u, ok := r.From.Unit()
		if !ok || u == r.Unit {
			continue
		}
		outcome, has := "in "+u.String(), "is in "+r.Unit.String()
		if u == quantity.None {
			outcome = "as a plain number"
		}
		if r.Unit == quantity.None {
			has = "has no unit"
		}
		p := l.At(r.FromAt, "this comes out %s, and %q %s", outcome, r.ID, has)
		p.Hint = "write \"unit: " + u.String() + "\""
		if u == quantity.None {
			p.Hint = "take the unit away"
		}
		if u != quantity.None && u.Fits(r.Unit) {
			p.Hint += ", or bring it to " + r.Unit.String() + " with a factor"
		}
		if raw.unit.Set {
			p.Other = &raw.unit.Pos
		}
	}
}

// hasFactor reports whether an expression multiplies or divides anywhere.
func hasFactor(text string) bool {
	bare := tokens().ReplaceAllString(text, " ")
	return strings.ContainsAny(bare, "*/")
}

// A measure turns a figure into a number of a unit. A temperature of 18 degF is -7.8 degC; a difference of 18 degF is
// 10 degC.
type measure func(quantity.Quantity, quantity.Unit) (float64, error)

func value(q quantity.Quantity, u quantity.Unit) (float64, error) {
	in, err := q.In(u)
	if err == nil {
		err = tooLarge(in.Value, q)
	}
	return in.Value, err
}

func difference(q quantity.Quantity, u quantity.Unit) (float64, error) {
	if d := u.Difference(); q.HasUnit && q.Unit.Fits(d) {
		u = d
	}
	if _, err := q.In(u); err != nil {
		return 0, err
	}
	// Uncertainties convert by the scale alone.
	in, err := quantity.Quantity{Unit: q.Unit, HasUnit: q.HasUnit, U: math.Abs(q.Value), HasU: true}.In(u)
	if err == nil {
		err = tooLarge(in.U, q)
	}
	return math.Copysign(in.U, q.Value), err
}

// huge is more than any figure comes to in any unit, as for the readings of a job; sums, products and squares of less than that
// stay finite. A judgement.
const huge = 1e30

// tooLarge is the error of a figure that is huge in the reading's unit, or nil.
func tooLarge(in float64, q quantity.Quantity) error {
	if math.Abs(in) <= huge {
		return nil
	}
	return fmt.Errorf("%q is far beyond anything that is measured", q)
}
