package engine

import (
	"context"
	"math"
	"testing"
)

// TestAloneAgreesWithSets: by Bayes' rule the odds of two faults, each being alone, are the ratio of how well the
// readings fit them, times that of how common they are.
func TestAloneAgreesWithSets(t *testing.T) {
	p := shipped(t)
	for _, text := range []string{hiddenLeak, justSet} {
		job := parse(t, text)
		v := diagnose(t, p, job)
		prior := map[string]float64{}
		for _, f := range v.Faults {
			prior[f.Fault] = f.Prior / (1 - f.Prior)
		}
		var ids []string
		var found []float64
		for _, s := range v.Together {
			if len(s.Faults) == 1 {
				ids, found = append(ids, s.Faults[0]), append(found, s.Probability)
			}
		}
		if len(ids) < 2 {
			t.Fatal("fewer than two sets of one fault")
		}
		fit, err := p.Alone(context.Background(), job, ids)
		if err != nil {
			t.Fatal(err)
		}
		for k := range ids[1:] {
			want := math.Log(found[k+1] / found[0])
			got := fit[k+1].LogLikelihood - fit[0].LogLikelihood + math.Log(prior[ids[k+1]]/prior[ids[0]])
			if !(math.Abs(got-want) <= 1e-9) {
				t.Errorf("%s against %s: log odds %v, by the sets %v", ids[k+1], ids[0], got, want)
			}
		}
	}
}

// TestAloneOfOneRule: with one rule answered, that rule is all there is.
func TestAloneOfOneRule(t *testing.T) {
	a, err := shipped(t).Alone(context.Background(), parse(t, `{"readings": {"throttle_dirty": true}}`), []string{"throttle-gummed", "purge-open"})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range a {
		if len(x.LogEach) != 1 || !(math.Abs(x.LogEach[0]-x.LogLikelihood) <= 1e-12) {
			t.Errorf("%s: %v by the rule, %v by all", x.Fault, x.LogEach, x.LogLikelihood)
		}
	}
	if _, err := shipped(t).Alone(context.Background(), parse(t, `{"readings": {"throttle_dirty": true}}`), []string{"purge-opne"}); err == nil {
		t.Error("an unknown fault is taken")
	}
}
