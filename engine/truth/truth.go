// Package truth turns an expression over readings into graded truth.
//
// An expression is compiled once against a [Scope] of readings and then asked
// many times, each time with the [Values] of one job. What comes back is an
// interval: the least and the most probability that the expression holds,
// given that every reading has a standard uncertainty and that some readings
// were never taken. With every reading known the two ends meet.
//
// Start with [NewScope], then [Scope.Compile]; fill a [Values] with the job
// and call [Expr.Truth]. [Expr.Lacks] names what a wide interval waits for and
// [Expr.Comparisons] gives value, limit and probability of every comparison.
//
// The package does not know rules, faults or files: errors carry byte offsets
// into the expression, and whoever read the file turns them into positions.
package truth

import (
	"cmp"
	"slices"

	"github.com/expr-lang/expr/conf"

	"culprit/engine/quantity"
)

// Kind is what sort of thing a reading is. The zero value is a number.
type Kind uint8

// The kinds of reading, named in rule files as [Kind.String] gives them.
const (
	Number Kind = iota
	YesNo
	Choice
	Trace
)

var kindNames = [...]string{Number: "number", YesNo: "yes/no", Choice: "choice", Trace: "trace"}

// String is the kind's name as rule files spell it.
func (k Kind) String() string { return kindNames[k] }

// ParseKind is the inverse of [Kind.String]; ok is false for any other text.
func ParseKind(s string) (k Kind, ok bool) {
	i := slices.Index(kindNames[:], s)
	return Kind(max(i, 0)), i >= 0
}

// Kinds lists the names that [ParseKind] takes.
func Kinds() []string { return slices.Clone(kindNames[:]) }

// Reading is what an expression may know of a reading before any job.
type Reading struct {
	ID    string
	Kind  Kind
	Unit  quantity.Unit // of numbers and traces
	Among []string      // the words of a choice
}

// Spec holds a car's figures for one number, in the reading's unit: the range
// in which it is in order, and the figure it is set to. Any part may be absent.
type Spec struct {
	From, To, Reference          float64
	HasFrom, HasTo, HasReference bool
}

// Range is a stretch of numbers in a reading's unit, both ends included; an end
// may be infinite.
type Range struct {
	From, To float64
}

// Scope is the set of readings that expressions may name. It is built once and
// then only read: any number of goroutines may evaluate expressions of one
// scope, each with its own [Values]. Compiling is for one goroutine at a time.
type Scope struct {
	readings []Reading
	index    map[string]int
	from     []*Expr // how a derived reading is computed; nil for the others
	config   *conf.Config
}

// NewScope makes a scope of readings, whose indexes are their places in the
// slice. Ids must be unique and not [Reserved]; the caller has checked that.
func NewScope(readings []Reading) *Scope {
	s := &Scope{
		readings: slices.Clone(readings),
		index:    make(map[string]int, len(readings)),
		from:     make([]*Expr, len(readings)),
	}
	for i, r := range readings {
		s.index[r.ID] = i
	}
	s.config = checkerConfig(readings)
	return s
}

// Len is the number of readings.
func (s *Scope) Len() int { return len(s.readings) }

// Reading gives the reading with that index.
func (s *Scope) Reading(i int) Reading { return s.readings[i] }

// Index finds a reading by id, or says that there is none.
func (s *Scope) Index(id string) (int, bool) {
	i, ok := s.index[id]
	return i, ok
}

// Derive says that a reading, where a job does not give it, comes from e, which
// must have been compiled in this scope. The caller has made sure that no
// reading is derived from itself, at any distance.
func (s *Scope) Derive(reading int, e *Expr) { s.from[reading] = e }

// From is the expression of a derived reading, nil for the others.
func (s *Scope) From(reading int) *Expr { return s.from[reading] }

// Expr is a compiled expression. It never changes after [Scope.Compile].
type Expr struct {
	scope *Scope
	src   string
	kind  Kind
	logic *logic  // when kind is YesNo
	value *number // when kind is Number
	reads []int
	specs []int
}

// Source is the text that was compiled.
func (e *Expr) Source() string { return e.src }

// Kind says what the expression yields: [Number] or [YesNo].
func (e *Expr) Kind() Kind { return e.kind }

// Unit is the unit of a [Number] expression, as far as the units of its readings
// tell: sums have that of their parts, a product that of its only part with
// one. ok is false where the expression has no unit of its own and may stand
// for a number in any.
func (e *Expr) Unit() (u quantity.Unit, ok bool) {
	if e.value == nil || e.value.loose {
		return quantity.None, false
	}
	return e.value.unit, true
}

// Reads lists the indexes of the readings that the expression names, ascending.
// Readings behind derived ones are not among them.
func (e *Expr) Reads() []int { return slices.Clone(e.reads) }

// Specs lists, ascending, the readings whose specification it asks for.
func (e *Expr) Specs() []int { return slices.Clone(e.specs) }

// insert puts v into an ascending slice unless it is there.
func insert[T cmp.Ordered](s []T, v T) []T {
	i, found := slices.BinarySearch(s, v)
	if found {
		return s
	}
	return slices.Insert(s, i, v)
}
