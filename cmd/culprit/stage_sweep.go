package main

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"unicode/utf8"

	"culprit/cases/modelcar"
)

// A sweep is how the readings of one car move while one fault grows, the meters being exact.
type sweep struct {
	kind     modelcar.FaultKind
	sizes    []float64 // in the unit of the fault, or severities
	cars     []map[string]modelcar.Value
	readings []string
	title    string
}

// plotPoints is how finely a sweep is drawn.
const plotPoints = 41

// sweep prints how readings move, and draws it where asked.
func (b *stagehand) sweep(s *stdio, o *stageOptions) error {
	id, span, ok := strings.Cut(o.sweep, "=")
	from, to, two := strings.Cut(span, "..")
	if !ok || !two {
		return stageError("such as --sweep unmeasured-air=0..3mm", "--sweep takes FAULT=A..B, not %q", o.sweep)
	}
	k, err := kind(id)
	if err != nil {
		return err
	}
	unit := strings.TrimLeft(to, "0123456789.eE+- ")
	if unit != "" && !strings.HasSuffix(from, unit) {
		from += unit
	}
	least, err := size(k, from)
	if err != nil {
		return err
	}
	most, err := size(k, to)
	if err != nil {
		return err
	}
	if least >= most {
		return stageError("", "--sweep goes up: %q does not", span)
	}
	others, err := b.faultsFor(o.seed, o.faults)
	if err != nil {
		return err
	}
	if slices.ContainsFunc(others, func(f modelcar.Fault) bool { return f.ID == id }) {
		return stageError("", "%s is swept and named with --fault", id)
	}
	columns := min(max((s.width-31)/9, 2), 11)
	table, err := b.sweepOver(k, least, most, columns, o.seed, others)
	if err != nil {
		return err
	}
	if o.svg != "" {
		fine, err := b.sweepOver(k, least, most, plotPoints, o.seed, others)
		if err != nil {
			return err
		}
		if err := os.WriteFile(o.svg, []byte(fine.svg()), 0o644); err != nil {
			return err
		}
	}
	table.render(s.page())
	return nil
}

func (b *stagehand) sweepOver(k modelcar.FaultKind, least, most float64, points int, seed uint64, others []modelcar.Fault) (*sweep, error) {
	w := &sweep{kind: k, readings: b.readings}
	w.title = fmt.Sprintf("%s, seed %d, %s", b.vehicle, seed, k.ID)
	for _, f := range others {
		w.title += fmt.Sprintf(", with %s %g", f.ID, f.Severity)
	}
	for i := range points {
		severity := least + (most-least)*float64(i)/float64(points-1)
		faults := append(slices.Clone(others), modelcar.Fault{ID: k.ID, Severity: severity})
		it, err := stageCar(&staged{seed: seed, vehicle: b.vehicle, states: b.states, faults: faults}, true)
		if err != nil {
			return nil, err
		}
		values, err := it.car.Readings(b.readings)
		if err != nil {
			return nil, err
		}
		w.sizes = append(w.sizes, severity*k.Full)
		w.cars = append(w.cars, values)
	}
	return w, nil
}

// moves tells whether a reading changes by more than its meter would notice.
func (w *sweep) moves(id string) bool {
	least, most := math.Inf(1), math.Inf(-1)
	first, there := w.cars[0][id]
	for _, car := range w.cars {
		v, ok := car[id]
		if ok != there || v.Yes != first.Yes || v.Word != first.Word {
			return true
		}
		least, most = min(least, v.Number), max(most, v.Number)
	}
	m, _, ok := modelcar.MeterOf(id)
	return ok && most-least > max(m.Within, m.Percent/100*max(math.Abs(least), math.Abs(most)))
}

// render writes the table: a row a reading that moves, a column a size.
func (w *sweep) render(p *page) {
	p.line("", 0, w.title+": "+w.kind.What+"; no errors of meters")
	p.blank()
	lead := "severity"
	if w.kind.Unit != "" {
		lead = w.kind.Unit
	}
	row := []string{lead}
	for _, x := range w.sizes {
		row = append(row, short(x))
	}
	w.row(p, row)
	var still []string
	for _, id := range w.readings {
		if w.cars[0][id].Kind == modelcar.Trace {
			continue
		}
		if !w.moves(id) {
			still = append(still, id)
			continue
		}
		row := []string{id}
		for _, car := range w.cars {
			row = append(row, cell(car, id))
		}
		w.row(p, row)
	}
	if len(still) > 0 {
		p.blank()
		p.line("does not move  ", 15, strings.Join(still, ", "))
	}
}

func (w *sweep) row(p *page, cells []string) {
	var line strings.Builder
	fmt.Fprintf(&line, "%-30s", cells[0])
	for _, c := range cells[1:] {
		line.WriteString(strings.Repeat(" ", max(1, 9-utf8.RuneCountInString(c))) + c)
	}
	fmt.Fprintln(p.w, strings.TrimRight(line.String(), " "))
}

// cell is a reading as a table has it; a dash where it cannot be taken.
func cell(car map[string]modelcar.Value, id string) string {
	v, ok := car[id]
	switch {
	case !ok:
		return "-"
	case v.Kind == modelcar.YesNo && v.Yes:
		return "yes"
	case v.Kind == modelcar.YesNo:
		return "no"
	case v.Kind == modelcar.Choice:
		return v.Word
	}
	return short(v.Number)
}

// short is a number to about three figures.
func short(x float64) string {
	switch a := math.Abs(x); {
	case a >= 100:
		return fmt.Sprintf("%.0f", x)
	case a >= 10:
		return fmt.Sprintf("%.1f", x)
	}
	text := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.2f", x), "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}
