package truth_test

import (
	"io/fs"
	"math/rand/v2"
	"regexp"
	"testing"

	"github.com/expr-lang/expr"
	"github.com/expr-lang/expr/vm"

	"culprit/engine/rulefile"
	"culprit/engine/truth"
	"culprit/rules"
)

// both is an expression of the shipped rules, compiled by us and for the machine
// of the expression library.
type both struct {
	text    string
	ours    *truth.Expr
	program *vm.Program
}

// asBare writes the tests of a reading against the car's figures as the comparisons
// that they come to when everything is known and certain, since the library has
// no such tests. That is the quickest for its machine: it calls nothing.
func asBare(text string) string {
	for _, r := range []struct{ test, bare string }{
		{`\bknown\((\w+)\)`, `true`},
		{`\bhigh\((\w+)\)`, `(${1} > to_${1})`},
		{`\blow\((\w+)\)`, `(${1} < from_${1})`},
		{`\bok\((\w+)\)`, `(${1} >= from_${1} and ${1} <= to_${1})`},
		{`\bbetween\((\w+), ([\d.]+), ([\d.]+)\)`, `(${1} >= ${2} and ${1} <= ${3})`},
	} {
		text = regexp.MustCompile(r.test).ReplaceAllString(text, r.bare)
	}
	return text
}

// shippedRules compiles what the rules of the shipped pack ask, for a job in which
// all readings are known, derived ones too. u is the standard uncertainty of all
// numbers, as a share of their specification's width.
func shippedRules(t testing.TB, seed uint64, u float64) ([]both, *truth.Values, map[string]any) {
	t.Helper()
	sub, err := fs.Sub(rules.FS, "continuous-injection")
	if err != nil {
		t.Fatal(err)
	}
	pack, err := rulefile.Load(rulefile.Folder{Name: "continuous-injection", FS: sub})
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(seed, 1))
	env, values := map[string]any{}, pack.Scope.Values()
	for i, reading := range pack.Readings {
		switch reading.Kind {
		case truth.Number:
			x, width := 4*r.Float64()-0.5, 1+r.Float64()
			env[reading.ID], env["from_"+reading.ID], env["to_"+reading.ID] = x, 1.0, 1+width
			values.SetNumber(i, x, u*width)
			values.SetSpec(i, truth.Spec{From: 1, To: 1 + width, HasFrom: true, HasTo: true})
		case truth.YesNo:
			yes := r.IntN(2) == 1
			env[reading.ID] = yes
			values.SetYesNo(i, yes)
		case truth.Choice:
			word := r.IntN(len(reading.Among))
			env[reading.ID] = reading.Among[word]
			values.SetChoice(i, word)
		}
	}
	var all []both
	add := func(e *truth.Expr) {
		if e == nil {
			return
		}
		program, err := expr.Compile(asBare(e.Source()), expr.Env(env), expr.AsBool())
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, both{e.Source(), e, program})
	}
	for _, rule := range pack.Rules {
		add(rule.Given)
		add(rule.When)
	}
	if len(all) < 100 {
		t.Fatalf("only %d expressions", len(all))
	}
	return all, values, env
}

// TestRulesAgreeWithTheLibrarysMachine: where every reading is known and certain,
// every expression of the shipped rules is as true as the expression library's own
// virtual machine says.
func TestRulesAgreeWithTheLibrarysMachine(t *testing.T) {
	held := 0
	for seed := range uint64(20) {
		all, values, env := shippedRules(t, seed, 0)
		for _, b := range all {
			want, err := expr.Run(b.program, env)
			if err != nil {
				t.Fatal(err)
			}
			got, is := b.ours.Truth(values), 0.0
			if want.(bool) {
				is = 1
				held++
			}
			if got.Least != is || got.Most != is {
				t.Errorf("seed %d, %q: %v, the machine says %v", seed, b.text, got, want)
			}
		}
	}
	if held < 500 {
		t.Errorf("only %d expressions held", held)
	}
}

// BenchmarkMachine answers all expressions of the shipped rules once: with certain
// readings, with readings that have an uncertainty of a hundredth of what is in
// order, and by the library's machine, which knows no uncertainty.
func BenchmarkMachine(b *testing.B) {
	ours := func(u float64) func(*testing.B) {
		return func(b *testing.B) {
			all, values, _ := shippedRules(b, 1, u)
			b.ReportAllocs()
			for b.Loop() {
				for i := range all {
					all[i].ours.Truth(values)
				}
			}
			b.ReportMetric(float64(len(all)), "expressions")
		}
	}
	b.Run("ours, certain", ours(0))
	b.Run("ours, uncertain", ours(0.01))
	b.Run("library", func(b *testing.B) {
		all, _, env := shippedRules(b, 1, 0)
		var machine vm.VM
		b.ReportAllocs()
		for b.Loop() {
			for i := range all {
				if _, err := machine.Run(all[i].program, env); err != nil {
					b.Fatal(err)
				}
			}
		}
		b.ReportMetric(float64(len(all)), "expressions")
	})
}
