package rulefile

import (
	"cmp"
	"slices"

	"culprit/engine/quantity"
	"culprit/engine/source"
	"culprit/engine/truth"
)

func (l *loader) resolveVehicles() {
	for i, e := range l.vehicles.raw {
		raw := &e.V
		v := l.vehicles.things[i]
		*v = Vehicle{ID: e.ID, Index: i, At: e.At.Pos, Label: raw.label.V, Doc: raw.doc.V, Demo: raw.demo.V, Source: raw.source.V, Excuses: excuses(raw.excuse)}
		for _, entry := range raw.spec.V {
			l.resolveSpec(v, entry)
		}
		slices.SortFunc(v.Specs, func(a, b VehicleSpec) int { return cmp.Compare(a.Reading, b.Reading) })
	}
}

func (l *loader) resolveSpec(v *Vehicle, e source.Entry[rawSpec]) {
	r := look(l, &l.readings, "reading", e.At, e.ID)
	if r == nil || !e.Set || l.broken[r.ID] {
		return
	}
	raw := &e.V
	fields := map[string]source.Got[quantity.Quantity]{"from": raw.from, "to": raw.to, "reference": raw.reference, "within": raw.within}
	var f Figures
	for name, q := range fields {
		switch {
		case q.Set:
			*f.field(name) = &q.V
		case q.Line > 0:
			return // refused, so the rest cannot be judged
		}
	}
	spec, errs := r.Spec(f)
	for _, err := range errs {
		at := e.At
		if err.Field != "" {
			at = fields[err.Field].Spot
		}
		l.At(at, "%s", err.Text).Hint = err.Hint
	}
	v.Specs = append(v.Specs, VehicleSpec{Reading: r.Index, At: e.At.Pos, Spec: spec, Source: raw.source.V})
}

// Figures are what somebody says about one reading of one car: a range, or a reference and how far from it is still in
// order, or a reference with a range. Nil is not said. A bare number is in the reading's unit.
type Figures struct{ From, To, Reference, Within *quantity.Quantity }

func (f *Figures) field(name string) **quantity.Quantity {
	switch name {
	case "from":
		return &f.From
	case "to":
		return &f.To
	case "reference":
		return &f.Reference
	}
	return &f.Within
}

// A FigureError is one thing wrong with Figures. Field is "from", "to", "reference" or "within", or "" for the whole.
type FigureError struct{ Field, Text, Hint string }

// Error gives the text, after the field's name.
func (e FigureError) Error() string {
	if e.Field == "" {
		return e.Text
	}
	return e.Field + ": " + e.Text
}

// Spec turns figures into what the rules use, in the reading's unit. These are refused: figures for anything but a number, none
// at all, a unit that does not fit, from not below to, a reference outside from and to, within that is not above zero
// or without a reference or together with from or to, and a reference alone: how far from it is in order nobody could say.
// With any error the Spec is zero.
func (r *Reading) Spec(f Figures) (truth.Spec, []FigureError) {
	s := specMaker{unit: r.Unit}
	if r.Kind != truth.Number {
		s.fail("", "", "a spec is for a number, and the kind of %q is %s", r.ID, r.Kind)
		return truth.Spec{}, s.errs
	}
	s.form(f)
	s.spec.From, s.spec.HasFrom = s.take("from", f.From, value)
	s.spec.To, s.spec.HasTo = s.take("to", f.To, value)
	s.spec.Reference, s.spec.HasReference = s.take("reference", f.Reference, value)
	within, _ := s.take("within", f.Within, difference)
	if len(s.errs) == 0 {
		s.join(f, within)
	}
	if len(s.errs) > 0 {
		return truth.Spec{}, s.errs
	}
	return s.spec, nil
}
