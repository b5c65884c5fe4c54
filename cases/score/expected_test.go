package score

import (
	"context"
	"math"
	"slices"
	"testing"

	"culprit/engine"
)

// With nothing read, the posterior is the draw itself: in closed form, one fault is there in the share of its weight, and two are with
// a/(1) b/(1-a) + b a/(1-b) of weights that add up to one.
func TestOutsideDrawnWithNothingRead(t *testing.T) {
	s, err := newStager(context.Background(), open(t, engine.DefaultPack))
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	share := map[string]float64{}
	for _, w := range s.common {
		sum += w.Weight
	}
	for _, w := range s.common {
		share[w.Word] = w.Weight / sum
	}
	for _, o := range []Options{{Faults: One}, {Faults: Two}, {Faults: One, Equal: true}} {
		d, err := s.drawn(context.Background(), &o, &engine.Job{})
		if err != nil {
			t.Fatal(err)
		}
		for _, set := range d.sets {
			a := share[set.Faults[0]]
			want := a
			switch {
			case o.Equal:
				want = 1 / float64(len(s.common))
			case o.Faults == Two:
				b := share[set.Faults[1]]
				want = a*b/(1-a) + a*b/(1-b)
			}
			if !(math.Abs(set.Probability-want) <= 1e-9) {
				t.Errorf("%+v: %v is %v, want %v", o, set.Faults, set.Probability, want)
			}
		}
		many := len(s.common)
		if o.Faults == Two {
			many = many * (many - 1) / 2
		}
		if len(d.sets) != many {
			t.Errorf("%+v: %d sets of %d", o, len(d.sets), many)
		}
	}
}

// The best four of two faults are the best by trying every four.
func TestBestFew(t *testing.T) {
	d := &drawn{order: []string{"a", "b", "c", "d", "e", "f"}, sets: []engine.Set{
		{Faults: []string{"a", "b"}, Probability: 0.3}, {Faults: []string{"c", "d"}, Probability: 0.25}, {Faults: []string{"a", "e"}, Probability: 0.2},
		{Faults: []string{"e", "f"}, Probability: 0.15}, {Faults: []string{"b", "f"}, Probability: 0.1},
	}}
	// a, b, e, f hold 0.3 + 0.2 + 0.15 + 0.1; a, b, c, d only 0.55.
	if got := d.bestFew(); !(math.Abs(got-0.75) <= 1e-12) {
		t.Errorf("%v, want 0.75", got)
	}
}

// What the rules expect of themselves is what comes of it where they are right: with every check made they are, nearly.
func TestExpectedIsReachedWhereTheRulesAreRight(t *testing.T) {
	table := rules(t, Options{Jobs: 400, Seed: 500_001, Checks: All, Faults: One})
	e := table.Expected
	if e == nil || !(math.Abs(e.Leads-table.Leads.Share) <= 0.05) {
		t.Errorf("expected %+v, found %+v", e, table.Leads)
	}
	if got := []float64{e.Leads, e.LeadsAlike, e.ThreeAlike}; !slices.IsSorted(got) || e.Three < e.Leads || e.ThreeAlike < e.Three {
		t.Errorf("not in order: %+v", e)
	}
	if more := rules(t, Options{Jobs: 5, Seed: 1, Checks: First, Faults: More}); more.Expected != nil {
		t.Errorf("any number of faults, and yet %+v expected", more.Expected)
	}
}
