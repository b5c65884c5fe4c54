package rulefile

import (
	"fmt"

	"culprit/engine/quantity"
	"culprit/engine/truth"
)

// specMaker makes one Spec and collects what is wrong.
type specMaker struct {
	unit quantity.Unit
	spec truth.Spec
	errs []FigureError
}

func (s *specMaker) fail(field, hint, format string, args ...any) {
	s.errs = append(s.errs, FigureError{field, fmt.Sprintf(format, args...), hint})
}

// form checks which figures are given together.
func (s *specMaker) form(f Figures) {
	ranged := f.From != nil || f.To != nil
	switch {
	case f.Within != nil && f.Reference == nil:
		s.fail("within", "write from and to for a range", "%q goes with %q", "within", "reference")
	case f.Within != nil && ranged:
		s.fail("within", "", "either %q or %q and %q, not both", "within", "from", "to")
	case f.Reference != nil && f.Within == nil && !ranged:
		s.fail("reference", `add within (or from and to): how far from it is still in order`, "%q alone does not say what is in order", "reference")
	case f.Reference == nil && !ranged:
		s.fail("", "write {from: …, to: …} or {reference: …, within: …}", "no figures")
	}
}

// take gives one figure in the reading's unit.
func (s *specMaker) take(field string, q *quantity.Quantity, as measure) (float64, bool) {
	if q == nil {
		return 0, false
	}
	if q.HasU {
		s.fail(field, "", "a figure has no ± of its own")
		return 0, false
	}
	v, err := as(*q, s.unit)
	if err != nil {
		text, hint := inWords(err)
		s.fail(field, hint, "%s", text)
		return 0, false
	}
	return v, true
}

// join makes the range of a reference and checks its order.
func (s *specMaker) join(f Figures, within float64) {
	if f.Within != nil {
		if within <= 0 {
			s.fail("within", "", "%q is how far from the reference is still in order, and has to be above zero", "within")
			return
		}
		s.spec.From, s.spec.HasFrom = s.spec.Reference-within, true
		s.spec.To, s.spec.HasTo = s.spec.Reference+within, true
		return
	}
	spec := s.spec
	switch {
	case spec.HasFrom && spec.HasTo && spec.From >= spec.To:
		s.fail("from", "", "%q is not below %q", "from", "to")
	case spec.HasReference && spec.HasFrom && spec.Reference < spec.From:
		s.fail("reference", "", "%q is below %q", "reference", "from")
	case spec.HasReference && spec.HasTo && spec.Reference > spec.To:
		s.fail("reference", "", "%q is above %q", "reference", "to")
	}
}
