package truth

import (
	"sync"
	"testing"
)

// TestManyAtOnce: one scope and its expressions serve any number of
// goroutines, each with values of its own (run with -race).
func TestManyAtOnce(t *testing.T) {
	s := newJob(t, derive{id: "sum", from: "x + y"}, derive{id: "big", from: "sum > 1 and z > 0", kind: YesNo}, derive{id: "swings", from: "toggles(signal)", kind: YesNo}).s
	e, err := s.Compile("big and x - z < 2 and (swings or known(big))", YesNo, InRule)
	if err != nil {
		t.Fatal(err)
	}
	x, _ := s.Index("x")
	signal, _ := s.Index("signal")
	samples := trace(50, 400, square(1.1, 0.5, 0))
	ask := func() Truth {
		v := s.Values()
		for i := range 3 {
			v.SetNumber(x+i, 1, 1)
		}
		v.SetTrace(signal, samples, 0)
		e.Comparisons(v)
		e.Lacks(v)
		return e.Truth(v)
	}
	want := ask()
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			for range 20 {
				if got := ask(); got != want {
					t.Errorf("%v, and alone %v", got, want)
				}
			}
		})
	}
	wait.Wait()
}

// TestAskingAgain: asking does not change what is asked, and grows nothing.
func TestAskingAgain(t *testing.T) {
	j := newJob(t, derive{id: "sum", from: "x + y"}, derive{id: "big", from: "sum > 1", kind: YesNo})
	j.number("x", 1, 1).number("y", 1, 2).number("z", 0, 1)
	e := j.compile("big and z + sum > 2 and known(big) and abs(x - y) < 3")
	want := e.Truth(j.v)
	for range 1000 {
		e.Comparisons(j.v)
		e.Lacks(j.v)
		j.v.Number(j.index("sum"))
		if got := e.Truth(j.v); got != want {
			t.Fatalf("%v, and at first %v", got, want)
		}
	}
	if n := cap(j.v.arena) + cap(j.v.kept); n > 100 {
		t.Errorf("room for %d terms is kept", n)
	}
}

// TestTruthAllocatesNothing: once warm, asking a rule leaves no garbage, be it
// certain, uncertain or entangled.
func TestTruthAllocatesNothing(t *testing.T) {
	for _, c := range difficulties {
		if c.slow {
			continue
		}
		e, v := c.prepare(t)
		if n := testing.AllocsPerRun(20, func() { e.Truth(v) }); n != 0 {
			t.Errorf("%s: %v allocations", c.name, n)
		}
	}
}

// TestInSpec is what ok() says, for any number.
func TestInSpec(t *testing.T) {
	j := garage(t)
	if got := j.v.InSpec(j.index("co")); got != fails {
		t.Errorf("CO of 1.5 against 0.5 to 1: %v", got)
	}
	if got := j.v.InSpec(j.index("o2")); got != undecided {
		t.Errorf("without figures: %v", got)
	}
	j.number("co", 1, 0.1)
	near(t, "on the upper limit, far from the lower", j.v.InSpec(j.index("co")).Middle(), 0.5, 1e-6)
}

// TestValuesReadBack: what was set is what is there.
func TestValuesReadBack(t *testing.T) {
	j := newJob(t, derive{id: "big", from: "x > 2", kind: YesNo})
	big, warm, look, co := j.index("big"), j.index("warm"), j.index("look"), j.index("co")
	if j.s.Len() != len(bench)+1 || j.s.From(big) == nil || j.s.From(co) != nil {
		t.Errorf("a scope of %d readings", j.s.Len())
	}
	if got := j.v.YesNo(big); got != undecided || j.v.Given(big) {
		t.Errorf("a derived yes/no of nothing: %v", got)
	}
	if got := j.v.YesNo(warm); got != undecided {
		t.Errorf("a yes/no that was not given: %v", got)
	}
	if _, _, ok := j.v.Number(co); ok {
		t.Error("a number that was not given")
	}
	spec := Spec{From: 1, To: 2, HasFrom: true, HasTo: true}
	j.number("co", 1.5, 0.1).number("x", 3, 0).yes("warm", false).spec("co", spec)
	j.v.SetChoice(look, 2)
	if value, u, ok := j.v.Number(co); value != 1.5 || u != 0.1 || !ok || j.v.Spec(co) != spec {
		t.Errorf("CO is %v with u %v (%t), against %v", value, u, ok, j.v.Spec(co))
	}
	if j.v.YesNo(warm) != fails || j.v.YesNo(big) != holds || j.v.Word(look) != 2 || !j.v.Given(look) || j.v.Given(big) {
		t.Errorf("warm %v, big %v, look %v", j.v.YesNo(warm), j.v.YesNo(big), j.v.Word(look))
	}
}
