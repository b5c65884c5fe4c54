package truth

import (
	"maps"
	"math"
)

// A leeway says of each reading that was asked about what it may still be.
type leeway struct {
	cells   map[int]cell
	version int // counts the changes
	rounds  int
}

func (b *leeway) clone() *leeway { return &leeway{cells: maps.Clone(b.cells), version: b.version} }

// cell is what one reading may still be.
type cell struct {
	span  span
	known answer
	yes   answer // of a yes/no reading, and whether a trace toggles
	place place  // against its specification
	word  int    // of a choice, -1 while open
	not   []int  // words that it is not
}

// answer is settled or open.
type answer uint8

const (
	open answer = iota
	yes
	no
)

func answered(b bool) answer {
	if b {
		return yes
	}
	return no
}

// place says where a number may lie against its specification: a set.
type place uint8

const (
	isBelow place = 1 << iota
	isInside
	isAbove
)

// span is an interval whose ends may be left out.
type span struct {
	from, to         float64
	openFrom, openTo bool
}

func (s span) empty() bool {
	return s.from > s.to || s.from == s.to && (s.openFrom || s.openTo)
}

func (s span) meet(t span) span {
	if t.from > s.from || t.from == s.from && t.openFrom {
		s.from, s.openFrom = t.from, t.openFrom
	}
	if t.to < s.to || t.to == s.to && t.openTo {
		s.to, s.openTo = t.to, t.openTo
	}
	return s
}

// cell gives what is left of a reading.
func (s *search) cell(b *leeway, reading int) cell {
	if c, ok := b.cells[reading]; ok {
		return c
	}
	i := s.interval(reading)
	return cell{span: span{from: i.from, to: i.to}, place: isBelow | isInside | isAbove, word: -1}
}

func (b *leeway) put(reading int, c cell) bool {
	b.cells[reading] = c
	b.version++
	return true
}

// know says that a reading is known: no question about it has an answer
// otherwise.
func (s *search) know(b *leeway, reading int) bool {
	c := s.cell(b, reading)
	switch c.known {
	case yes:
		return true
	case no:
		return false
	}
	c.known = yes
	return b.put(reading, c)
}

// span narrows a number.
func (s *search) span(b *leeway, reading int, want span) bool {
	c := s.cell(b, reading)
	got := c.span.meet(want)
	if got.empty() {
		return false
	}
	if got != c.span {
		c.span = got
		return b.put(reading, c)
	}
	return true
}

// settle takes up a question that is no comparison of numbers.
func (s *search) settle(b *leeway, g goal) bool {
	r := g.n.reading
	if g.n.op == opKnown {
		c := s.cell(b, r)
		if c.known != open {
			return c.known == answered(g.want)
		}
		c.known = answered(g.want)
		return b.put(r, c)
	}
	if !s.know(b, r) {
		return false
	}
	c := s.cell(b, r)
	switch g.n.op {
	case opFlag, opToggle:
		if c.yes != open {
			return c.yes == answered(g.want)
		}
		c.yes = answered(g.want)
	case opSame:
		return s.settleWord(b, g, c)
	case opOK, opHigh, opLow:
		p := map[logicOp]place{opOK: isInside, opHigh: isAbove, opLow: isBelow}[g.n.op]
		if !g.want {
			p = (isBelow | isInside | isAbove) &^ p
		}
		if c.place&p == 0 {
			return false
		}
		c.place &= p
	}
	return b.put(r, c)
}

func (s *search) settleWord(b *leeway, g goal, c cell) bool {
	w := g.n.word
	excluded := false
	for _, x := range c.not {
		excluded = excluded || x == w
	}
	switch {
	case c.word >= 0:
		return (c.word == w) == g.want
	case g.want:
		if excluded {
			return false
		}
		c.word = w
	case !excluded:
		c.not = append(c.not[:len(c.not):len(c.not)], w)
		if len(c.not) == len(s.scope.readings[g.n.reading].Among) {
			return false
		}
	}
	return b.put(g.n.reading, c)
}

// middle picks a number of a span by a share from 0 to 1 of its width, a short one
// where that is possible; far ends are brought near.
func (s span) middle(share float64) float64 {
	from, to := s.from, s.to
	switch near := 100.0; {
	case math.IsInf(from, 0) && math.IsInf(to, 0):
		from, to = -near, near
	case math.IsInf(from, 0):
		from = to - near
	case math.IsInf(to, 0):
		to = from + near
	}
	exact := from + share*(to-from)
	for digits := 1.0; digits <= 6; digits++ {
		scale := math.Pow(10, digits-1-math.Floor(math.Log10(max(math.Abs(exact), to-from, 1e-300))))
		short := math.Round(exact*scale) / scale
		if short > from && short < to && math.Abs(short-exact) <= 0.2*(to-from) {
			return short
		}
	}
	return exact
}
