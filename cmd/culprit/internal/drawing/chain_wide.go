package drawing

import "fmt"

// Sizes of type and of boxes in a chain, in units of the drawing.
const (
	bigType   = 15
	smallType = 13
	lead      = 18 // from line to line
	pad       = 9
	gap       = 14 // between boxes above each other
	mostLines = 6
)

// Columns of the drawing from left to right.
const (
	wideWidth  = 820
	faultWidth = 150
	stateLeft  = 264
	stateWidth = 180
	seenLeft   = 538
	seenWidth  = wideWidth - seenLeft - 1
)

// label is a text broken into lines, ready for a box.
type label struct {
	lines []string
	class string
	size  float64
}

// box makes a box of a width as high as its labels need.
func box(class string, x, y, w float64, labels ...label) Box {
	b := Box{Class: class, X: px(x), Y: px(y), W: px(w)}
	h := float64(pad)
	for _, l := range labels {
		for _, line := range l.lines {
			b.Texts = append(b.Texts, Text{X: px(x + pad + 2), Y: px(y + h + l.size), Class: l.class, Text: line})
			h += lead
		}
	}
	b.H = px(h + pad - 1)
	if class == "state" {
		b.Round = px(min(16, float64(b.H)/2))
	}
	return b
}

func (b *Box) move(dy px) {
	b.Y += dy
	for i := range b.Texts {
		b.Texts[i].Y += dy
	}
}

func (b *Box) middle() px { return b.Y + b.H/2 }

func inside(w float64) float64 { return w - 2*pad - 4 }

func (w *web) faultBox(width float64) Box {
	return box("fault", 0, 0, width, label{wrap(w.fault, bigType*1.05, inside(width), mostLines), "strong", bigType})
}

func stateBox(s *state, x, y, width float64) Box {
	return box("state", x, y, width, label{wrap(s.label, bigType, inside(width), mostLines), "", bigType})
}

func (r *seen) box(x, y, width float64) Box {
	class, says := "seen", r.says
	if r.absent {
		class, says = "absent", "not so: "+says
	}
	return box(class, x, y, width, label{wrap(says, bigType, inside(width), mostLines), "", bigType},
		label{wrap(r.asked, smallType, inside(width), mostLines), "small", smallType})
}

// heavy is the breadth of a line for how often it is gone.
func heavy(p float64) px { return px(1.5 + 4*min(1, max(0, p))) }

// wide draws a chain from left to right: the fault, the states of conditions, and
// what was read. What one state shows in stands together beside it.
func (w *web) wide() Drawing {
	d := Drawing{Class: "wide", Width: wideWidth}
	places, at := map[*seen]Box{}, map[*state]Box{}
	y := 1.0
	for _, s := range w.states {
		top := y
		for _, r := range s.rows {
			b := r.box(seenLeft, y, seenWidth)
			places[r] = b
			y += float64(b.H) + gap
		}
		if s.label == "" {
			continue
		}
		b := stateBox(s, stateLeft, top, stateWidth)
		y = max(y, top+float64(b.H)+gap)
		b.move((px(y-gap-top) - b.H) / 2)
		at[s] = b
	}
	height := y - gap
	fault := w.faultBox(faultWidth)
	height = max(height, float64(fault.H)+1)
	fault.move((px(height) - fault.H) / 2)
	for _, s := range w.states {
		if b, ok := at[s]; ok {
			d.Lines = append(d.Lines, Line{Path: curve(fault.W, fault.middle(), b.X, b.middle()), Heavy: heavy(s.brings),
				Labels: []Text{{b.X - 8, b.middle() - 7, "end small of-line", InHundred(s.brings)}}})
		}
	}
	for _, r := range w.seen {
		to := places[r]
		for i, x := range r.ways {
			line := Line{Heavy: heavy(x.shows), Absent: r.absent}
			if from, ok := at[x.state]; ok {
				line.Path = curve(from.X+from.W, from.middle(), to.X, to.middle())
			} else {
				line.Path = curve(fault.W, fault.middle(), stateLeft, to.middle()) + " H " + to.X.String()
			}
			if i == 0 {
				line.Labels = showsLabels(to.X-8, to.middle(), x)
			}
			d.Lines = append(d.Lines, line)
		}
	}
	d.Boxes = append(d.Boxes, fault)
	for _, s := range w.states {
		if b, ok := at[s]; ok {
			d.Boxes = append(d.Boxes, b)
		}
		for _, r := range s.rows {
			d.Boxes = append(d.Boxes, places[r])
		}
	}
	d.Height = px(height + 1)
	return d
}

// showsLabels says how often a finding is so by this way, and how often anyway.
func showsLabels(x, y px, by way) []Text {
	return []Text{{x, y - 7, "end small of-line", InHundred(by.shows)}, {x, y + 17, "end small of-line", fmt.Sprintf("else %.2g", 100*by.otherwise)}}
}

// curve goes level from one place and arrives level at another.
func curve(x1, y1, x2, y2 px) string {
	mid := x1 + (x2-x1)*0.45
	bend := x2 - 72 // the last stretch is straight, for its label
	if bend < mid {
		bend = mid
	}
	c := x1 + (bend-x1)/2
	return fmt.Sprintf("M %v %v C %v %v %v %v %v %v H %v", x1, y1, c, y1, c, y2, bend, y2, x2)
}
