package truth

import "math"

// Ranges gives the numbers that a reading may be, in its unit, both ends
// included; ok is false where nobody has said.
type Ranges func(reading int) (from, to float64, ok bool)

// Claim is an expression that is to hold, or to be known not to.
type Claim struct {
	Expr  *Expr
	Holds bool
}

// Range reports whether a [YesNo] expression can hold, and whether it can be
// known not to hold, for any readings inside their ranges and any figures. False is
// proven, by interval arithmetic; true may mean that it could not be excluded.
//
// A number that is derived and has no range of its own lies where its
// expression can come to. A derived yes/no reading is taken as free, since a job
// may give it. Readings count as exact: what uncertainty adds beyond the end of a
// range is not asked. Of one reading at most one of ok, high and low holds.
func (e *Expr) Range(ranges Ranges) (canHold, canFail bool) {
	return e.scope.Possible(ranges, Claim{e, true}), e.scope.Possible(ranges, Claim{e, false})
}

// Bounds is the range in which a [Number] expression comes to lie.
func (e *Expr) Bounds(ranges Ranges) Range {
	s := &search{scope: e.scope, ranges: ranges}
	i := e.value.bounds(s.interval)
	return Range{i.from, i.to}
}

// ReadingBounds is the range of a number or trace: its own, or else what it is
// derived from; infinite where neither is known.
func (s *Scope) ReadingBounds(ranges Ranges, reading int) Range {
	i := (&search{scope: s, ranges: ranges}).interval(reading)
	return Range{i.from, i.to}
}

// Possible reports whether all claims could be so at once, in the sense of
// [Expr.Range]: false is proven.
func (s *Scope) Possible(ranges Ranges, claims ...Claim) bool {
	sr := &search{scope: s, ranges: ranges, found: func(*leeway) bool { return true }}
	return sr.run(claims)
}

// maxBranches is how many ways to satisfy a disjunction are tried before the
// answer is that it may be possible.
const maxBranches = 4000

// search looks for readings that satisfy claims. It narrows the range of
// each reading by every comparison that has to hold, and tries the sides of a
// disjunction one after the other.
type search struct {
	scope    *Scope
	ranges   Ranges
	known    map[int]interval
	found    func(*leeway) bool // whether the search may end with this leeway
	branches int
}

// goal is a node that is to be true, or to be false.
type goal struct {
	n    *logic
	want bool
}

func (s *search) run(claims []Claim) bool {
	var goals []goal
	for _, c := range claims {
		goals = append(goals, goal{c.Expr.logic, c.Holds})
	}
	return s.solve(goals, nil, nil, &leeway{cells: map[int]cell{}})
}

// interval is where a reading lies before anything is claimed of it.
func (s *search) interval(reading int) interval {
	if i, ok := s.known[reading]; ok {
		return i
	}
	i := anything
	if from, to, ok := s.ranges(reading); ok {
		i = exactInterval(from, to)
	} else if e := s.scope.from[reading]; e != nil && e.value != nil {
		i = e.value.bounds(s.interval)
	}
	if s.known == nil {
		s.known = map[int]interval{}
	}
	s.known[reading] = i
	return i
}

// solve works through what has to be so. choices are disjunctions put off, asked
// the comparisons that narrow the leeway.
func (s *search) solve(goals, choices, asked []goal, b *leeway) bool {
	for len(goals) > 0 {
		g := goals[len(goals)-1]
		goals = goals[:len(goals)-1]
		switch g.n.op {
		case opNot:
			goals = append(goals, goal{g.n.left, !g.want})
		case opWhole:
			goals = append(goals, goal{g.n.left, g.want})
		case opAnd, opOr:
			if (g.n.op == opAnd) == g.want {
				goals = append(goals, goal{g.n.right, g.want}, goal{g.n.left, g.want})
			} else {
				choices = append(choices[:len(choices):len(choices)], g)
			}
		case opWithin:
			if !g.want && g.n.from.bounded && g.n.to.bounded {
				choices = append(choices[:len(choices):len(choices)], g)
				continue
			}
			asked = append(asked[:len(asked):len(asked)], g)
			if !s.within(b, g) {
				return false
			}
		default:
			if !s.settle(b, g) {
				return false
			}
		}
	}
	for changed := true; changed && b.rounds < 8; b.rounds++ {
		before := b.version
		for _, g := range asked {
			if !s.within(b, g) {
				return false
			}
		}
		changed = b.version != before
	}
	if len(choices) == 0 {
		return s.found(b)
	}
	g, rest := choices[len(choices)-1], choices[:len(choices)-1]
	for _, side := range sides(g) {
		if s.branches++; s.branches > maxBranches {
			return true
		}
		if s.solve([]goal{side}, rest, asked, b.clone()) {
			return true
		}
	}
	return false
}

// sides are the ways in which a disjunction can be so.
func sides(g goal) [2]goal {
	if g.n.op == opWithin { // outside two edges is below one or above the other
		below := &logic{op: opWithin, value: g.n.value, from: g.n.from}
		above := &logic{op: opWithin, value: g.n.value, to: g.n.to}
		return [2]goal{{below, false}, {above, false}}
	}
	return [2]goal{{g.n.left, g.want}, {g.n.right, g.want}}
}

// within narrows the leeway by a comparison, and reports whether anything is left.
func (s *search) within(b *leeway, g goal) bool {
	of := func(reading int) interval {
		i := s.interval(reading)
		if c, ok := b.cells[reading]; ok {
			i = interval{max(i.from, c.span.from), min(i.to, c.span.to), i.slack}
		}
		return i
	}
	for _, r := range g.n.value.values(nil) {
		if !s.know(b, r) {
			return false
		}
	}
	from, to := g.n.from, g.n.to
	if !g.want { // of one edge: the other side of it
		from, to = turned(to), turned(from)
	}
	v := g.n.value
	i := v.bounds(of)
	slack := i.slack
	if v.op == opReading || v.op == opNeg && v.args[0].op == opReading {
		slack = 0 // what is as good as equal to the edge is as large as the edge
	}
	want := span{from: math.Inf(-1), to: math.Inf(1)}
	if from.bounded {
		want.from, want.openFrom = from.at, !from.inclusive
		if from.inclusive {
			want.from -= slack + 4*rounding*math.Abs(from.at)
		}
	}
	if to.bounded {
		want.to, want.openTo = to.at, !to.inclusive
		if to.inclusive {
			want.to += slack + 4*rounding*math.Abs(to.at)
		}
	}
	if want.meet(span{from: i.from, to: i.to}).empty() {
		return false
	}
	return s.narrow(b, v, want, of)
}

// turned is the edge of what lies beyond an edge.
func turned(e edge) edge { return edge{e.at, e.bounded, !e.inclusive} }

// narrow carries the range of a number back to its readings.
func (s *search) narrow(b *leeway, n *number, want span, of func(int) interval) bool {
	back := func(a *number, i interval) bool {
		return s.narrow(b, a, span{from: i.from, to: i.to}, of)
	}
	i := interval{want.from, want.to, 0}
	switch n.op {
	case opReading:
		return s.span(b, n.reading, want)
	case opNeg:
		return s.narrow(b, n.args[0], span{-want.to, -want.from, want.openTo, want.openFrom}, of)
	case opAdd:
		x, y := n.args[0].bounds(of), n.args[1].bounds(of)
		return back(n.args[0], i.minus(y)) && back(n.args[1], i.minus(x))
	case opSub:
		x, y := n.args[0].bounds(of), n.args[1].bounds(of)
		return back(n.args[0], i.plus(y)) && back(n.args[1], x.minus(i))
	case opMul:
		for k, a := range n.args {
			if c, fixed := n.args[1-k].constant(); fixed && c != 0 {
				return back(a, i.over(exactInterval(c, c)))
			}
		}
	case opDiv:
		if c, fixed := n.args[1].constant(); fixed {
			return back(n.args[0], i.times(exactInterval(c, c)))
		}
	}
	return true
}

// values appends the readings whose value a number needs.
func (n *number) values(into []int) []int {
	if n.op == opReading || n.op == opTrace {
		into = insert(into, n.reading)
	}
	for _, a := range n.args {
		into = a.values(into)
	}
	return into
}
