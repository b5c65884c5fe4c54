package main

import (
	"encoding/xml"
	"fmt"
	"math"
	"strings"

	"culprit/cases/modelcar"
)

// The plot of a sweep: one small picture for each number that moves, all with the same axis along.

const (
	plotColumns = 4
	plotWidth   = 240 // of one small picture with its margins
	plotHeight  = 150
	plotLeft    = 48 // margins of the frame
	plotRight   = 12
	plotTop     = 26
	plotBottom  = 24
	plotHead    = 34
)

// svg draws the sweep.
func (w *sweep) svg() string {
	var ids []string
	for _, id := range w.readings {
		if v := w.cars[0][id]; v.Kind == modelcar.Number && w.moves(id) && w.complete(id) {
			ids = append(ids, id)
		}
	}
	rows := (len(ids) + plotColumns - 1) / plotColumns
	columns := min(max(len(ids), 2), plotColumns)
	width, height := columns*plotWidth+10, plotHead+max(rows, 1)*plotHeight+10
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 %d %d" font-family="sans-serif" font-size="11" fill="#222">`+"\n", width, height, width, height)
	axis := w.kind.What
	if w.kind.Unit != "" {
		axis += ", " + w.kind.Unit
	}
	fmt.Fprintf(&b, "<title>%s</title>\n", escaped(w.title+": "+axis))
	fmt.Fprintf(&b, `<rect width="%d" height="%d" fill="#fff"/>`+"\n", width, height)
	fmt.Fprintf(&b, `<text x="10" y="21" font-size="13"><tspan font-weight="bold">%s</tspan><tspan dx="8">along: %s</tspan></text>`+"\n", escaped(w.title), escaped(axis))
	for i, id := range ids {
		w.panel(&b, id, 5+i%plotColumns*plotWidth, plotHead+i/plotColumns*plotHeight)
	}
	if len(ids) == 0 {
		fmt.Fprintf(&b, `<text x="10" y="%d">no number moves by more than its meter's limits of error</text>`+"\n", plotHead+20)
	}
	b.WriteString("</svg>\n")
	return b.String()
}

// complete tells whether the reading can be taken at every size.
func (w *sweep) complete(id string) bool {
	for _, car := range w.cars {
		if _, ok := car[id]; !ok {
			return false
		}
	}
	return true
}

// panel draws one reading with its upper left corner at x, y.
func (w *sweep) panel(b *strings.Builder, id string, x, y int) {
	least, most := math.Inf(1), math.Inf(-1)
	for _, car := range w.cars {
		least, most = min(least, car[id].Number), max(most, car[id].Number)
	}
	from, to, tick := ticks(least, most)
	left, right := float64(x+plotLeft), float64(x+plotWidth-plotRight)
	top, bottom := float64(y+plotTop), float64(y+plotHeight-plotBottom)
	across := func(size float64) float64 {
		return left + (right-left)*(size-w.sizes[0])/(w.sizes[len(w.sizes)-1]-w.sizes[0])
	}
	up := func(v float64) float64 { return bottom - (bottom-top)*(v-from)/(to-from) }
	_, unit, _ := modelcar.MeterOf(id)
	fmt.Fprintf(b, `<text x="%.0f" y="%d" font-weight="bold">%s<tspan dx="5" font-weight="normal" fill="#555">%s</tspan></text>`+"\n", float64(x+12), y+17, id, escaped(unit))
	for v := from; v <= to+tick/2; v += tick {
		fmt.Fprintf(b, `<path d="M%.1f %.1fH%.1f" stroke="#ddd"/>`, left, up(v), right)
		fmt.Fprintf(b, `<text x="%.1f" y="%.1f" text-anchor="end" font-size="10">%s</text>`+"\n", left-5, up(v)+3.5, axisLabel(v, tick))
	}
	fmt.Fprintf(b, `<path d="M%.1f %.1fV%.1fH%.1f" fill="none" stroke="#888"/>`+"\n", left, top, bottom, right)
	for i, size := range []float64{w.sizes[0], w.sizes[len(w.sizes)/2], w.sizes[len(w.sizes)-1]} {
		anchor := []string{"start", "middle", "end"}[i]
		fmt.Fprintf(b, `<text x="%.1f" y="%.1f" text-anchor="%s" font-size="10">%s</text>`+"\n", across(size), bottom+14, anchor, fmt.Sprintf("%.3g", size))
	}
	b.WriteString(`<polyline fill="none" stroke="#0b5fa5" stroke-width="2" stroke-linejoin="round" points="`)
	for i, car := range w.cars {
		if i > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(b, "%.1f,%.1f", across(w.sizes[i]), up(car[id].Number))
	}
	b.WriteString(`"/>` + "\n")
}

// ticks gives an axis that holds a range, with two to five steps of 1, 2 or 5 times a power of ten.
func ticks(least, most float64) (from, to, tick float64) {
	span := max(most-least, 1e-9*max(math.Abs(most), 1))
	tick = math.Pow(10, math.Floor(math.Log10(span)))
	for _, times := range []float64{0.2, 0.5, 1, 2, 5} {
		if span/(tick*times) <= 4 {
			tick *= times
			break
		}
	}
	return math.Floor(least/tick+1e-9) * tick, math.Ceil(most/tick-1e-9) * tick, tick
}

// axisLabel is a number on an axis with as many decimals as its steps need.
func axisLabel(v, tick float64) string {
	decimals := max(0, -int(math.Floor(math.Log10(tick)+1e-9)))
	text := fmt.Sprintf("%.*f", decimals, v)
	if strings.Trim(text, "-0.") == "" {
		return "0"
	}
	return text
}

func escaped(text string) string {
	var b strings.Builder
	xml.EscapeText(&b, []byte(text))
	return b.String()
}
