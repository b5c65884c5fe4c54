package truth

import (
	"math"
	"testing"

	"culprit/engine/quantity"
)

// bench is the scope that most tests share: a few readings of each kind.
var bench = []Reading{
	{ID: "co", Unit: quantity.Percent},
	{ID: "co2", Unit: quantity.Percent},
	{ID: "o2", Unit: quantity.Percent},
	{ID: "hc", Unit: quantity.PPM},
	{ID: "current", Unit: quantity.MilliAmpere},
	{ID: "speed", Unit: quantity.PerMinute},
	{ID: "ratio"},
	{ID: "warm", Kind: YesNo},
	{ID: "closed", Kind: YesNo},
	{ID: "look", Kind: Choice, Among: []string{"white", "sooty", "oily"}},
	{ID: "signal", Kind: Trace, Unit: quantity.Volt},
	{ID: "pulse", Kind: Trace, Unit: quantity.MilliVolt},
	{ID: "x"}, {ID: "y"}, {ID: "z"}, {ID: "w"}, {ID: "v"},
}

// derive adds a reading that comes from an expression, and compiles it.
type derive struct {
	id, from string
	kind     Kind
}

// job is a scope with values, for tests that ask one thing of them.
type job struct {
	t *testing.T
	s *Scope
	v *Values
}

// newJob makes a scope of the bench's readings and those derived from them.
func newJob(t *testing.T, derived ...derive) *job {
	t.Helper()
	readings := append([]Reading(nil), bench...)
	for _, d := range derived {
		readings = append(readings, Reading{ID: d.id, Kind: d.kind})
	}
	s := NewScope(readings)
	for i, d := range derived {
		e, err := s.Compile(d.from, d.kind, InDerived)
		if err != nil {
			t.Fatalf("%s: %v", d.from, err)
		}
		s.Derive(len(bench)+i, e)
	}
	return &job{t, s, s.Values()}
}

func (j *job) index(id string) int {
	j.t.Helper()
	i, ok := j.s.Index(id)
	if !ok {
		j.t.Fatalf("no reading %q in the test's scope", id)
	}
	return i
}

// number gives a number and its standard uncertainty.
func (j *job) number(id string, value, u float64) *job {
	j.t.Helper()
	j.v.SetNumber(j.index(id), value, u)
	return j
}

func (j *job) yes(id string, yes bool) *job {
	j.t.Helper()
	j.v.SetYesNo(j.index(id), yes)
	return j
}

func (j *job) spec(id string, s Spec) *job {
	j.t.Helper()
	j.v.SetSpec(j.index(id), s)
	return j
}

func (j *job) compile(src string) *Expr {
	j.t.Helper()
	e, err := j.s.Compile(src, YesNo, InRule)
	if err != nil {
		j.t.Fatalf("%s: %v", src, err)
	}
	return e
}

func (j *job) truth(src string) Truth {
	j.t.Helper()
	return j.compile(src).Truth(j.v)
}

// p is the probability of an expression that has one.
func (j *job) p(src string) float64 {
	j.t.Helper()
	t := j.truth(src)
	if t.Least != t.Most {
		j.t.Fatalf("%s is %v, not one probability", src, t)
	}
	return t.Least
}

// value is what a number's expression comes to.
func (j *job) value(src string) (value, u float64) {
	j.t.Helper()
	e, err := j.s.Compile(src, Number, InDerived)
	if err != nil {
		j.t.Fatalf("%s: %v", src, err)
	}
	value, u, ok := e.Number(j.v)
	if !ok {
		j.t.Fatalf("%s has no value", src)
	}
	return value, u
}

// near fails unless got is want to within an absolute tolerance.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.15g, want %.15g to %g (off by %.2g)", what, got, want, tolerance, got-want)
	}
}
