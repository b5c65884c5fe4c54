package truth

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// orthotope is the probability that correlated standard normal values, each a
// combination of independent ones (rows of a lower triangle), lie in ranges. It
// is worked out by Gauss-Legendre quadratures of a fixed, high order from
// another library, one inside the other.
type orthotope struct {
	rows     [][]float64
	from, to []float64
	points   int
}

func (b *orthotope) probability() float64 { return b.over(nil) }

func (b *orthotope) over(score []float64) float64 {
	i := len(score)
	mean := 0.0
	for c, z := range score {
		mean += b.rows[i][c] * z
	}
	s := b.rows[i][i]
	from, to := (b.from[i]-mean)/s, (b.to[i]-mean)/s
	unit := distuv.UnitNormal
	if i == len(b.rows)-1 {
		if from > 0 {
			return max(0, unit.CDF(-from)-unit.CDF(-to))
		}
		return max(0, unit.CDF(to)-unit.CDF(from))
	}
	from, to = max(from, -9), min(to, 9)
	if from >= to {
		return 0
	}
	return quad.Fixed(func(z float64) float64 {
		return unit.Prob(z) * b.over(append(score[:i:i], z))
	}, from, to, b.points, quad.Legendre{}, 0)
}

// rule writes it as an expression over the readings x, y, z, w.
func (b *orthotope) rule() string {
	ids := []string{"x", "y", "z", "w"}
	var parts []string
	for i, row := range b.rows {
		var sum []string
		for c := range i + 1 {
			sum = append(sum, fmt.Sprintf("%.17g*%s", row[c], ids[c]))
		}
		q := strings.Join(sum, " + ")
		switch {
		case math.IsInf(b.from[i], -1):
			parts = append(parts, fmt.Sprintf("%s < %.17g", q, b.to[i]))
		case math.IsInf(b.to[i], 1):
			parts = append(parts, fmt.Sprintf("%s > %.17g", q, b.from[i]))
		default:
			parts = append(parts, fmt.Sprintf("between(%s, %.17g, %.17g)", q, b.from[i], b.to[i]))
		}
	}
	return strings.Join(parts, " and ")
}

// triangle turns correlations, row by row, into a lower triangle.
func triangle(correlations ...[]float64) [][]float64 {
	n := len(correlations) + 1
	full := mat.NewSymDense(n, nil)
	for i := range n {
		full.SetSym(i, i, 1)
		for c := range i {
			full.SetSym(i, c, correlations[i-1][c])
		}
	}
	var factor mat.Cholesky
	if !factor.Factorize(full) {
		panic("not a correlation matrix")
	}
	var l mat.TriDense
	factor.LTo(&l)
	rows := make([][]float64, n)
	for i := range rows {
		for c := range i + 1 {
			rows[i] = append(rows[i], l.At(i, c))
		}
	}
	return rows
}

// unitJob has four independent readings of value 0 and uncertainty 1.
func unitJob(t *testing.T) *job {
	j := newJob(t)
	for _, id := range []string{"x", "y", "z", "w"} {
		j.number(id, 0, 1)
	}
	return j
}

func TestEntangledAgainstFixedQuadrature(t *testing.T) {
	inf := math.Inf(1)
	low := func(n int) []float64 { return []float64{-inf, -inf, -inf, -inf}[:n] }
	for _, c := range []struct {
		name string
		orthotope
		tolerance float64
	}{
		{"two, weakly", orthotope{triangle([]float64{0.1}), low(2), []float64{0.3, -0.7}, 200}, 1e-14},
		{"two, against each other", orthotope{triangle([]float64{-0.6}), low(2), []float64{0.3, 1.7}, 200}, 1e-14},
		{"two, just below where the other form begins", orthotope{triangle([]float64{0.7999}), low(2), []float64{-1.3, -1.2}, 200}, 1e-14},
		{"two, just above it", orthotope{triangle([]float64{0.8001}), low(2), []float64{-1.3, -1.2}, 200}, 1e-14},
		{"two, strongly", orthotope{triangle([]float64{0.99}), low(2), []float64{0.3, 0.31}, 400}, 1e-14},
		{"two, very strongly", orthotope{triangle([]float64{0.9999}), low(2), []float64{0.3, 0.31}, 4000}, 1e-13},
		{"two, very strongly against each other", orthotope{triangle([]float64{-0.9999}), low(2), []float64{0.3, -0.29}, 4000}, 1e-13},
		{"two ranges", orthotope{triangle([]float64{0.7}), []float64{-1, 0}, []float64{0.5, 2}, 200}, 1e-14},
		{"two ranges in the tail", orthotope{triangle([]float64{0.7}), []float64{3, 2.5}, []float64{4, 5}, 200}, 1e-15},
		{"three", orthotope{triangle([]float64{0.3}, []float64{0.5, 0.2}), low(3), []float64{0.3, -0.7, 1}, 100}, 1e-13},
		{"three, strongly", orthotope{triangle([]float64{0.9}, []float64{0.95, 0.9}), low(3), []float64{0.3, 0.2, 0.1}, 200}, 1e-12},
		{"three, signs mixed", orthotope{triangle([]float64{-0.7}, []float64{0.6, -0.5}), low(3), []float64{0.3, -0.7, 1}, 100}, 1e-13},
		{"three ranges", orthotope{triangle([]float64{0.5}, []float64{0.4, 0.8}), []float64{-1, 0, -0.5}, []float64{0.5, 2, inf}, 100}, 1e-13},
		{"two nearly one beside a third: a kink where they pass each other", orthotope{triangle([]float64{0.4}, []float64{0.5, 0.9936}), low(3), []float64{0.3, 0.2, 0.25}, 1000}, 1e-11},
		{"four", orthotope{triangle([]float64{0.3}, []float64{0.5, 0.2}, []float64{-0.2, 0.4, 0.1}), low(4), []float64{0.3, 0.7, 1, 0.5}, 60}, 1e-12},
		{"four, strongly", orthotope{triangle([]float64{0.8}, []float64{0.7, 0.8}, []float64{0.6, 0.7, 0.8}), low(4), []float64{0.3, 0.2, 0.4, 0.1}, 80}, 1e-11},
		{"four ranges", orthotope{triangle([]float64{0.3}, []float64{0.5, 0.2}, []float64{-0.2, 0.4, 0.1}), []float64{-1, 0, -0.5, -2}, []float64{0.5, 2, 1, 0.3}, 60}, 1e-12},
	} {
		if got, want := unitJob(t).p(c.rule()), c.probability(); !(math.Abs(got-want) <= c.tolerance) {
			t.Errorf("%s: got %.16g, another library says %.16g (off by %.2g)", c.name, got, want, got-want)
		}
	}
}

// TestRandomOrthants compares three random entangled quantities with the closed
// form (David 1953, Biometrika 40; from memory): 1/8 + (asin r12 + asin r13 + asin r23)/(4π).
func TestRandomOrthants(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		var v [3][3]float64
		for i := range v {
			norm := 0.0
			for k := range v[i] {
				v[i][k] = random.NormFloat64()
				norm += v[i][k] * v[i][k]
			}
			for k := range v[i] {
				v[i][k] /= math.Sqrt(norm)
			}
		}
		dot := func(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
		want := 0.125 + (math.Asin(dot(v[0], v[1]))+math.Asin(dot(v[0], v[2]))+math.Asin(dot(v[1], v[2])))/(4*math.Pi)
		var parts []string
		for _, row := range v {
			parts = append(parts, fmt.Sprintf("%.17g*x + %.17g*y + %.17g*z > 0", row[0], row[1], row[2]))
		}
		near(t, strings.Join(parts, " and "), unitJob(t).p(strings.Join(parts, " and ")), want, 1e-11)
	}
}

// TestSteep: a second quantity that adds hardly anything, or one that is fixed
// by the others, is a step in the integrand; the closed forms know no steps.
func TestSteep(t *testing.T) {
	for _, r := range []float64{1 - 1e-3, 1 - 1e-6, 1 - 1e-9, 1 - 1e-12, 1 - 1e-13, -1 + 1e-3, -1 + 1e-9} {
		s := math.Sqrt((1 - r) * (1 + r))
		j := unitJob(t)
		near(t, fmt.Sprintf("orthant at %v", r), j.p(fmt.Sprintf("x > 0 and %.17g*x + %.17g*y > 0", r, s)), 0.25+math.Atan2(r, s)/(2*math.Pi), 1e-14)
		// With a third, which shares x with both.
		third := math.Atan2(1, 1) // asin(1/√2)
		want := 0.125 + (math.Atan2(r, s)+third+math.Asin(r/math.Sqrt2))/(4*math.Pi)
		near(t, fmt.Sprintf("three at %v", r), j.p(fmt.Sprintf("x > 0 and %.17g*x + %.17g*y > 0 and x + z > 0", r, s)), want, 1e-11)
	}
	j := unitJob(t)
	near(t, "fixed by the two others", j.p("x > 0 and y > 0 and x + y < 0"), 0, 1e-14)
	near(t, "half of a quarter", j.p("x > 0 and y > 0 and x > y"), 0.125, 1e-12)
	near(t, "three readings, four quantities", j.p("x > y and y > z and x > z and x + y + z > 0"), 1.0/12, 1e-11)
	near(t, "three readings, six orders", j.p("x > y and y > z or z > y and y > x"), 2.0/6, 1e-11)
	// x > max(0, -y, -2y): one half less the density at 0 times the mean of -2y where that is positive.
	near(t, "steps of a part in a million", j.number("y", 0, 1e-6).p("x > 0 and x + y > 0 and x + 2*y > 0"), 0.5-2e-6/(2*math.Pi), 1e-11)
}

// TestKronrod: the rule of 15 points is exact for polynomials to degree 22, the
// one of 7 inside it to degree 13 (Piessens and others 1983, QUADPACK, qk15; from memory).
func TestKronrod(t *testing.T) {
	for degree := 0; degree <= 22; degree++ {
		want := 0.0
		if degree%2 == 0 {
			want = 2 / float64(degree+1)
		}
		got := adaptive(func(x float64) Truth { return Truth{math.Pow(x, float64(degree)), 1} }, -1, 1, math.Inf(1), 0)
		near(t, fmt.Sprintf("15 points, degree %d", degree), got.Least, want, 1e-15)
		near(t, "width", got.Most, 2, 1e-15)
		seven := gauss[3] * math.Pow(0, float64(degree))
		for k := 1; k < 7; k += 2 {
			seven += gauss[k/2] * (math.Pow(points[k], float64(degree)) + math.Pow(-points[k], float64(degree)))
		}
		if degree <= 13 {
			near(t, fmt.Sprintf("7 points, degree %d", degree), seven, want, 1e-15)
		}
	}
	kink := adaptive(func(x float64) Truth { return Truth{math.Abs(x - 0.1234), math.Abs(x + 0.3)} }, -1, 1, smallError, deepest)
	near(t, "a kink", kink.Least, (1.1234*1.1234+0.8766*0.8766)/2, 1e-10)
	near(t, "another one beside it", kink.Most, (1.3*1.3+0.7*0.7)/2, 1e-10)
}
