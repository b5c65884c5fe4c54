package strategies

import "math"

// Mean is an average over jobs with its confidence interval.
type Mean struct {
	Mean float64 `json:"mean"`
	From float64 `json:"from"` // 95 % confidence
	To   float64 `json:"to"`
}

// normal975 is the 97.5 % quantile of the normal distribution.
const normal975 = 1.959963984540054

// mean is the average of numbers, with the normal interval of the central limit theorem.
func mean(x []float64) Mean {
	m, half := moments(x)
	return Mean{m, m - half, m + half}
}

// moments are the average, and half the width of its interval; that is 0 for fewer than two numbers.
func moments(x []float64) (m, half float64) {
	if len(x) == 0 {
		return 0, 0
	}
	for _, v := range x {
		m += v
	}
	m /= float64(len(x))
	if len(x) < 2 {
		return m, 0
	}
	sum := 0.0
	for _, v := range x {
		sum += (v - m) * (v - m)
	}
	n := float64(len(x))
	return m, normal975 * math.Sqrt(sum/(n-1)/n)
}

// saved is the share by which the sum of x lies under that of y, which was taken on the
// same cars: 1 - R with R the ratio of the means. The variance of R is that of
// x - R y over the mean of y (Cochran 1977, "Sampling techniques", section 2.11; from memory).
func saved(x, y []float64) Mean {
	mx, _ := moments(x)
	my, _ := moments(y)
	if my == 0 {
		return Mean{}
	}
	r := mx / my
	rest := make([]float64, len(x))
	for i := range x {
		rest[i] = x[i] - r*y[i]
	}
	_, half := moments(rest)
	half /= my
	return Mean{1 - r, 1 - r - half, 1 - r + half}
}
