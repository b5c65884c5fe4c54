package truth

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"culprit/engine/exhaust"
)

// lacks names what an expression waits for, in one line.
func (j *job) lacks(e *Expr) string {
	var names []string
	for _, l := range e.Lacks(j.v) {
		name := j.s.Reading(l.Reading).ID
		if l.Figure {
			name += " (figure)"
		}
		if l.Reason != "" {
			name += ": " + l.Reason
		}
		names = append(names, name)
	}
	return strings.Join(names, ", ")
}

func TestLacks(t *testing.T) {
	_, noGas := exhaust.Lambda(exhaust.Gas{O2: 20}, exhaust.Petrol)
	const noNumber = "the arithmetic has no finite answer (a division by zero?)"
	derived := []derive{
		{id: "sum", from: "x + y"}, {id: "double", from: "sum + sum"}, {id: "share", from: "x / w"},
		{id: "air", from: "lambda(co, co2, o2, hc)"}, {id: "off", from: "v - reference(v)"},
		{id: "big", from: "sum > 10 and warm", kind: YesNo}, {id: "swings", from: "toggles(signal)", kind: YesNo},
		{id: "rate", from: "switch_rate(signal)"}, {id: "mean", from: "trace_mean(signal)"},
	}
	for _, c := range []struct {
		reason string
		give   func(j *job)
		src    string
		want   string
	}{
		{"a reading", nil, "x > 1", "x"},
		{"two, in the order asked", nil, "y > 1 and x > 1", "y, x"},
		{"the same one once", nil, "x > 1 or x < 0", "x"},
		{"a yes/no", nil, "not warm", "warm"},
		{"a choice", nil, `look == "sooty"`, "look"},
		{"known asks for nothing", nil, "known(x)", ""},
		{"a decided part asks for nothing", func(j *job) { j.yes("warm", false) }, "warm and x > 1", ""},
		{"nor does one beside it that decides", func(j *job) { j.yes("warm", true) }, "x > 1 or warm or y > 1", ""},
		{"a part that is decided, beside one that is not", func(j *job) { j.yes("warm", true) }, "warm and x > 1", "x"},
		{"an uncertain part leaves the other open", func(j *job) { j.number("x", 1, 1) }, "x > 1 and y > 1", "y"},
		{"hardly ever is no", func(j *job) { j.number("x", -2, 1) }, "x > 1 and y > 1", ""},
		{"a part that hardly matters is left out", func(j *job) { j.number("x", -2, 1) }, "x > 1 and y > 1 or z > 1", "z"},
		{"unless such parts are all there is", func(j *job) { j.number("x", -1.5, 1).number("v", -1.5, 1) }, "x > 1 and y > 1 or v > 1 and z > 1", "y, z"},
		{"a figure", func(j *job) { j.number("co", 1, 0) }, "high(co)", "co (figure)"},
		{"reading and figure", nil, "ok(co)", "co, co (figure)"},
		{"only the side that is asked", func(j *job) { j.number("co", 1, 0).spec("co", Spec{From: 0, HasFrom: true}) }, "low(co) or high(co)", "co (figure)"},
		{"behind a derived number", func(j *job) { j.number("x", 1, 0) }, "sum > 1", "y"},
		{"behind it twice over", nil, "double > 1", "x, y"},
		{"behind a derived yes/no", func(j *job) { j.yes("warm", true) }, "big", "x, y"},
		{"a derived yes/no that is decided", func(j *job) { j.yes("warm", false) }, "big or z > 1", "z"},
		{"a reference", func(j *job) { j.number("v", 1, 0) }, "off > 1", "v (figure)"},
		{"a trace", nil, "swings", "signal"},
		{"figures of a trace", nil, "rate > 1 or mean > 0.5", "signal"},
		{"a trace that is too short", func(j *job) { j.v.SetTrace(j.index("signal"), trace(50, 100, flat(0.1)), 0) }, "swings",
			"signal: the trace watches 4.95 s; it needs 10 s to say that the signal stands still"},
		{"and for the rate", func(j *job) { j.v.SetTrace(j.index("signal"), trace(50, 100, flat(0.1)), 0) }, "rate > 1",
			"signal: the trace watches 4.95 s without a whole cycle; it needs 10 s to say how slow the signal is"},
		{"arithmetic without an answer, derived", func(j *job) { j.number("x", 1, 0).number("w", 0, 0) }, "share > 1", "share: " + noNumber},
		{"arithmetic without an answer, in the rule", func(j *job) { j.number("x", 1, 0).number("w", 0, 0) }, "x / w > 1", "x: " + noNumber},
		{"a formula that refuses its gases", func(j *job) { j.number("co", 0, 0).number("co2", 0, 0).number("o2", 20, 0).number("hc", 0, 0) }, "air > 1",
			"air: " + noGas.Error()},
		{"gases that are missing", func(j *job) { j.number("co", 0, 0).number("hc", 0, 0) }, "air > 1", "co2, o2"},
		{"what is missing comes before what has no answer", func(j *job) { j.number("w", 0, 0) }, "share > 1", "x"},
		{"the least of what is missing", func(j *job) { j.number("x", 1, 0) }, "min(x, y, z) > 0", "y, z"},
		{"between limits that are missing", func(j *job) { j.number("x", 1, 0) }, "between(x, y, z)", "y, z"},
	} {
		j := newJob(t, derived...)
		if c.give != nil {
			c.give(j)
		}
		e := j.compile(c.src)
		got := j.lacks(e)
		if got != c.want {
			t.Errorf("%s: %s lacks %q, want %q", c.reason, c.src, got, c.want)
		}
		if settled := e.Truth(j.v).Settled(); settled != (got == "") {
			t.Errorf("%s: %s is settled: %t, and yet lacks %q", c.reason, c.src, settled, got)
		}
	}
}

// TestLacksOfNumbers: a derived number says what it waits for as well.
func TestLacksOfNumbers(t *testing.T) {
	j := newJob(t)
	e, err := j.s.Compile("x + y / z", Number, InDerived)
	if err != nil {
		t.Fatal(err)
	}
	j.number("y", 1, 0)
	if got := j.lacks(e); got != "x, z" {
		t.Errorf("lacks %q", got)
	}
	if _, _, ok := e.Number(j.v); ok {
		t.Error("and yet has a value")
	}
	j.number("x", 1, 0).number("z", 0, 0)
	if got := j.lacks(e); !strings.HasPrefix(got, "x: the arithmetic") {
		t.Errorf("with a division by zero lacks %q", got)
	}
	j.number("z", 2, 0)
	if got := j.lacks(e); got != "" {
		t.Errorf("with everything there lacks %q", got)
	}
}

// TestLacksEndsTheWait: with everything given that an expression lacks, in any
// number of rounds, it is settled.
func TestLacksEndsTheWait(t *testing.T) {
	eachTree(t, 9, 3, 200, func(_ *rand.Rand, f *tree, s situation) {
		j := s.job(t)
		e := j.compile(f.source(false))
		for round := 0; ; round++ {
			lacks := e.Lacks(j.v)
			if len(lacks) == 0 {
				break
			}
			if round > len(bench) {
				t.Fatalf("%s goes on asking", f.source(false))
			}
			for _, l := range lacks {
				switch r := j.s.Reading(l.Reading); r.Kind {
				case Number:
					j.number(r.ID, 0.3, 0.2)
				case YesNo:
					j.yes(r.ID, true)
				}
			}
		}
		if !e.Truth(j.v).Settled() {
			t.Errorf("%s in %v asks for nothing and is %v", f.source(false), s, e.Truth(j.v))
		}
	})
}

// TestTooMuchToJoin: where derived readings were derived after the rule was
// compiled, it can grow past what is joined. The truth is then wide, and the
// reason is given.
func TestTooMuchToJoin(t *testing.T) {
	readings := append([]Reading(nil), bench...)
	for _, id := range []string{"many", "chain"} {
		readings = append(readings, Reading{ID: id, Kind: YesNo})
	}
	s := NewScope(readings)
	both, err := s.Compile("many and chain", YesNo, InRule)
	if err != nil {
		t.Fatal(err)
	}
	for id, src := range map[string]string{"many": "x > y and y > z and z > w", "chain": "w > v and v > x"} {
		e, err := s.Compile(src, YesNo, InDerived)
		if err != nil {
			t.Fatal(err)
		}
		i, _ := s.Index(id)
		s.Derive(i, e)
	}
	if _, err := s.Compile("many and chain", YesNo, InRule); err == nil {
		t.Error("compiled after the derived readings, it is taken")
	}
	j := &job{t, s, s.Values()}
	for _, id := range []string{"x", "y", "z", "w", "v"} {
		j.number(id, 0, 1)
	}
	if got := both.Truth(j.v); got != undecided {
		t.Errorf("truth is %v", got)
	}
	if got := j.lacks(both); !strings.Contains(got, "more readings at once than can be joined exactly") {
		t.Errorf("lacks %q", got)
	}
	if p := j.p("many"); !(p > 0.04 && p < 0.05) { // one order of four: 1/24
		t.Errorf("one alone is %v", p)
	}
}

// TestMoreThanJoined is the same of the number of quantities, and of comparisons
// of one.
func TestMoreThanJoined(t *testing.T) {
	readings := []Reading{{ID: "x"}}
	var one, each string
	for i := range 2 * maxVars {
		readings = append(readings, Reading{ID: fmt.Sprintf("n%d", i)}, Reading{ID: fmt.Sprintf("a%d", i), Kind: YesNo}, Reading{ID: fmt.Sprintf("b%d", i), Kind: YesNo})
		if i > 0 {
			one, each = one+" and ", each+" and "
		}
		one, each = one+fmt.Sprintf("a%d", i), each+fmt.Sprintf("b%d", i)
	}
	s := NewScope(readings)
	compile := func(src string) *Expr {
		e, err := s.Compile(src, YesNo, InRule)
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	ofOne, ofEach := compile(one), compile(each)
	v := s.Values()
	v.SetNumber(0, 0, 1)
	for i := range 2 * maxVars {
		at, _ := s.Index(fmt.Sprintf("n%d", i))
		v.SetNumber(at, 0, 1)
		s.Derive(at+1, compile(fmt.Sprintf("x > %d / 100 - 3", i)))
		s.Derive(at+2, compile(fmt.Sprintf("n%d > -3", i)))
	}
	for _, e := range []*Expr{ofOne, ofEach} {
		if got := e.Truth(v); got.Least != 0 || got.Most < 0.95 || got.Most > 0.999 {
			t.Errorf("%s: %v; at most what the first 16 allow, and at least nothing", e.Source(), got)
		}
		if got := e.Lacks(v); len(got) != 1 || !strings.Contains(got[0].Reason, "can be joined exactly") {
			t.Errorf("%s lacks %v", e.Source(), got)
		}
	}
	a0, _ := s.Index("a0")
	v.SetYesNo(a0, false) // what decides still does, where it comes first
	if got := ofOne.Truth(v); got != fails {
		t.Errorf("with the first part known: %v", got)
	}
}

// TestBeyondFloatingPoint: numbers too large to work with are no answer.
func TestBeyondFloatingPoint(t *testing.T) {
	j := newJob(t)
	j.number("x", 1e200, 1e190).number("y", 1e200, 1e190).number("z", 1e-200, 1e-190).number("w", 1, 1e170)
	for _, src := range []string{"x * y > 1", "x / z > 1", "x*1e150*1e150 > 1", "1 / z / z > 1", "w * w > 1"} {
		if got := j.truth(src); got != undecided {
			t.Errorf("%s: %v", src, got)
		}
		if got := j.lacks(j.compile(src)); got == "" {
			t.Errorf("%s gives no reason", src)
		}
	}
}

// TestDoublingDerivedReadings: derived readings that each name the one before
// twice are no work without end, whatever is known.
func TestDoublingDerivedReadings(t *testing.T) {
	const depth = 60
	readings := []Reading{{ID: "x"}, {ID: "r0", Kind: YesNo}}
	for i := range depth {
		readings = append(readings, Reading{ID: fmt.Sprintf("r%d", i+1), Kind: YesNo})
	}
	s := NewScope(readings)
	derive := func(i int, src string) {
		e, err := s.Compile(src, YesNo, InDerived)
		if err != nil {
			t.Fatal(err)
		}
		s.Derive(i, e)
	}
	derive(1, "x > 1")
	for i := range depth {
		derive(i+2, fmt.Sprintf("(r%d or r%d) and (r%d or r%d)", i, i, i, i))
	}
	last, err := s.Compile(fmt.Sprintf("r%d", depth), YesNo, InRule)
	if err != nil {
		t.Fatal(err)
	}
	v := s.Values()
	if got := last.Truth(v); got != undecided {
		t.Errorf("with nothing known: %v", got)
	}
	if got := last.Lacks(v); len(got) != 1 || got[0] != (Lack{Reading: 0}) {
		t.Errorf("lacks %v", got)
	}
	v.SetNumber(0, 2, 0)
	if got := last.Truth(v); got != holds {
		t.Errorf("with x known exactly: %v", got)
	}
	v.SetNumber(0, 2, 1) // uncertain: too large to write out, and said so
	if got := last.Truth(v); got != undecided {
		t.Errorf("with x uncertain: %v", got)
	}
	if got := last.Lacks(v); len(got) != 1 || got[0].Reason == "" {
		t.Errorf("lacks %v", got)
	}
}
