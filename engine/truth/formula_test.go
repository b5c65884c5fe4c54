package truth

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// tree is a random formula of the tests, with an evaluator of its own.
type tree struct {
	op   string // and, or, not, flag, range
	kids []*tree

	flag     string
	sum      map[string]float64 // coefficients
	from, to float64
}

var (
	treeNumbers = []string{"x", "y", "z", "w"}
	treeFlags   = []string{"warm", "closed"}
)

func randomTree(random *rand.Rand, depth int) *tree {
	if depth > 0 && random.IntN(5) > 0 {
		switch random.IntN(5) {
		case 0:
			return &tree{op: "not", kids: []*tree{randomTree(random, depth-1)}}
		case 1, 2:
			return &tree{op: "and", kids: []*tree{randomTree(random, depth-1), randomTree(random, depth-1)}}
		}
		return &tree{op: "or", kids: []*tree{randomTree(random, depth-1), randomTree(random, depth-1)}}
	}
	if random.IntN(5) == 0 {
		return &tree{op: "flag", flag: treeFlags[random.IntN(len(treeFlags))]}
	}
	t := &tree{op: "range", sum: map[string]float64{}}
	for range 1 + random.IntN(2) {
		t.sum[treeNumbers[random.IntN(len(treeNumbers))]] = []float64{-2, -1, -0.5, 0.5, 1, 1.5, 3}[random.IntN(7)]
	}
	t.from, t.to = math.Inf(-1), math.Inf(1)
	limit := math.Round(random.NormFloat64()*8) / 8
	switch random.IntN(3) {
	case 0:
		t.from = limit
	case 1:
		t.to = limit
	default:
		t.from, t.to = limit, limit+float64(1+random.IntN(16))/8
	}
	return t
}

// source writes the tree, every junction the other way round if turned.
func (t *tree) source(turned bool) string {
	switch t.op {
	case "flag":
		return t.flag
	case "not":
		return "not (" + t.kids[0].source(turned) + ")"
	case "and", "or":
		a, b := t.kids[0].source(turned), t.kids[1].source(turned)
		if turned {
			a, b = b, a
		}
		return "(" + a + ") " + t.op + " (" + b + ")"
	}
	var parts []string
	for _, id := range treeNumbers {
		if c, ok := t.sum[id]; ok {
			parts = append(parts, fmt.Sprintf("%v*%s", c, id))
		}
	}
	sum := strings.Join(parts, " + ")
	switch {
	case math.IsInf(t.from, -1):
		return fmt.Sprintf("%s < %v", sum, t.to)
	case math.IsInf(t.to, 1):
		return fmt.Sprintf("%s > %v", sum, t.from)
	}
	return fmt.Sprintf("between(%s, %v, %v)", sum, t.from, t.to)
}

// opposite is the negation, pushed down by De Morgan's laws.
func (t *tree) opposite() *tree {
	switch t.op {
	case "not":
		return t.kids[0]
	case "and", "or":
		op := map[string]string{"and": "or", "or": "and"}[t.op]
		return &tree{op: op, kids: []*tree{t.kids[0].opposite(), t.kids[1].opposite()}}
	}
	return &tree{op: "not", kids: []*tree{t}}
}

// scaled is the tree with every limit multiplied.
func (t *tree) scaled(by float64) *tree {
	s := *t
	s.from *= by
	s.to *= by
	s.kids = nil
	for _, k := range t.kids {
		s.kids = append(s.kids, k.scaled(by))
	}
	return &s
}

// eval is the Kleene truth (0, 1/2, 1) for true values of what is known.
func (t *tree) eval(numbers map[string]float64, flags map[string]bool) float64 {
	switch t.op {
	case "flag":
		yes, ok := flags[t.flag]
		switch {
		case !ok:
			return 0.5
		case yes:
			return 1
		}
		return 0
	case "not":
		return 1 - t.kids[0].eval(numbers, flags)
	case "and":
		return min(t.kids[0].eval(numbers, flags), t.kids[1].eval(numbers, flags))
	case "or":
		return max(t.kids[0].eval(numbers, flags), t.kids[1].eval(numbers, flags))
	}
	sum := 0.0
	for id, c := range t.sum {
		x, ok := numbers[id]
		if !ok {
			return 0.5
		}
		sum += c * x
	}
	if t.from <= sum && sum <= t.to {
		return 1
	}
	return 0
}

// situation is what a random job gives.
type situation struct {
	value, u map[string]float64
	flags    map[string]bool
}

// randomSituation leaves a number out now and then, or knows it exactly.
func randomSituation(random *rand.Rand) situation {
	s := situation{map[string]float64{}, map[string]float64{}, map[string]bool{}}
	for _, id := range treeNumbers {
		if random.IntN(6) > 0 {
			s.value[id] = random.NormFloat64() // on no limit
			if random.IntN(5) > 0 {
				s.u[id] = float64(1+random.IntN(16)) / 8
			}
		}
	}
	for _, id := range treeFlags {
		if random.IntN(3) > 0 {
			s.flags[id] = random.IntN(2) == 0
		}
	}
	return s
}

func (s situation) job(t *testing.T) *job {
	j := newJob(t)
	for id, x := range s.value {
		j.number(id, x, s.u[id])
	}
	for id, yes := range s.flags {
		j.yes(id, yes)
	}
	return j
}

// eachTree runs a test on many random formulas that can be compiled.
func eachTree(t *testing.T, seed uint64, depth, count int, check func(random *rand.Rand, f *tree, s situation)) {
	t.Helper()
	if testing.Short() {
		count /= 10
	}
	random := rand.New(rand.NewPCG(seed, 0))
	refused := 0
	scope := NewScope(bench)
	for i := 0; i < count; {
		f := randomTree(random, depth)
		if _, err := scope.Compile(f.source(false), YesNo, InRule); err != nil {
			if refused++; refused > 10*count {
				t.Fatalf("most formulas are refused: %s: %v", f.source(false), err)
			}
			continue
		}
		i++
		check(random, f, randomSituation(random))
		if t.Failed() {
			return
		}
	}
}
