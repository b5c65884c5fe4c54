package belief

import (
	"flag"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "draw docs/scale.svg anew from the tables of docs/performance.md")

const (
	scaleDoc  = "../../docs/performance.md"
	scalePlot = "../../docs/scale.svg"
)

// point is a size and milliseconds.
type point struct{ x, y float64 }

// tableUnder reads two columns of the table that follows a line of the page.
func tableUnder(t *testing.T, page, heading string, x, y int) []point {
	t.Helper()
	_, after, found := strings.Cut(page, "\n"+heading+"\n")
	if !found {
		t.Fatalf("%s has no line %q", scaleDoc, heading)
	}
	var all []point
	rows := 0
	for line := range strings.Lines(strings.TrimLeft(after, "\n")) {
		line = strings.TrimSpace(line)
		if !strings.HasPrefix(line, "|") {
			break
		}
		if rows++; rows <= 2 {
			continue // the head
		}
		cells := strings.Split(strings.Trim(line, "|"), "|")
		number := func(k int) float64 {
			v, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(cells[k]), " ", ""), 64)
			if err != nil {
				t.Fatalf("%s: %q: %v", scaleDoc, line, err)
			}
			return v
		}
		all = append(all, point{number(x), number(y)})
	}
	if len(all) < 3 {
		t.Fatalf("%s: the table under %q has %d rows", scaleDoc, heading, len(all))
	}
	return all
}

// TestScalePlot holds the drawing to the tables beside it.
func TestScalePlot(t *testing.T) {
	text, err := os.ReadFile(scaleDoc)
	if err != nil {
		t.Fatal(err)
	}
	want := drawScale(
		tableUnder(t, string(text), "### Live bits", 0, 1),
		tableUnder(t, string(text), "### Packs of many systems", 0, 4),
		tableUnder(t, string(text), "### The largest published network", 0, 1))
	if *update {
		if err := os.WriteFile(scalePlot, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(scalePlot)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Errorf("%s is not what the tables say; go test ./engine/belief -run ScalePlot -update draws it anew", scalePlot)
	}
}

// panel is one drawing with a logarithmic height.
type panel struct {
	left            float64
	title, below    string
	points          []point
	at              func(x float64) float64 // 0..1
	ticks           []float64
	lowest, highest float64 // powers of ten, of milliseconds
}

const panelWidth, panelHeight, panelTop = 205.0, 220.0, 46.0

func drawScale(live, packs, large []point) string {
	var s strings.Builder
	fmt.Fprint(&s, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 840 330" font-family="sans-serif" font-size="12" fill="#222">`+"\n")
	fmt.Fprint(&s, `<rect width="840" height="330" fill="#fff"/>`+"\n")
	logs := func(of []point) (func(float64) float64, []float64) {
		first, last := of[0].x, of[len(of)-1].x
		var ticks []float64
		for _, p := range of {
			ticks = append(ticks, p.x)
		}
		return func(x float64) float64 { return math.Log(x/first) / math.Log(last/first) }, ticks
	}
	even := func(of []point) (func(float64) float64, []float64) {
		first, last := of[0].x, of[len(of)-1].x
		var ticks []float64
		for _, p := range of {
			ticks = append(ticks, p.x)
		}
		return func(x float64) float64 { return (x - first) / (last - first) }, ticks
	}
	for k, p := range []panel{
		{title: "Live bits", below: "states undecided at once", points: live},
		{title: "Packs of many systems", below: "times the size of the shipped pack", points: packs},
		{title: "The largest published network", below: "findings that hold", points: large},
	} {
		p.left, p.lowest, p.highest = 58+275*float64(k), -2, 4
		p.at, p.ticks = even(p.points)
		if k == 1 {
			p.at, p.ticks = logs(p.points)
		}
		p.draw(&s)
	}
	fmt.Fprint(&s, "</svg>\n")
	return s.String()
}

func (p *panel) draw(s *strings.Builder) {
	y := func(ms float64) float64 {
		return panelTop + panelHeight*(p.highest-math.Log10(ms))/(p.highest-p.lowest)
	}
	text := func(x, y float64, anchor, what string) {
		fmt.Fprintf(s, `<text x="%.1f" y="%.1f" text-anchor="%s">%s</text>`+"\n", x, y, anchor, what)
	}
	fmt.Fprintf(s, `<text x="%.1f" y="24" font-weight="bold">%s</text>`+"\n", p.left, p.title)
	names := map[float64]string{-2: "10 µs", -1: "0.1 ms", 0: "1 ms", 1: "10 ms", 2: "0.1 s", 3: "1 s", 4: "10 s"}
	for power := p.lowest; power <= p.highest; power++ {
		at := y(math.Pow(10, power))
		fmt.Fprintf(s, `<path d="M%.1f %.1fh%.1f" stroke="#ddd"/>`+"\n", p.left, at, panelWidth)
		text(p.left-6, at+4, "end", names[power])
	}
	for _, x := range p.ticks {
		at := p.left + 8 + (panelWidth-16)*p.at(x)
		text(at, panelTop+panelHeight+18, "middle", strconv.FormatFloat(x, 'f', -1, 64))
	}
	text(p.left+panelWidth/2, panelTop+panelHeight+40, "middle", p.below)
	var path strings.Builder
	for i, q := range p.points {
		px, py := p.left+8+(panelWidth-16)*p.at(q.x), y(q.y)
		fmt.Fprintf(&path, "%s%.1f %.1f", map[bool]string{true: "M", false: "L"}[i == 0], px, py)
		fmt.Fprintf(s, `<circle cx="%.1f" cy="%.1f" r="3.5" fill="#1f5fa8"/>`+"\n", px, py)
	}
	fmt.Fprintf(s, `<path d="%s" fill="none" stroke="#1f5fa8" stroke-width="1.5"/>`+"\n", path.String())
}
