package truth

import (
	"slices"

	"github.com/expr-lang/expr/ast"
)

// bounded refuses an expression that could compare more quantities than are
// joined exactly, whatever a job gives. Derived readings count with what they
// are derived from, as far as that is known when the expression is compiled.
func (c *compiler) bounded(n ast.Node) error {
	census := census{scope: c.scope}
	census.logic(c.e.logic)
	if k := len(census.asked); k > maxVars {
		return c.fail(n, "split the rule, or compare fewer readings in it", "this makes %d comparisons, with those of derived readings; at most %d can be joined", k, maxVars)
	}
	if k := census.nested(); k > maxNested || k*len(census.asked) > maxVars {
		return c.fail(n, "split the rule, or compare fewer readings in it", "this makes %d comparisons that share readings; they cannot all be joined exactly", len(census.asked))
	}
	return nil
}

// census collects what an expression compares.
type census struct {
	scope *Scope
	asked []asked
	seen  []int // derived yes/no readings already walked
}

// asked is a comparison: a quantity, and the readings that move it.
type asked struct {
	leaf     *logic
	quantity subject
	moved    []int // ascending; a derived reading stands for itself too, since a job may give it
}

// subject is what is compared: a number worked out for it, or a reading.
type subject struct {
	number  *number
	reading int
}

func (s *census) logic(n *logic) {
	if n == nil || len(s.asked) > maxVars {
		return
	}
	switch n.op {
	case opFlag:
		if e := s.scope.from[n.reading]; e != nil && !slices.Contains(s.seen, n.reading) {
			s.seen = append(s.seen, n.reading)
			s.logic(e.logic)
		}
	case opOK, opHigh, opLow:
		s.ask(asked{n, subject{reading: n.reading}, s.reading(n.reading, nil)})
	case opWithin:
		q := subject{number: n.value}
		if n.value.op == opReading {
			q = subject{reading: n.value.reading}
		}
		s.ask(asked{n, q, s.number(n.value, nil)})
	default:
		s.logic(n.left)
		s.logic(n.right)
	}
}

func (s *census) ask(a asked) {
	known := func(b asked) bool { return b.leaf == a.leaf }
	if len(a.moved) > 0 && !slices.ContainsFunc(s.asked, known) {
		s.asked = append(s.asked, a)
	}
}

func (s *census) number(n *number, into []int) []int {
	switch n.op {
	case opReading, opTrace:
		into = s.reading(n.reading, into)
	}
	for _, a := range n.args {
		into = s.number(a, into)
	}
	return into
}

func (s *census) reading(i int, into []int) []int {
	if _, found := slices.BinarySearch(into, i); found {
		return into
	}
	into = insert(into, i)
	if e := s.scope.from[i]; e != nil && e.value != nil {
		into = s.number(e.value, into)
	}
	return into
}

// nested is the most quadratures that the comparisons can take, one inside the
// other. Of q quantities that hang together, moved by r readings, it is at most
// q-2, and at most r-1.
func (s *census) nested() int {
	left := slices.Clone(s.asked)
	total := 0
	for len(left) > 0 {
		var moved []int
		var quantities []subject
		for grown := true; grown; {
			grown = false
			left = slices.DeleteFunc(left, func(a asked) bool {
				if moved != nil && !meet(moved, a.moved) {
					return false
				}
				for _, i := range a.moved {
					moved = insert(moved, i)
				}
				if !slices.Contains(quantities, a.quantity) {
					quantities = append(quantities, a.quantity)
				}
				grown = true
				return true
			})
		}
		total += max(0, min(len(quantities)-2, len(moved)-1))
	}
	return total
}

// meet reports whether two ascending lists share a member.
func meet(a, b []int) bool {
	for len(a) > 0 && len(b) > 0 {
		switch {
		case a[0] < b[0]:
			a = a[1:]
		case a[0] > b[0]:
			b = b[1:]
		default:
			return true
		}
	}
	return false
}
