package truth

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"culprit/engine/exhaust"
	"culprit/engine/quantity"
)

// Values and formulas that were published outside this project, each with its
// source beside it.

// TestConformanceProbability holds one comparison to the worked example of
// JCGM 106:2012 and to tables of the normal distribution.
func TestConformanceProbability(t *testing.T) {
	for _, c := range []struct {
		name, expr  string
		value, u    float64
		want, digit float64 // the printed figure and half its last digit
	}{
		{"breakdown voltage, JCGM 106:2012, 7 (from memory)", "x > 5.40", 5.47, 0.05, 0.92, 0.005},
		{"on the limit: even, by symmetry", "x > 5.40", 5.40, 0.05, 0.5, 1e-15},
		{"one above, Abramowitz and Stegun 1964, table 26.1 (from memory)", "x > 0", 1, 1, 0.841344746068543, 5e-15},
		{"two above, table 26.1 (from memory)", "x > 0", 2, 1, 0.977249868051821, 5e-15},
		{"three below, table 26.1 (from memory)", "x > 0", -3, 1, 1 - 0.998650101968370, 5e-15},
		{"five below keeps its digits, table 26.2 gives -log10 6.54265 (from memory)", "x > 0", -5, 1, 2.866516e-7, 2e-12},
		{"k = 1.645 covers 90 %, JCGM 100:2008, table G.1 (from memory, as are the next four)", "between(x, -1.645, 1.645)", 0, 1, 0.90, 5e-5},
		{"k = 1.960 covers 95 %, table G.1", "between(x, -1.96, 1.96)", 0, 1, 0.95, 5e-5},
		{"k = 2 covers 95.45 %, table G.1", "between(x, -2, 2)", 0, 1, 0.9545, 5e-5},
		{"k = 2.576 covers 99 %, table G.1", "between(x, -2.576, 2.576)", 0, 1, 0.99, 5e-5},
		{"k = 3 covers 99.73 %, table G.1", "between(x, -3, 3)", 0, 1, 0.9973, 5e-5},
		{"abs is the same range", "abs(x) < 1", 0, 1, 0.682689492137086, 5e-15}, // erf(1/√2)
	} {
		near(t, c.name, newJob(t).number("x", c.value, c.u).p(c.expr), c.want, c.digit)
	}
}

// TestNormalAgainstGonum compares the distribution function with another
// library's, deep into both tails.
func TestNormalAgainstGonum(t *testing.T) {
	unit := distuv.UnitNormal
	if inside(1, 1) != 0 || inside(1, 0) != 0 {
		t.Error("an empty range holds something")
	}
	for z := -8.0; z <= 8; z += 0.125 {
		if got, want := below(z), unit.CDF(z); math.Abs(got-want) > 1e-13*want {
			t.Errorf("below(%v) = %v, gonum has %v", z, got, want)
		}
		for width := 0.01; width < 4; width *= 3 {
			got, want := inside(z, z+width), unit.CDF(z+width)-unit.CDF(z)
			if z > 0 {
				want = unit.CDF(-z) - unit.CDF(-z-width) // Survival is one less CDF, without digits out here
			}
			if math.Abs(got-want) > 1e-12*want {
				t.Errorf("inside(%v, %v) = %v, gonum has %v", z, z+width, got, want)
			}
		}
	}
}

// TestTwoSidedIsNoProduct: a reading near the middle of a narrow range can
// leave it on one side only, which a product of two one-sided probabilities
// gets wrong.
func TestTwoSidedIsNoProduct(t *testing.T) {
	unit := distuv.UnitNormal
	for _, c := range []struct{ value, u, from, to float64 }{
		{5, 1, 4, 6}, {5, 3, 4, 6}, {4, 1, 4, 6}, {9, 2, 4, 6}, {5, 0.01, 4, 6}, {5, 100, 4, 6},
	} {
		exact := unit.CDF((c.to-c.value)/c.u) - unit.CDF((c.from-c.value)/c.u)
		product := unit.CDF((c.to-c.value)/c.u) * unit.CDF((c.value-c.from)/c.u)
		j := newJob(t).number("x", c.value, c.u).number("y", c.from, 0).number("w", c.to, 0)
		j.spec("x", Spec{From: c.from, To: c.to, HasFrom: true, HasTo: true})
		for _, src := range []string{
			fmt.Sprintf("between(x, %v, %v)", c.from, c.to),
			fmt.Sprintf("x >= %v and x <= %v", c.from, c.to),
			fmt.Sprintf("not (x < %v or x > %v)", c.from, c.to),
			"ok(x)", "not high(x) and not low(x)", "between(x, y, w)", "y < x and w > x",
		} {
			got := j.p(src)
			near(t, src, got, exact, 1e-14)
			if math.Abs(product-exact) > 1e-6 && math.Abs(got-product) < 1e-9 {
				t.Errorf("%s is the product of two sides", src)
			}
		}
	}
}

// TestOrthants compares two and three entangled comparisons with closed forms:
// Sheppard 1899, Phil. Trans. R. Soc. A 192, for two, and for three
// 1/8 + (asin r12 + asin r13 + asin r23)/(4π) (David 1953, "A note on the evaluation
// of the multivariate normal integral", Biometrika 40; both from memory).
func TestOrthants(t *testing.T) {
	for _, r := range []float64{-0.999999, -0.9, -0.5, -0.1, 0, 0.1, 0.5, 1 / math.Sqrt2, 0.9, 0.99, 0.999999, 1 - 1e-9} {
		j := newJob(t, derive{id: "both", from: "x * ratio + y * z"})
		j.number("x", 0, 1).number("y", 0, 1).number("ratio", r, 0).number("z", math.Sqrt((1-r)*(1+r)), 0)
		near(t, fmt.Sprintf("two at %v", r), j.p("x > 0 and both > 0"), 0.25+math.Asin(r)/(2*math.Pi), 1e-14)
	}
	// Sums of independent readings: corr(x+y, y+z) = 1/2 and so on.
	j := newJob(t)
	for _, id := range []string{"x", "y", "z"} {
		j.number(id, 0, 1)
	}
	half := math.Asin(0.5)
	near(t, "three sums in a ring", j.p("x + y > 0 and y + z > 0 and z + x > 0"), 0.125+3*half/(4*math.Pi), 1e-12)
	near(t, "three differences in a ring never all rise", j.p("x - y > 0 and y - z > 0 and z - x > 0"), 0, 1e-12)
	near(t, "one order of three is as likely as any", j.p("x > y and y > z"), 1.0/6, 1e-12)
	j.number("w", 0, 1)
	near(t, "one order of four is as likely as any", j.p("x > y and y > z and z > w"), 1.0/24, 1e-12)
	near(t, "each of four is the greatest as often", j.p("x > y and x > z and x > w"), 0.25, 1e-12)
}

// TestPropagation holds values and their uncertainties to worked examples of
// JCGM 100:2008 (figures from memory).
func TestPropagation(t *testing.T) {
	t.Run("4.3.7: limits ±a are u = a/√3", func(t *testing.T) {
		u := quantity.Limits{Within: 0.06}.U(1.9)
		_, got := newJob(t).number("co", 1.9, u).value("co")
		near(t, "u", got, 0.06/math.Sqrt(3), 1e-16)
	})
	t.Run("5.2.2: ten resistors set by one standard", func(t *testing.T) {
		value, u := newJob(t).number("x", 1000, 0.1).value("x+x+x+x+x+x+x+x+x+x")
		near(t, "value", value, 10e3, 1e-9)
		near(t, "u of the one standard ten times", u, 1, 1e-12)
		_, u = newJob(t).number("x", 1000, 0.1).number("y", 1000, 0.1).value("x + y")
		near(t, "two standards add in quadrature (5.1.2)", u, 0.1*math.Sqrt2, 1e-12)
	})
	t.Run("the same reading is not two", func(t *testing.T) {
		for _, src := range []string{"x - x", "3*x - x - 2*x", "x/x", "x*1.1 - x*0.1 - x"} {
			if _, u := newJob(t).number("x", 1.7, 0.3).value(src); u > 1e-15 {
				t.Errorf("%s has an uncertainty of %v", src, u)
			}
		}
	})
	t.Run("H.1: end gauge", func(t *testing.T) {
		// nanometres and kelvin; l = ls + d - ls(δα·θ + αs·δθ)
		j := newJob(t, derive{id: "dalpha", from: "v"})
		j.number("x", 50000623, 25).number("y", 215, 9.7).number("dalpha", 0, 0.58e-6)
		j.number("z", -0.1, 0.41).number("w", 11.5e-6, 1.2e-6).number("v", 0, 0.029)
		l, u := j.value("x + y - x*(dalpha*z + w*v)")
		near(t, "l in mm", l/1e6, 50.000838, 5e-7)
		near(t, "u in nm", u, 32, 0.5)
	})
	t.Run("H.2: impedance from correlated volts and amperes", func(t *testing.T) {
		// r(V, I) = -0.36 is put in as a part of I that moves with V.
		j := newJob(t, derive{id: "amps", from: "y - 0.36 * 0.0000095/0.0032 * (x - 4.9990)"})
		j.number("x", 4.9990, 0.0032).number("y", 19.6610e-3, 0.0095e-3*math.Sqrt(1-0.36*0.36))
		_, u := j.value("amps")
		near(t, "u(I)", u, 0.0095e-3, 1e-12)
		z, u := j.value("x / amps")
		near(t, "Z", z, 254.260, 0.0005)
		near(t, "u(Z)", u, 0.236, 0.0007) // the printed 0.236 comes of correlations before rounding
	})
}

// TestStrongKleene is the three tables of Kleene 1952, "Introduction to
// Metamathematics", section 64 (from memory).
func TestStrongKleene(t *testing.T) {
	const F, U, T = 0, 1, 2
	set := func(j *job, id string, k int) {
		if k != U {
			j.yes(id, k == T)
		}
	}
	want := [...]Truth{F: {0, 0}, U: {0, 1}, T: {1, 1}}
	and := [3][3]int{F: {F, F, F}, U: {F, U, U}, T: {F, U, T}}
	or := [3][3]int{F: {F, U, T}, U: {U, U, T}, T: {T, T, T}}
	not := [3]int{F: T, U: U, T: F}
	for p := range 3 {
		for q := range 3 {
			j := newJob(t)
			set(j, "warm", p)
			set(j, "closed", q)
			for src, k := range map[string]int{
				"warm and closed": and[p][q],
				"warm or closed":  or[p][q],
				"not warm":        not[p],
			} {
				if got := j.truth(src); got != want[k] {
					t.Errorf("%s with %d, %d: %v, want %v", src, p, q, got, want[k])
				}
			}
		}
	}
}

// TestLambdaAgainstFiniteDifferences: the derived reading's uncertainty is that
// of exhaust.Lambda, differentiated numerically.
func TestLambdaAgainstFiniteDifferences(t *testing.T) {
	names := [4]string{"co", "co2", "o2", "hc"}
	for _, c := range []struct{ x, u [4]float64 }{
		{[4]float64{0.5, 14.7, 0.5, 100}, [4]float64{0.035, 0.29, 0.058, 6.9}},
		{[4]float64{4.5, 10.8, 0.6, 400}, [4]float64{0.13, 0.31, 0.058, 11.5}},
		{[4]float64{0.2, 13, 2.8, 60}, [4]float64{0.035, 0.38, 0.08, 6.9}},
	} {
		at := func(x [4]float64) float64 {
			l, err := exhaust.Lambda(exhaust.Gas{CO: x[0], CO2: x[1], O2: x[2], HC: x[3]}, exhaust.Petrol)
			if err != nil {
				t.Fatal(err)
			}
			return l
		}
		j := newJob(t, derive{id: "air", from: "lambda(co, co2, o2, hc)"})
		sum := 0.0
		for i, id := range names {
			j.number(id, c.x[i], c.u[i])
			up, down := c.x, c.x
			h := 1e-4 * c.x[i]
			up[i] += h
			down[i] -= h
			slope := (at(up) - at(down)) / (2 * h)
			sum += slope * slope * c.u[i] * c.u[i]
		}
		value, u := j.value("air")
		near(t, "lambda", value, at(c.x), 1e-15)
		near(t, "u(lambda)", u, math.Sqrt(sum), 1e-8)
		// Against its own CO: what is shared moves both.
		near(t, "the whole is consistent", j.p("air > 1 or not (air > 1)"), 1, 1e-15)
	}
}
