package score

import "math"

// Share is a proportion with its confidence interval.
type Share struct {
	Hits int `json:"hits"`
	Of   int `json:"of"`
	// Share is Hits/Of, From and To the ends of its 95 % interval. All are NaN-free: 0, 0 and 1 of nothing.
	Share float64 `json:"share"`
	From  float64 `json:"from"`
	To    float64 `json:"to"`
}

// normal975 is the 97.5 % quantile of the normal distribution.
const normal975 = 1.959963984540054

// share is a proportion with the score interval of Wilson (1927, "Probable inference, the law of succession, and
// statistical inference", JASA 22; from memory), which stays within 0 to 1 and holds near its ends.
func share(hits, of int) Share {
	s := Share{Hits: hits, Of: of, To: 1}
	if of == 0 {
		return s
	}
	n, z := float64(of), normal975
	p := float64(hits) / n
	middle := (p + z*z/(2*n)) / (1 + z*z/n)
	half := z / (1 + z*z/n) * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	s.Share, s.From, s.To = p, max(0, middle-half), min(1, middle+half)
	return s
}

// Brier is the sum over things that happen or not of the squared distance from what was foretold: 0 is best. For
// the mean over one thing in each of many cases divide by their number (Brier 1950, "Verification of forecasts
// expressed in terms of probability"; from memory).
func Brier(p []float64, happened []bool) float64 {
	sum := 0.0
	for i, x := range p {
		if happened[i] {
			x = 1 - x
		}
		sum += x * x
	}
	return sum
}

// leastProbability keeps the logarithm finite where something was called impossible and happened, as it is common
// to do (scikit-learn, docstring of log_loss, clipped at 1e-15).
const leastProbability = 1e-15

// LogLoss is the sum over things that happen or not of minus the natural logarithm of the probability of what came: 0
// is best (Good 1952, "Rational decisions"; from memory).
func LogLoss(p []float64, happened []bool) float64 {
	sum := 0.0
	for i, x := range p {
		if !happened[i] {
			x = 1 - x
		}
		sum -= math.Log(min(max(x, leastProbability), 1-leastProbability))
	}
	return sum
}

// A Bin holds those cases whose leading probability lies between From and To.
type Bin struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
	// Said is the mean of the probabilities, Right how often the thing was so.
	Said  float64 `json:"said"`
	Right Share   `json:"right"`
}

// Calibration is how far probabilities are from how often things are so.
type Calibration struct {
	// Expected is the mean over all cases of the distance between Said and Right of their bins, RMS its root mean
	// square, Most the largest (Guo, Pleiss, Sun and Weinberger 2017, "On calibration of modern neural networks";
	// from memory).
	Expected float64 `json:"expected"`
	RMS      float64 `json:"rms"`
	Most     float64 `json:"most"`
	Bins     []Bin   `json:"bins"` // of equal width; those without a case are left out
}

// Calibrate puts cases into bins of equal width by their probabilities.
func Calibrate(p []float64, right []bool, bins int) Calibration {
	said, hits, of := make([]float64, bins), make([]int, bins), make([]int, bins)
	for i, x := range p {
		k := min(int(x*float64(bins)), bins-1)
		said[k] += x
		of[k]++
		if right[i] {
			hits[k]++
		}
	}
	c := Calibration{Bins: []Bin{}}
	for k := range bins {
		if of[k] == 0 {
			continue
		}
		b := Bin{From: float64(k) / float64(bins), To: float64(k+1) / float64(bins), Said: said[k] / float64(of[k]), Right: share(hits[k], of[k])}
		off, weight := math.Abs(b.Said-b.Right.Share), float64(of[k])/float64(len(p))
		c.Expected += weight * off
		c.RMS += weight * off * off
		c.Most = max(c.Most, off)
		c.Bins = append(c.Bins, b)
	}
	c.RMS = math.Sqrt(c.RMS)
	return c
}
