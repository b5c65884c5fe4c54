package truth

import (
	"fmt"
	"slices"
	"strings"
)

// Same reports whether two expressions of one scope ask the same: up to brackets, the
// order of what and, or, + and * join, what is said twice, the side on which a limit
// stands, and between written out.
func (e *Expr) Same(other *Expr) bool { return e.NormalForm() == other.NormalForm() }

// NormalForm is a text that is equal for expressions that ask the same. It is for
// comparing, not for reading.
func (e *Expr) NormalForm() string {
	if e.logic != nil {
		return e.logic.normal()
	}
	return e.value.normal()
}

func (n *logic) normal() string {
	switch n.op {
	case opWhole:
		return n.left.normal()
	case opNot:
		if n.left.op == opNot {
			return n.left.left.normal()
		}
		return "not(" + n.left.normal() + ")"
	case opAnd, opOr:
		var parts []string
		for _, p := range n.joined(n.op, nil) {
			parts = append(parts, p.normal())
		}
		slices.Sort(parts)
		return fmt.Sprintf("%d(%s)", n.op, strings.Join(slices.Compact(parts), ","))
	case opWithin:
		if n.from.bounded && n.to.bounded {
			return both(opAnd, n, n).normal() // split into its halves
		}
		return fmt.Sprintf("in(%s;%v;%v)", n.value.normal(), n.from, n.to)
	}
	return fmt.Sprintf("ask(%d;%d;%d)", n.op, n.reading, n.word)
}

// joined lists what a chain of one junction joins.
func (n *logic) joined(op logicOp, into []*logic) []*logic {
	switch {
	case n.op == op:
		return n.right.joined(op, n.left.joined(op, into))
	case n.op == opWhole:
		return n.left.joined(op, into)
	case n.op == opWithin && op == opAnd && n.from.bounded && n.to.bounded:
		return append(into, &logic{op: opWithin, value: n.value, from: n.from}, &logic{op: opWithin, value: n.value, to: n.to})
	}
	return append(into, n)
}

// Flag is a yes/no reading, as an expression wants it.
type Flag struct {
	Reading int
	Yes     bool
}

// Demands lists the yes/no readings without which an expression cannot hold because they are joined to all else by and, in the
// order of the text; rest tells whether anything else is joined with them.
func (e *Expr) Demands() (flags []Flag, rest bool) {
	if e.logic == nil {
		return nil, true
	}
	for _, n := range e.logic.joined(opAnd, nil) {
		yes := true
		for n.op == opNot {
			n, yes = n.left, !yes
		}
		if n.op != opFlag {
			rest = true
			continue
		}
		flags = append(flags, Flag{n.reading, yes})
	}
	return flags, rest
}

func (n *number) normal() string {
	var parts []string
	for _, a := range n.args {
		parts = append(parts, a.normal())
	}
	args := strings.Join(parts, ",")
	if n.op == opAdd || n.op == opMul || n.op == opMin || n.op == opMax {
		args = joinSorted(parts)
	}
	name := ""
	if n.fn != nil {
		name = n.fn.name
	}
	return fmt.Sprintf("%d(%d;%v;%s;%s)", n.op, n.reading, n.literal, name, args)
}

// joinSorted joins parts in an order of their own.
func joinSorted(parts []string) string {
	slices.Sort(parts)
	return strings.Join(parts, ",")
}

// Limit is a number that a reading is held against in an expression.
type Limit struct {
	Reading int
	At      float64 // in the reading's unit
}

// Limits lists the fixed numbers that readings, by themselves, are compared with, in
// the order of the text.
func (e *Expr) Limits() []Limit {
	if e.logic == nil {
		return nil
	}
	return e.logic.limits(nil)
}

func (n *logic) limits(into []Limit) []Limit {
	switch n.op {
	case opAnd, opOr:
		return n.right.limits(n.left.limits(into))
	case opNot:
		return n.left.limits(into)
	case opWhole:
		if s := n.shown; s.value.op == opReading {
			for _, l := range []*number{s.from, s.to} {
				if l == nil {
					continue
				}
				if at, fixed := l.constant(); fixed {
					into = append(into, Limit{s.value.reading, at})
				}
			}
		}
	}
	return into
}
