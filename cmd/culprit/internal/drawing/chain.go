package drawing

import (
	"fmt"
	"slices"
	"strings"

	"culprit/engine"
)

// mostFor and mostAgainst are how many pieces of evidence a chain shows, the
// weightiest first. A judgement: more do not fit a page beside each other.
const (
	mostFor     = 6
	mostAgainst = 3
)

// Chain is the way from a fault over conditions to what was read, drawn twice: from
// left to right where there is room, and from top to bottom. The stylesheet shows
// one of them.
type Chain struct {
	Wide, Narrow Drawing
	Caption      string // what is left out, or ""
}

// Drawing is boxes with text, and lines between them.
type Drawing struct {
	ID            string // of the drawing on its page
	Title, Desc   string // the same in words
	Class         string
	Width, Height px
	Lines         []Line
	Boxes         []Box
}

// Line is a way from one box to another; the more often it is gone, the heavier.
type Line struct {
	Path   string
	Heavy  px
	Absent bool // leads to what was not seen
	Labels []Text
}

// Box is a place on the way: the fault, a state of a condition, or what was read.
type Box struct {
	Class      string // "fault", "state", "seen" or "absent"
	X, Y, W, H px
	Round      px
	Texts      []Text
}

// Text is one line of text.
type Text struct {
	X, Y  px
	Class string
	Text  string
}

// NewChain draws what is told for and against a fault with a detail, and how the
// fault leads to it. Names are what readings are called, by their ids; id is
// unlike that of any other chain of the page. The result is nil where nothing that
// was read hangs on the fault.
func NewChain(f *engine.Fault, names map[string]string, id string) *Chain {
	if f.Detail == nil {
		return nil
	}
	w := newWeb(f, names)
	if len(w.seen) == 0 {
		return nil
	}
	c := &Chain{Wide: w.wide(), Narrow: w.narrow()}
	for _, d := range []*Drawing{&c.Wide, &c.Narrow} {
		d.Title = "From the fault to what was read: " + Clean(f.Label)
		d.Desc = w.words()
		d.ID = id + "-" + d.Class
	}
	if w.left > 0 {
		c.Caption = fmt.Sprintf("The weightiest; %d more in the table.", w.left)
	}
	return c
}

// web is what a chain shows, before it has places.
type web struct {
	fault  string
	states []*state // in the order of what they lead to; those that lead to it straight have no label
	seen   []*seen
	left   int // pieces of evidence that are not shown
}

// state is a condition's state with what it shows in.
type state struct {
	key, label string
	brings     float64
	rows       []*seen
}

// seen is a piece of evidence with the ways that lead to it.
type seen struct {
	says, asked string
	absent      bool
	ways        []way
}

type way struct {
	state            *state
	shows, otherwise float64
}

func newWeb(f *engine.Fault, names map[string]string) *web {
	w := &web{fault: f.Label}
	add := func(all []engine.Evidence, most int) {
		n := 0
		for _, e := range all {
			if len(e.Chains) == 0 {
				continue
			}
			if n++; n > most {
				w.left++
				continue
			}
			w.add(&e, names)
		}
	}
	add(f.Detail.For, mostFor)
	add(f.Detail.Against, mostAgainst)
	return w
}

func (w *web) add(e *engine.Evidence, names map[string]string) {
	row := &seen{says: e.Says, asked: Asked(e.Asks, names), absent: e.Status == engine.DoesNotHold}
	for _, c := range e.Chains {
		row.ways = append(row.ways, way{w.state(&c), c.Shows, c.Otherwise})
	}
	first := row.ways[0].state
	first.rows = append(first.rows, row)
	w.seen = append(w.seen, row)
}

// state finds or adds the state that a chain goes through. Of those that lead
// straight from the fault each is its own.
func (w *web) state(c *engine.Chain) *state {
	key := c.Condition + "." + c.State
	if c.Condition != "" {
		if i := slices.IndexFunc(w.states, func(s *state) bool { return s.key == key }); i >= 0 {
			return w.states[i]
		}
	}
	s := &state{key: key, label: c.StateLabel, brings: c.Brings}
	if c.Condition == "" {
		s.label = ""
	} else if s.label == "" {
		s.label = c.State
	}
	w.states = append(w.states, s)
	return s
}

// words tells a chain in sentences, for those who do not see it.
func (w *web) words() string {
	var b strings.Builder
	for _, s := range w.states {
		if s.label != "" {
			fmt.Fprintf(&b, "The fault brings %q in %s. ", Clean(s.label), InHundred(s.brings))
		}
	}
	for _, r := range w.seen {
		not := ""
		if r.absent {
			not = "Not so: "
		}
		fmt.Fprintf(&b, "%s%s (%s)", not, Clean(strings.TrimSuffix(r.says, ".")), Clean(r.asked))
		for _, x := range r.ways {
			by := "straight from the fault"
			if x.state.label != "" {
				by = fmt.Sprintf("by %q", Clean(x.state.label))
			}
			fmt.Fprintf(&b, ", %s, in %s, otherwise in %s", by, InHundred(x.shows), InHundred(x.otherwise))
		}
		b.WriteString(". ")
	}
	return strings.TrimSpace(b.String())
}

// Asked writes the readings that a rule asks for, by their names, with values and
// limits, each once.
func Asked(asks []engine.Asked, names map[string]string) string {
	var parts []string
	for _, a := range asks {
		var called []string
		for _, id := range a.Readings {
			if name := names[id]; name != "" {
				called = append(called, name)
			} else {
				called = append(called, id)
			}
		}
		part := strings.Join(called, ", ") + ": " + a.Value
		if a.Number != nil && len(a.Readings) > 1 {
			part = a.Text + ", this is " + a.Value
		}
		if a.Limit != "" {
			part += " (" + a.Limit + ")"
		}
		if !slices.Contains(parts, part) {
			parts = append(parts, part)
		}
	}
	return strings.Join(parts, "; ")
}

// InHundred writes how often something is so.
func InHundred(p float64) string { return fmt.Sprintf("%.2g in 100", 100*p) }
