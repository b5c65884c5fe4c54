package engine

import (
	"context"
	"math"
	"testing"
)

// TestExactlyIsBayes: of exactly one fault the odds of two are the ratio of how well the readings fit them, times that
// of how common they are; and the probabilities of all sets of a size add up to one.
func TestExactlyIsBayes(t *testing.T) {
	p := shipped(t)
	job := parse(t, hiddenLeak)
	prior := map[string]float64{}
	for _, f := range diagnose(t, p, job).Faults {
		prior[f.Fault] = f.Prior / (1 - f.Prior)
	}
	sets, err := p.Exactly(context.Background(), job, 1)
	if err != nil {
		t.Fatal(err)
	}
	var ids []string
	for _, s := range sets[:10] {
		ids = append(ids, s.Faults[0])
	}
	fit, err := p.Alone(context.Background(), job, ids)
	if err != nil {
		t.Fatal(err)
	}
	for k := range ids[1:] {
		want := fit[k+1].LogLikelihood - fit[0].LogLikelihood + math.Log(prior[ids[k+1]]/prior[ids[0]])
		if got := math.Log(sets[k+1].Probability / sets[0].Probability); !(math.Abs(got-want) <= 1e-9) {
			t.Errorf("%s against %s: log odds %v, want %v", ids[k+1], ids[0], got, want)
		}
	}
	for size, count := range map[int]int{1: len(prior), 2: len(prior) * (len(prior) - 1) / 2} {
		sets, err := p.Exactly(context.Background(), job, size)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, s := range sets {
			sum += s.Probability
		}
		if len(sets) != count || !(math.Abs(sum-1) <= 1e-9) {
			t.Errorf("%d sets of %d, want %d; they add up to %v", len(sets), size, count, sum)
		}
	}
	for _, size := range []int{0, 4} {
		if _, err := p.Exactly(context.Background(), job, size); err == nil {
			t.Errorf("sets of %d are given", size)
		}
	}
}
