package truth

import "culprit/engine/quantity"

// logic is a node of a lowered expression that is true or false.
type logic struct {
	op          logicOp
	left, right *logic // and, or: both; not, whole: left
	reading     int    // flag, same, known, toggle, spec tests
	word        int    // same: index of the word among the reading's
	value       *number
	from, to    edge
	shown       *shown // whole: what the author wrote
	text        string // of a question, as a person reads it
}

type logicOp uint8

const (
	opAnd    logicOp = iota
	opOr             //
	opNot            //
	opWhole          // a comparison that was split to stay exact; asked as left
	opFlag           // a yes/no reading
	opSame           // a choice is a certain word
	opKnown          // a reading is known
	opWithin         // value lies between two edges
	opOK             // a number is inside its specification
	opHigh           // above it
	opLow            // below it
	opToggle         // a trace toggles
)

// edge is one end of a range of numbers. A limit that belongs to the range
// matters only for readings without uncertainty.
type edge struct {
	at        float64
	bounded   bool
	inclusive bool
}

// shown is a comparison as it was written: what is compared with which limits.
// A limit is nil where there is none on that side.
type shown struct {
	value, from, to *number
}

// number is a node of a lowered expression that is a number.
type number struct {
	op      numberOp
	args    []*number
	reading int
	literal float64
	fn      *function
	unit    quantity.Unit
	loose   bool // no unit of its own: a literal, or made by multiplication
	// points is, of temperatures, how many points of the scale are added up: 1 for a temperature or a mean of several, 0 for a
	// difference.
	points float64
}

type numberOp uint8

const (
	opLiteral   numberOp = iota
	opReading            //
	opReference          // the reference figure of a reading's specification
	opAdd                //
	opSub                //
	opMul                //
	opDiv                //
	opNeg                //
	opAbs                //
	opMin                //
	opMax                //
	opCall               // a named function of numbers
	opTrace              // a named function of one trace
)

// constant reports whether no reading stands below the node, and its value.
func (n *number) constant() (float64, bool) {
	if n.op == opLiteral {
		return n.literal, true
	}
	return 0, false
}

// reads appends, ascending, the readings that a number names.
func (n *number) reads(into []int) []int {
	if n == nil {
		return into
	}
	switch n.op {
	case opReading, opReference, opTrace:
		into = insert(into, n.reading)
	}
	for _, a := range n.args {
		into = a.reads(into)
	}
	return into
}
