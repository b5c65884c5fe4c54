package belief

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestBothWaysAgree: variable elimination and the passes over one table are two ways
// to the same numbers, and share nothing but the reduced problem.
func TestBothWaysAgree(t *testing.T) {
	shapes := []shape{
		{faults: 6, conditions: 4, states: 3, links: 14, findings: 9, seen: 7, odd: true},
		{faults: 12, conditions: 8, states: 2, links: 40, findings: 14, seen: 12, odd: true},
		{faults: 14, conditions: 7, states: 3, links: 40, findings: 12, seen: 12},
		{faults: 5, conditions: 3, states: 4, links: 12, findings: 12, seen: 12, odd: true},
		{faults: 9, conditions: 9, states: 3, links: 30, findings: 24, seen: 24},
	}
	compared, ways := 0, map[string]int{}
	for seed := range uint64(4000) {
		r := rand.New(rand.NewPCG(seed, 12))
		m, e := shapes[seed%uint64(len(shapes))].random(r)
		for c := range m.Conditions { // what a planner asks: what if it were so
			if r.IntN(6) == 0 && len(e.Conditions) == 0 {
				k := KnownCondition{c, make([]float64, len(m.Conditions[c].Leaks)+1)}
				k.Likelihood[r.IntN(len(k.Likelihood))] = 1
				e.Conditions = append(e.Conditions, k)
			}
		}
		n := must(t, m)
		one, other := newWork(n), newWork(n)
		passes := one.reduce(&e, -1)
		if passes == nil {
			if passes = one.lay(); passes == nil {
				passes = one.backward(false)
			}
		}
		elim := other.reduce(&e, -1)
		if elim == nil {
			p := anyProgram(other)
			if p == nil {
				continue
			}
			other.elim.use(other, p)
			if elim = other.elim.forward(other); elim == nil {
				elim = other.elim.backward(other)
			}
		}
		if !errors.Is(elim, passes) {
			t.Fatalf("seed %d: %v by elimination, %v by passes", seed, elim, passes)
		}
		if elim != nil {
			continue
		}
		compared++
		other.elim.count(ways)
		if a, b := other.logEvidence(), one.logEvidence(); math.Abs(a-b) > 1e-12*max(1, math.Abs(b)) {
			t.Fatalf("seed %d: ln P(evidence) %v by elimination, %v by passes", seed, a, b)
		}
		for f := range m.Faults {
			p, logOdds := other.fault(f)
			q, want := one.fault(f)
			if math.Abs(p-q) > 1e-12*q || math.Abs(logOdds-want) > 1e-11*max(1, math.Abs(want)) {
				t.Fatalf("seed %d, fault %d: %v (%v) by elimination, %v (%v) by passes", seed, f, p, logOdds, q, want)
			}
		}
	}
	if compared < 3000 {
		t.Errorf("only %d compared", compared)
	}
	for _, way := range []string{"apart", "cumulative", "negative", "merged", "switch", "negative switch", "value", "acts"} {
		if ways[way] < 20 {
			t.Errorf("%d times %s", ways[way], way)
		}
	}
}

// anyProgram returns the program of the problem, whatever it takes; nil where there is none.
func anyProgram(w *work) *program {
	if !w.elim.ready(w) {
		return nil
	}
	return w.n.programs.find(&w.elim, w, math.Inf(1))
}

// count counts in what ways bits and joints stand in the tables.
func (e *elimination) count(ways map[string]int) {
	for s := range e.slots {
		switch x := &e.slots[s]; {
		case x.apart:
			ways["apart"]++
		case x.isFromBits:
			ways["cumulative"]++
		}
		if e.slots[s].many > 1 {
			ways["merged"]++
		}
	}
	for i := range e.nodes {
		d := &e.nodes[i]
		switch negative := d.numbers > 0 && slices.Min(e.weights[d.weights:][:d.numbers]) < 0; {
		case d.joint >= 0 && negative:
			ways["negative switch"]++
		case d.joint >= 0:
			ways["switch"]++
		case negative:
			ways["negative"]++
		case d.value >= 0:
			ways["value"]++
		}
		if d.unit >= 0 && e.acts[d.unit] >= 0 {
			ways["acts"]++
		}
	}
}
