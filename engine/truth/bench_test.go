package truth

import (
	"fmt"
	"testing"

	"culprit/engine/quantity"
)

// shop is a scope of the size of a real pack: 120 numbers and 60 of other kinds.
func shop() []Reading {
	var all []Reading
	for i := range 120 {
		all = append(all, Reading{ID: fmt.Sprintf("number_%d", i), Unit: quantity.Percent})
	}
	for i := range 50 {
		all = append(all, Reading{ID: fmt.Sprintf("flag_%d", i), Kind: YesNo})
	}
	for i := range 9 {
		all = append(all, Reading{ID: fmt.Sprintf("word_%d", i), Kind: Choice, Among: []string{"steady", "hunting", "rough"}})
	}
	return append(all, Reading{ID: "trace", Kind: Trace, Unit: quantity.Volt})
}

// rules are 200 expressions of the usual sorts.
func rules() []string {
	var all []string
	for i := range 40 {
		all = append(all,
			fmt.Sprintf("high(number_%d)", i),
			fmt.Sprintf("flag_%d and not flag_%d", i, i+1),
			fmt.Sprintf("flag_%d and number_%d > 1.5 and low(number_%d)", i, i, i+40),
			fmt.Sprintf("word_%d == \"rough\" or between(number_%d, 2, 3)", i%9, i+80),
			fmt.Sprintf("known(number_%d) and abs(number_%d - number_%d) > 0.4", i, i, i+1))
	}
	return all
}

// BenchmarkLoad is what a pack costs at start: a scope and 200 expressions.
func BenchmarkLoad(b *testing.B) {
	readings, all := shop(), rules()
	b.ReportAllocs()
	for b.Loop() {
		s := NewScope(readings)
		for _, src := range all {
			if _, err := s.Compile(src, YesNo, InRule); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkScope(b *testing.B) {
	readings := shop()
	b.ReportAllocs()
	for b.Loop() {
		NewScope(readings)
	}
}

func BenchmarkCompile(b *testing.B) {
	s := NewScope(shop())
	b.ReportAllocs()
	for b.Loop() {
		if _, err := s.Compile("flag_1 and number_1 > 1.5 and low(number_2)", YesNo, InRule); err != nil {
			b.Fatal(err)
		}
	}
}

// difficulty is a rule and how uncertain its readings are.
type difficulty struct {
	name, expr string
	u          float64
	slow       bool
}

// difficulties rise.
var difficulties = []difficulty{
	{"certain", `warm and not closed and look == "sooty" and co > 1.5 and high(o2)`, 0, false},
	{"clear", `warm and not closed and look == "sooty" and co > 1.5 and high(o2)`, 0.01, false},
	{"one", `warm and x > 1`, 1, false},
	{"range", `warm and between(x, 0, 2)`, 1, false},
	{"apart", `x > 1 and y > 1 and between(z, 0, 2)`, 1, false},
	{"two entangled", `x > 1 and x - y > 0.5`, 1, false},
	{"two nearly the same", `x > 1 and x + y/1000 > 0.999`, 1, false},
	{"three entangled", `x > 1 and x - y > 0.5 and x - z > 0.5`, 1, false},
	{"four entangled", `x > y and y > z and z > w`, 1, false},
	{"four entangled ranges", `between(x + y, 0, 3) and between(y + z, 0, 3) and between(z + w, 0, 3) and between(w - x, -2, 2)`, 1, true},
	{"twelve apart", `between(x, 0, 2) and between(y, 0, 2) and between(z, 0, 2) and between(w, 0, 2) and between(v, 0, 2) and between(co, 0, 2) and between(co2, 0, 2) and between(o2, 0, 2) and between(hc, 0, 2) and between(current, 0, 2) and between(speed, 0, 2) and between(ratio, 0, 2)`, 1, false},
}

// prepare compiles the rule and gives every reading that it may ask.
func (d difficulty) prepare(t testing.TB) (*Expr, *Values) {
	t.Helper()
	s := NewScope(bench)
	e, err := s.Compile(d.expr, YesNo, InRule)
	if err != nil {
		t.Fatal(err)
	}
	v := s.Values()
	for i, r := range bench {
		switch r.Kind {
		case Number:
			v.SetNumber(i, 1.5+float64(i%3)/10, d.u)
			v.SetSpec(i, Spec{To: 1, HasTo: true})
		case YesNo:
			v.SetYesNo(i, r.ID == "warm")
		case Choice:
			v.SetChoice(i, 1)
		}
	}
	return e, v
}

func BenchmarkTruth(b *testing.B) {
	for _, d := range difficulties {
		b.Run(d.name, func(b *testing.B) {
			e, v := d.prepare(b)
			b.ReportAllocs()
			for b.Loop() {
				e.Truth(v)
			}
		})
	}
}

// BenchmarkTrace is what ten seconds at 50 ms cost, once for each job.
func BenchmarkTrace(b *testing.B) {
	s := trace(50, 200, square(1.1, 0.5, 0))
	b.ReportAllocs()
	for b.Loop() {
		s.figures()
	}
}
