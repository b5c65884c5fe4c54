package score

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %v, not %v", what, got, want)
	}
}

func TestOutsideScores(t *testing.T) {
	// scikit-learn, sklearn/metrics/_classification.py, docstring of brier_score_loss: 0.037..., the mean over four.
	near(t, "brier score", Brier([]float64{0.1, 0.9, 0.8, 0.3}, []bool{false, true, true, false})/4, 0.0375, 1e-12)
	// The same, docstring of log_loss: spam, ham, ham, spam; 0.21616...
	near(t, "log loss", LogLoss([]float64{0.9, 0.1, 0.2, 0.65}, []bool{true, false, false, true})/4, 0.21616, 5e-6)
	// Weather forecasting: 0.7 scores 0.09 if it rains and 0.49 if not; encyclopaedia article "Brier score" (from memory).
	near(t, "brier of rain", Brier([]float64{0.7}, []bool{true}), 0.09, 1e-12)
	near(t, "brier of no rain", Brier([]float64{0.7}, []bool{false}), 0.49, 1e-12)
	// What was called impossible and happened counts as 1e-15: the same, eps of log_loss as it was until version 1.2 (that later ones
	// take another, from memory).
	near(t, "log loss of the impossible", LogLoss([]float64{0}, []bool{true}), -math.Log(1e-15), 1e-9)
}

func TestOutsideCalibration(t *testing.T) {
	for _, row := range []struct {
		source              string
		p                   []float64
		right               []bool
		bins                int
		expected, rms, most float64
	}{
		{"torchmetrics, docstring of BinaryCalibrationError", []float64{0.25, 0.25, 0.55, 0.75, 0.75}, []bool{false, false, true, true, true}, 2, 0.29, 0.2918, 0.3167},
		{"torchmetrics, docstring of MulticlassCalibrationError, the leading class of each row", []float64{0.55, 0.55, 0.60, 0.90}, []bool{false, false, true, true}, 3, 0.2, 0.2082, 0.2333},
	} {
		c := Calibrate(row.p, row.right, row.bins)
		near(t, row.source+": l1", c.Expected, row.expected, 5e-5)
		near(t, row.source+": l2", c.RMS, row.rms, 5e-5)
		near(t, row.source+": max", c.Most, row.most, 5e-5)
	}
}

// Newcombe 1998, "Two-sided confidence intervals for the single proportion: comparison of seven methods", Statistics in
// Medicine 17, table I, method 3 (score, no continuity correction; from memory).
func TestOutsideWilson(t *testing.T) {
	for _, row := range []struct {
		hits, of int
		from, to float64
	}{{81, 263, 0.2553, 0.3662}, {15, 148, 0.0624, 0.1605}, {0, 20, 0, 0.1611}, {1, 29, 0.0061, 0.1718}} {
		s := share(row.hits, row.of)
		near(t, "lower end", s.From, row.from, 5e-5)
		near(t, "upper end", s.To, row.to, 5e-5)
	}
	if s := share(0, 0); s.Share != 0 || s.From != 0 || s.To != 1 {
		t.Errorf("of nothing: %+v", s)
	}
}

// The log loss is the cross entropy of what came and what was foretold, as gonum works it out.
func TestOutsideCrossEntropy(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	var p []float64
	var happened []bool
	sum := 0.0
	for range 200 {
		x, is := 0.01+0.98*r.Float64(), r.Float64() < 0.5
		p, happened = append(p, x), append(happened, is)
		came := []float64{0, 1}
		if is {
			came = []float64{1, 0}
		}
		sum += stat.CrossEntropy(came, []float64{x, 1 - x})
	}
	near(t, "log loss", LogLoss(p, happened), sum, 1e-9)
}

// Who says 30 % of what happens in 30 of 100 is calibrated, whatever the bins; and no other constant scores better.
func TestHonestyPays(t *testing.T) {
	happened := make([]bool, 100)
	for i := range 30 {
		happened[i] = true
	}
	said := func(p float64) []float64 {
		out := make([]float64, 100)
		for i := range out {
			out[i] = p
		}
		return out
	}
	near(t, "calibration", Calibrate(said(0.3), happened, 10).Expected, 0, 1e-12)
	for _, p := range []float64{0, 0.1, 0.29, 0.31, 0.5, 1} {
		if Brier(said(p), happened) <= Brier(said(0.3), happened) || LogLoss(said(p), happened) <= LogLoss(said(0.3), happened) {
			t.Errorf("%v scores no worse than 0.3", p)
		}
	}
	if c := Calibrate([]float64{0, 1}, []bool{false, true}, 10); c.Expected != 0 || len(c.Bins) != 2 {
		t.Errorf("the ends of the scale: %+v", c)
	}
}
