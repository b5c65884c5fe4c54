package belief

import "math"

// work is the scratch of one query, kept in the network's pool.
type work struct {
	n    *Network
	mark []bool // by finding, fault or condition, for the check of evidence
	seen []Seen // evidence less one finding
	told []Seen // the findings of the query
	done <-chan struct{}

	weights []weight // by fault
	scale   scale    // what has been taken out of all products
	unitOf  []int32  // by condition: its unit, or -1
	units   []unit
	value   []float64 // the units' weights by value
	shift   []int     // their exponents until they are normalized
	bits    []bit
	joints  []joint
	members []int32  // the joints' units
	entries []entry  // live links, unsorted
	from    []int32  // by fault: start of its arcs; one more at the end
	arcs    []entry  // live links by fault, one for each bit
	movers  []int32  // faults that the passes go through
	folded  []folded // faults with one arc, in lists by bit

	bears      []float64 // how far the links that bear on a finding act
	live       int       // slots of the largest table of the query
	loss       float64   // by how much its numbers may have cancelled, 1 for not at all
	coupling   []int32   // the joints in an order that keeps few units open
	plan       plan
	isLaid     bool // plan is that of the problem
	isArranged bool // order is
	order      order
	run        run
	given      given
	elim       elimination
}

func newWork(n *Network) *work {
	w := &work{
		n:       n,
		mark:    make([]bool, max(len(n.findings), len(n.prior), len(n.first)-1)),
		weights: make([]weight, len(n.prior)),
		unitOf:  make([]int32, len(n.first)-1),
		from:    make([]int32, len(n.prior)+1),
	}
	w.run.memory = memoryNumbers
	for c := range w.unitOf {
		w.unitOf[c] = -1
	}
	return w
}

// stopped reports whether the query's Done has been closed.
func (w *work) stopped() bool {
	select {
	case <-w.done:
		return true
	default:
		return false
	}
}

// weight is what a fault's absence and presence weigh after all evidence that
// bears on it alone, then the same as shares of their sum; log is
// ln(present/absent).
type weight struct {
	absent, present                scale
	absentShare, presentShare, log float64
}

// unit is a condition, or a finding's bit (condition -1), whose value the
// evidence bears on.
type unit struct {
	condition int32
	weights   int32 // start in work.value, one for each value
	values    int32
	bit, bits int32 // its bits: states that can be caused
	ruledOut  bool  // certainly without a state: it needs no bits
	finding   int32 // of a finding's bit
}

// bit is a state that can be on or off.
type bit struct {
	unit, state   int32   // state is the model's value, from 1
	on, off       float64 // of itself
	onAll, offAll float64 // with the folded faults
	head          int32   // first of its folded faults, or -1
	movers        int32   // how many movers touch it
}

// joint is a finding that couples several units.
type joint struct {
	finding     int32
	holds, none float64
	first, many int32 // its units in work.members: conditions, then finding bits
	conditions  int32
}

// entry is a live link: the bit stays off with probability off.
type entry struct {
	fault, bit int32
	on, off    float64
}

// folded is a fault whose only arc leads to a bit.
type folded struct {
	fault   int32
	on, off float64 // of its arc
	next    int32
}

// scale is a product kept in range: value * 2^shift.
type scale struct {
	value float64
	shift int
}

// tiny and huge bound the values of a scale.
const (
	tiny = 0x1p-400
	huge = 0x1p+400
)

func (s *scale) times(x float64) {
	if x > tiny && x < huge {
		s.value *= x
		if s.value > tiny && s.value < huge {
			return
		}
		x = 1
	}
	a, m := math.Frexp(s.value)
	b, n := math.Frexp(x)
	s.value = a * b
	s.shift += m + n
}

// over returns s/t.
func (s *scale) over(t scale) float64 {
	a, m := math.Frexp(s.value)
	b, n := math.Frexp(t.value)
	return math.Ldexp(a/b, s.shift-t.shift+m-n)
}

func (s *scale) log() float64 { return math.Log(s.value) + float64(s.shift)*math.Ln2 }
