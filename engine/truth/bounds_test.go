package truth

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"culprit/engine/quantity"
)

// boundsScope has readings of every kind that a rule asks, and what is plausible of
// the numbers: c has no range, and d is derived.
func boundsScope(t *testing.T) (*Scope, Ranges) {
	t.Helper()
	s := NewScope([]Reading{
		{ID: "a"}, {ID: "b"}, {ID: "c"}, {ID: "d"},
		{ID: "p", Kind: YesNo}, {ID: "q", Kind: YesNo},
		{ID: "w", Kind: Choice, Among: []string{"one", "two", "three"}},
		{ID: "duty", Unit: quantity.Percent},
	})
	d, err := s.Compile("a - 2 * b", Number, InDerived)
	if err != nil {
		t.Fatal(err)
	}
	s.Derive(3, d)
	return s, func(r int) (float64, float64, bool) {
		switch r {
		case 0:
			return -3, 5, true
		case 1:
			return 0, 2, true
		case 7:
			return 0, 100, true
		}
		return 0, 0, false
	}
}

// What is proven by hand, with the reason.
func TestRange(t *testing.T) {
	s, ranges := boundsScope(t)
	for _, row := range []struct {
		reason, src      string
		canHold, canFail bool
	}{
		{"a limit above the range", "a > 6", false, true},
		{"a limit below the range", "a > -4", true, false},
		{"a limit inside", "a > 1", true, true},
		{"the end itself, included", "a >= 5", true, true},
		{"the end itself, left out", "a > 5", false, true},
		{"the end, as far as rounding tells", "a * 0.1 >= 0.50000000000001", true, true},
		{"beyond the end and beyond rounding", "a * 0.1 >= 0.500000001", false, true},
		{"never below the least", "b < 0", false, true},
		{"at least the least", "b >= 0", true, false},
		{"two limits that leave nothing between", "a < 1 and a > 2", false, true},
		{"two limits that leave out nothing", "a < 2 or a > 1", true, false},
		{"one point is left out", "a < 2 or a > 2", true, true},
		{"an empty alternative leaves the other", "a > 6 or p", true, true},
		{"a thing and its opposite", "p and not p", false, true},
		{"one or the other", "p or not p", true, false},
		{"two words at once", `w == "one" and w == "two"`, false, true},
		{"none of the words", `w != "one" and w != "two" and w != "three"`, false, true},
		{"two words are left out", `w != "one" and w != "two"`, true, true},
		{"high and low at once", "high(a) and low(a)", false, true},
		{"neither high nor low, nor in order", "not high(a) and not low(a) and not ok(a)", false, true},
		{"high or in order", "high(a) or ok(a)", true, true},
		{"a derived number: -3 - 4 to 5 - 0", "d > 5.1", false, true},
		{"a derived number inside", "d > 4", true, true},
		{"a sum out of reach", "a + b > 7.5", false, true},
		{"a sum that a limit on one part makes out of reach", "a + b > 6 and a < 3", false, true},
		{"a size", "abs(a) > 5.5", false, true},
		{"a size inside", "abs(a) > 4.5", true, true},
		{"a quotient by what may be nought", "a / b > 1000", true, true},
		{"the greatest", "max(a, b) < -3.5", false, true},
		{"between limits beyond the range", "between(a, 6, 8)", false, true},
		{"outside what it always is", "not between(a, -3, 5)", false, true},
		{"a reading without a range", "c > 1000000", true, true},
		{"unknown and yet above", "not known(a) and a > 1", false, true},
		{"unknown and another above", "not known(c) and a > 1", true, true},
		{"known or not", "known(a) or not known(a)", true, false},
	} {
		t.Run(row.reason, func(t *testing.T) {
			e, err := s.Compile(row.src, YesNo, InRule)
			if err != nil {
				t.Fatal(err)
			}
			if hold, fail := e.Range(ranges); hold != row.canHold || fail != row.canFail {
				t.Errorf("%s: can hold %v, can fail %v", row.src, hold, fail)
			}
		})
	}
}

// writer writes random expressions over the readings of boundsScope.
type writer struct{ *rand.Rand }

func (w writer) pick(of ...string) string { return of[w.IntN(len(of))] }

func (w writer) number(depth int) string {
	if depth == 0 {
		return w.pick("a", "b", "c", "d", "a", "b", "0.5", "2", "-1.5", "3")
	}
	x, y := w.number(depth-1), w.number(depth-1)
	return w.pick("("+x+" + "+y+")", "("+x+" - "+y+")", "("+x+" * "+y+")", "("+x+" / "+y+")", "-"+x, "abs("+x+")",
		"min("+x+", "+y+")", "max("+x+", "+y+")", x, x)
}

func (w writer) logic(depth int) string {
	if depth == 0 {
		x, y := w.number(w.IntN(3)), w.number(w.IntN(2))
		limit := w.pick("0", "1", "2", "-3", "5", "4.5", "7")
		return w.pick("p", "q", "("+x+" < "+y+")", "("+x+" >= "+limit+")", "("+x+" > "+limit+")", "between("+x+", -1, 2)",
			`(w == "one")`, `(w != "two")`, "known(a)", "known(c)", "high(a)", "low(a)", "ok(b)", "low(b)")
	}
	x, y := w.logic(depth-1), w.logic(depth-1)
	return w.pick("("+x+" and "+y+")", "("+x+" or "+y+")", "(not "+x+")", x)
}

// at gives a reading inside its range, often at an end or on a number that
// expressions use.
func (w writer) at(from, to float64) float64 {
	x := from + (to-from)*w.Float64()
	switch w.IntN(3) {
	case 0:
		x = []float64{from, to}[w.IntN(2)]
	case 1:
		x = []float64{0, 1, 2, -3, 5, 4.5, -1, 0.5}[w.IntN(8)]
	}
	return min(max(x, from), to)
}

func (w writer) fill(s *Scope) *Values {
	v := s.Values()
	set := func(r int, from, to float64) {
		if w.IntN(8) > 0 {
			v.SetNumber(r, w.at(from, to), 0)
		}
	}
	set(0, -3, 5)
	set(1, 0, 2)
	set(2, -1e3, 1e3)
	v.SetYesNo(4, w.IntN(2) == 0)
	v.SetYesNo(5, w.IntN(2) == 0)
	v.SetChoice(6, w.IntN(3))
	for r := range 2 {
		from := w.at(-4, 4)
		v.SetSpec(r, Spec{From: from, To: from + 0.5 + w.Float64(), HasFrom: w.IntN(4) > 0, HasTo: w.IntN(4) > 0})
	}
	return v
}

// Inclusion (IEEE 1788-2015, 6.4; from memory): what evaluation comes to with readings inside their
// ranges lies inside the interval, and no answer occurs that was proven impossible.
func TestRangeIncludesEveryEvaluation(t *testing.T) {
	s, ranges := boundsScope(t)
	w := writer{rand.New(rand.NewPCG(1788, 2015))}
	expressions, proven, numbers := 0, 0, 0
	for range 6000 {
		if src := w.number(3); true {
			e, err := s.Compile(src, Number, InDerived)
			if err == nil {
				numbers++
				r := e.Bounds(ranges)
				for range 20 {
					if x, _, ok := e.Number(w.fill(s)); ok && (x < r.From || x > r.To) {
						t.Fatalf("%s comes to %v, outside %v", src, x, r)
					}
				}
			}
		}
		src := w.logic(w.IntN(4))
		e, err := s.Compile(src, YesNo, InRule)
		if err != nil {
			continue // more comparisons than can be joined, or nothing to compare
		}
		expressions++
		hold, fail := e.Range(ranges)
		if !hold || !fail {
			proven++
		}
		for range 40 {
			v := w.fill(s)
			got := e.Truth(v)
			if got.Least == 1 && !hold || got.Most == 0 && !fail {
				t.Fatalf("%s: truth %v, but can hold %v, can fail %v", src, got, hold, fail)
			}
		}
		if x, ok := s.Witness(ranges, Claim{e, true}); ok && !hold {
			t.Fatalf("%s holds with %v and was proven not to", src, x)
		}
	}
	if expressions < 2000 || proven < 100 || numbers < 2000 {
		t.Errorf("%d expressions, %d of them with a proof, and %d numbers: too few to mean anything", expressions, proven, numbers)
	}
}

// Interval operations keep the inclusion for single operands too, infinite ends and nought among them.
func TestIntervalOperationsInclude(t *testing.T) {
	w := writer{rand.New(rand.NewPCG(6, 4))}
	ends := []float64{math.Inf(-1), -1e300, -3, -1, -1e-300, 0, 1e-300, 0.1, 1, 7, 1e300, math.Inf(1)}
	pick := func() (interval, float64) {
		a, b := ends[w.IntN(len(ends))], ends[w.IntN(len(ends))]
		a, b = min(a, b), max(a, b)
		lo, hi := max(a, -1e300), min(b, 1e300)
		if math.IsInf(a, 1) || math.IsInf(b, -1) {
			return anything, 1
		}
		x := []float64{lo, hi, lo/2 + hi/2}[w.IntN(3)]
		return exactInterval(a, b), x
	}
	for range 20000 {
		i, x := pick()
		j, y := pick()
		for name, op := range map[string]struct {
			got  interval
			want float64
		}{
			"+": {i.plus(j), x + y}, "-": {i.minus(j), x - y}, "*": {i.times(j), x * y}, "/": {i.over(j), x / y}, "abs": {i.abs(), math.Abs(x)},
		} {
			if !math.IsNaN(op.want) && !(op.want >= op.got.from && op.want <= op.got.to) {
				t.Fatalf("%v %s %v: %v is outside %v (of %v and %v)", x, name, y, op.want, op.got, i, j)
			}
		}
	}
}

// A hostile disjunction ends: many choices that all fail are given up as possible.
func TestRangeIsBounded(t *testing.T) {
	s, ranges := boundsScope(t)
	src := "p and not p"
	for range 100 {
		src = "(p or q) and (" + src + ")"
	}
	e, err := s.Compile(src, YesNo, InRule)
	if err != nil {
		t.Fatal(err)
	}
	if hold, _ := e.Range(ranges); hold {
		t.Error("a contradiction is found before any choice")
	}
	src = "(p or q)"
	for range 60 {
		src += " and (p or q or known(a))"
	}
	for i := range 8 {
		src += fmt.Sprintf(" and (w == %q or w == %q)", []string{"one", "two", "three"}[i%3], []string{"one", "two", "three"}[(i+1)%3])
	}
	if e, err = s.Compile(src, YesNo, InRule); err != nil {
		t.Fatal(err)
	}
	e.Range(ranges)
}

func TestWitness(t *testing.T) {
	s, ranges := boundsScope(t)
	compile := func(src string) *Expr {
		e, err := s.Compile(src, YesNo, InRule)
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	for _, row := range []struct {
		reason, one, other string
		found              bool
	}{
		{"ranges that overlap", "a > 1", "a < 3", true},
		{"ranges that do not", "a > 3", "a < 1", false},
		{"a reading that is low, and another above", "low(a)", "b > 1", true},
		{"low and high", "low(a)", "high(a)", false},
		{"a cut across two readings", "a + b > 6", "a > 4.5", true},
		{"a word and a yes", `w != "one" and p`, `w != "two"`, true},
		{"one point only", "a >= 2", "a <= 2", true},
		{"what no interval excludes and nothing satisfies", "a * a < -1", "p", false},
		{"another reading unknown", "not known(c) and a > 1", "b < 1", true},
	} {
		w, ok := s.Witness(ranges, Claim{compile(row.one), true}, Claim{compile(row.other), true})
		if ok != row.found {
			t.Errorf("%s: found %v, %v", row.reason, ok, w)
		}
	}
}

func TestSame(t *testing.T) {
	s, _ := boundsScope(t)
	for _, row := range []struct {
		reason, one, other string
		same               bool
	}{
		{"white space and brackets", "a > 1 and (p)", "(a>1)  and p", true},
		{"the order of and", "p and q and a > 1", "a > 1 and (q and p)", true},
		{"the side of the limit", "a > 1", "1 < a", true},
		{"the order of a sum", "a + b > 1", "b + a > 1", true},
		{"twice not", "not not p", "p", true},
		{"a number written otherwise", "between(a, 1, 2)", "between(a, 1.0, 2)", true},
		{"between, written out", "between(a, 1, 2)", "a >= 1 and a <= 2", true},
		{"between, written out among others", "p and between(a, 1, 2)", "a >= 1 and p and a <= 2", true},
		{"between, with an end left out", "between(a, 1, 2)", "a >= 1 and a < 2", false},
		{"said twice", "p and (p and q)", "q and p", true},
		{"a sum says a thing twice", "a + a > 1", "a > 1", false},
		{"another limit", "a > 1", "a > 2", false},
		{"the limit included", "a > 1", "a >= 1", false},
		{"and is not or", "p and q", "p or q", false},
		{"the order of a difference", "a - b > 1", "b - a > 1", false},
		{"another word", `w == "one"`, `w == "two"`, false},
		{"high is not low", "high(a)", "low(a)", false},
	} {
		one, err := s.Compile(row.one, YesNo, InRule)
		if err != nil {
			t.Fatal(err)
		}
		other, err := s.Compile(row.other, YesNo, InRule)
		if err != nil {
			t.Fatal(err)
		}
		if one.Same(other) != row.same {
			t.Errorf("%s: %q and %q", row.reason, row.one, row.other)
		}
	}
}

func TestLimits(t *testing.T) {
	s, _ := boundsScope(t)
	e, err := s.Compile("a > 1 and not (between(b, -2, 3) or 7 < c) and a + b > 9 and high(a)", YesNo, InRule)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := fmt.Sprint(e.Limits()), "[{0 1} {1 -2} {1 3} {2 7}]"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}
