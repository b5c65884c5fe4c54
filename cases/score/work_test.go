package score

import (
	"math"
	"testing"

	"culprit/engine"
)

// TestApartByHand: the decibans between two faults are 10 log10 of the ratio of how well the readings fit them, of all
// together or of that answer alone that parts them most (Good 1985; from memory).
func TestApartByHand(t *testing.T) {
	a := engine.Alone{Fault: "a", LogLikelihood: math.Log(0.02), LogEach: []float64{math.Log(0.2), math.Log(0.1)}}
	for _, row := range []struct {
		why  string
		b    engine.Alone
		want float64
	}{
		{"all together part them by 100 to 1", engine.Alone{Fault: "b", LogLikelihood: math.Log(0.0002), LogEach: []float64{math.Log(0.02), math.Log(0.01)}}, 20},
		{"one answer parts them by 2 to 1, another takes it back", engine.Alone{Fault: "b", LogLikelihood: math.Log(0.02), LogEach: []float64{math.Log(0.4), math.Log(0.05)}}, 3.0103},
		{"nothing parts them", engine.Alone{Fault: "b", LogLikelihood: math.Log(0.02), LogEach: []float64{math.Log(0.2), math.Log(0.1)}}, 0},
		{"the same fault, whatever is said", engine.Alone{Fault: "a", LogLikelihood: -9, LogEach: []float64{-1, -8}}, 0},
	} {
		near(t, row.why, apart(&a, &row.b), row.want, 5e-5)
		near(t, row.why+", the other way round", apart(&row.b, &a), row.want, 5e-5)
	}
}

// TestSharedPreparationIsPaidOnce works the minutes of three checks out by hand, two of which need the same gauge.
func TestSharedPreparationIsPaidOnce(t *testing.T) {
	gauge := []engine.Prepared{{Preparation: "gauge", Minutes: 15}}
	s := &stager{takes: map[string]engine.CheckOutline{
		"system": {Check: "system", Minutes: 15 + 5, Prepare: gauge},
		"lower":  {Check: "lower", Minutes: 15 + 3, Prepare: gauge},
		"look":   {Check: "look", Minutes: 2},
	}}
	j := onCar{s: s, prepared: map[string]bool{}}
	for k, check := range []string{"system", "look", "lower"} {
		j.spend(check)
		near(t, check, j.tally.minutes, []float64{20, 22, 25}[k], 1e-12)
	}
}
