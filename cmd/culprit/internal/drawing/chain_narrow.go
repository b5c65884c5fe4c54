package drawing

import "fmt"

// Steps to the right of the drawing from top to bottom.
const (
	narrowWidth = 360
	stateStep   = 26
	seenStep    = 52
	labelRoom   = 22 // above a box, for how often it comes
)

// narrow draws a chain from top to bottom, each step further to the right.
func (w *web) narrow() Drawing {
	d := Drawing{Class: "narrow", Width: narrowWidth}
	fault := w.faultBox(narrowWidth - 1)
	fault.move(1)
	d.Boxes = append(d.Boxes, fault)
	y := float64(fault.Y+fault.H) + 4
	const spine = stateStep / 2
	for _, s := range w.states {
		from, left := px(spine), float64(stateStep)
		top := fault.Y + fault.H
		if s.label != "" {
			y += labelRoom
			b := stateBox(s, stateStep, y, narrowWidth-stateStep-1)
			d.Boxes = append(d.Boxes, b)
			d.Lines = append(d.Lines, Line{Path: elbow(spine, top, b.X, b.middle()), Heavy: heavy(s.brings),
				Labels: []Text{{b.X, b.Y - 6, "small of-line", "brings, " + InHundred(s.brings)}}})
			y += float64(b.H) + 4
			from, left, top = px(stateStep+spine), seenStep, b.Y+b.H
		}
		for _, r := range s.rows {
			y += labelRoom
			b := r.box(left, y, narrowWidth-left-1)
			d.Boxes = append(d.Boxes, b)
			x := r.ways[0]
			d.Lines = append(d.Lines, Line{Path: elbow(from, top, b.X, b.middle()), Heavy: heavy(x.shows), Absent: r.absent,
				Labels: []Text{{b.X, b.Y - 6, "small of-line", fmt.Sprintf("shows, %s, else %.2g%s", InHundred(x.shows), 100*x.otherwise, also(r.ways[1:]))}}})
			y += float64(b.H) + 4
		}
	}
	d.Height = px(y)
	return d
}

// also counts the other ways that lead to a finding: a narrow drawing shows one.
func also(ways []way) string {
	if len(ways) == 0 {
		return ""
	}
	return fmt.Sprintf(" (and %d more ways)", len(ways))
}

// elbow goes down and then to the right.
func elbow(x1, y1, x2, y2 px) string {
	return fmt.Sprintf("M %v %v V %v H %v", x1, y1, y2, x2)
}
