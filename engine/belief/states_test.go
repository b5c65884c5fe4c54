package belief

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// byPasses solves for values by the passes.
func (w *work) byPasses(e *Evidence) error {
	if err := w.reduce(e, -1); err != nil {
		return err
	}
	if err := w.lay(); err != nil {
		return err
	}
	return w.backward(true)
}

// TestValuesBothWays: elimination and the passes are two ways to the values of conditions, as are
// inclusion and exclusion and the passes to those of conditions without evidence.
func TestValuesBothWays(t *testing.T) {
	shapes := []shape{
		{faults: 6, conditions: 4, states: 3, links: 14, findings: 9, seen: 7, odd: true},
		{faults: 12, conditions: 8, states: 2, links: 40, findings: 14, seen: 12, odd: true},
		{faults: 14, conditions: 7, states: 3, links: 40, findings: 12, seen: 5},
		{faults: 9, conditions: 9, states: 3, links: 30, findings: 24, seen: 14},
	}
	eliminated, lost, unseen := 0, 0, 0
	near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-11*math.Max(a, b) }
	for seed := range uint64(1500) {
		r := rand.New(rand.NewPCG(seed, 31))
		m, e := shapes[seed%uint64(len(shapes))].random(r)
		n := must(t, m)
		passes := newWork(n)
		if passes.byPasses(&e) != nil {
			continue
		}
		elim := newWork(n)
		elim.elim.forValues = true
		if err := elim.reduce(&e, -1); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if p := anyProgram(elim); p != nil {
			elim.elim.use(elim, p)
			if err := elim.elim.forward(elim); err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			err := elim.elim.backward(elim)
			if err == errLost {
				lost++
			} else if err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			} else {
				eliminated++
			}
			for c := 0; c < len(m.Conditions) && err == nil; c++ {
				u := passes.unitOf[c]
				if u < 0 {
					continue
				}
				a, b := make([]float64, n.states(int32(c))), make([]float64, n.states(int32(c)))
				if err := errors.Join(elim.readStates(u, a), passes.readStates(u, b)); err != nil {
					t.Fatalf("seed %d: %v", seed, err)
				}
				for s := range a {
					if !near(a[s], b[s]) {
						t.Fatalf("seed %d, condition %d, state %d: %v by elimination, %v by the passes", seed, c, s, a[s], b[s])
					}
				}
			}
		}
		for c := range m.Conditions {
			if passes.unitOf[c] >= 0 {
				continue
			}
			a, b := make([]float64, n.states(int32(c))), make([]float64, n.states(int32(c)))
			found, err := n.bySets(&e, passes.evidence(), 1, int32(c), a)
			if err := errors.Join(err, n.stateOf(&e, int32(c), b)); err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			if !found {
				continue
			}
			unseen++
			for s := range a {
				if !near(a[s], b[s]) {
					t.Fatalf("seed %d, condition %d without evidence, state %d: %v by its sets, %v by the passes", seed, c, s, a[s], b[s])
				}
			}
		}
	}
	if eliminated < 800 || lost < 5 || unseen < 400 {
		t.Errorf("only %d by elimination, %d lost, %d unseen", eliminated, lost, unseen)
	}
}

// TestUnseenStateKeepsItsDigits: how rare a state is that no evidence bears on does not hang on
// how improbable the evidence is. By hand: prior strength + (1 - prior) leak.
func TestUnseenStateKeepsItsDigits(t *testing.T) {
	const prior, leak, strength = 1e-3, 1e-4, 0.1
	m := Model{Faults: faults(prior, 0.5), Conditions: []Condition{{[]float64{leak}}}, Links: []Link{{0, 0, 0, strength}}}
	var e Evidence
	for f := range 700 {
		m.Findings = append(m.Findings, Finding{[]Outcome{{Leak: 0.3, Faults: []FromFault{{1, 0.31}}}}})
		e.Seen = append(e.Seen, holds(f))
	}
	states, err := must(t, m).States(e)
	if err != nil {
		t.Fatal(err)
	}
	if want := prior*strength + (1-prior)*leak; math.Abs(states[0][0]-want) > 1e-11*want {
		t.Errorf("%v, by hand %v", states[0][0], want)
	}
}

// TestNothingLeftOfValues: where evidence weighs against itself by the whole range of float64
// elimination may lose all values of a condition. It says so, and the passes answer.
func TestNothingLeftOfValues(t *testing.T) {
	const seed = 3402 // found by a search among 12,000
	r := rand.New(rand.NewPCG(seed, 992))
	s := wildShapes[seed%len(wildShapes)]
	s.decades = pick(r, 0, 3, 30, 70, 100, 150)
	m, e := s.random(r)
	w := newWork(must(t, m))
	w.elim.forValues = true
	if err := w.reduce(&e, -1); err != nil {
		t.Fatal(err)
	}
	w.elim.use(w, anyProgram(w))
	if err := errors.Join(w.elim.forward(w), w.elim.backward(w)); !errors.Is(err, errLost) {
		t.Errorf("%v, sums by value %v", err, w.run.byValue)
	}
}
