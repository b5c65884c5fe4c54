package quantity

import (
	"math"
	"testing"
)

// Conversions by the factors of NIST SP 811 (2008), appendix B.8: psi 6.894 757 E+03 Pa, conventional inch of
// mercury 3.386 389 E+03 Pa, bar 1 E+05 Pa exactly, degrees Fahrenheit t/°C = (t/°F - 32)/1.8 exactly, and for a temperature
// interval 1 °F = 5.555 556 E-01 K and 1 °C = 1 K (the latter also SI Brochure, 9th edition, 2.3.1). The inch of mercury was
// read in a copy of the table, the others are from memory. The
// products are computed from those factors, independently of this code, to the digits shown.
func TestOutsideUnits(t *testing.T) {
	for _, row := range []struct {
		value  float64
		from   Unit
		want   float64
		to     Unit
		within float64 // half of the last digit of want
	}{
		{1, PSI, 6.894757, KiloPascal, 0.5e-6},
		{1, InchHg, 3.386389, KiloPascal, 0.5e-6},
		{1, Bar, 100, KiloPascal, 0},
		{1, MilliBar, 0.1, KiloPascal, 0},
		{14.5038, PSI, 1.0000, Bar, 0.5e-4},
		{50, PSI, 3.4474, Bar, 0.5e-4},
		{65, PSI, 4.4816, Bar, 0.5e-4},
		{75, PSI, 5.1711, Bar, 0.5e-4},
		{78, PSI, 5.3779, Bar, 0.5e-4},
		{82, PSI, 5.6537, Bar, 0.5e-4},
		{3.5, Bar, 50.76, PSI, 0.5e-2},
		{5.4, Bar, 78.32, PSI, 0.5e-2},
		{18, InchHg, 60.955, KiloPascal, 0.5e-3},
		{21, InchHg, 71.114, KiloPascal, 0.5e-3},
		{29.92, InchHg, 101.321, KiloPascal, 0.5e-3},
		{-40, Fahrenheit, -40, Celsius, 1e-13},
		{0, Fahrenheit, -17.778, Celsius, 0.5e-3},
		{68, Fahrenheit, 20, Celsius, 1e-13},
		{176, Fahrenheit, 80, Celsius, 1e-13},
		{194, Fahrenheit, 90, Celsius, 1e-13},
		{1, FahrenheitDifference, 0.5555556, Kelvin, 0.5e-7},
		{18, FahrenheitDifference, 10, Kelvin, 1e-13},
		{1, Kelvin, 1.8, FahrenheitDifference, 1e-13},
	} {
		q := Quantity{Value: row.value, Unit: row.from, HasUnit: true}
		if got, err := q.In(row.to); err != nil || !(math.Abs(got.Value-row.want) <= row.within) {
			t.Errorf("%v %v = %v %v, %v; want %v", row.value, row.from, got.Value, row.to, err, row.want)
		}
	}
}

// Dwell: duty % = dwell × cylinders / 3.6. "Published" rows stand in the German encyclopaedia article
// "Schließwinkel" (four cylinders: 45 degrees 50 %, 50 degrees about 56 %; six cylinders: 60 degrees the full
// scale); the others are computed from the definition, independently of this code.
func TestOutsideDwell(t *testing.T) {
	scales := map[int]Unit{4: DegDwell4, 6: DegDwell6, 8: DegDwell8}
	for _, row := range []struct {
		cylinders   int
		dwell, duty float64
		within      float64
		source      string
	}{
		{4, 45, 50, 0.005, "published"},
		{4, 50, 56, 0.5, "published"},
		{6, 60, 100, 0.005, "published"},
		{4, 50, 55.56, 0.005, "computed"},
		{4, 54, 60, 0.005, "computed"},
		{6, 30, 50, 0.005, "computed"},
		{6, 36, 60, 0.005, "computed"},
		{6, 38, 63.33, 0.005, "computed"},
		{8, 22.5, 50, 0.005, "computed"},
		{8, 28, 62.22, 0.005, "computed"},
		{5, 36, 50, 0.005, "computed"},
		{3, 60, 50, 0.005, "computed"},
		{4, 25.2, 28, 1e-12, "computed: the usual reference duty of 28 %, common practice"},
		{6, 16.8, 28, 1e-12, "computed: the same on the six-cylinder scale"},
	} {
		if got := DutyOfDwell(row.dwell, row.cylinders); !(math.Abs(got-row.duty) <= row.within) {
			t.Errorf("%v degrees of dwell on %d cylinders (%s): %v %%, want %v", row.dwell, row.cylinders, row.source, got, row.duty)
		}
		scale, ok := scales[row.cylinders]
		if !ok {
			continue // meters have scales for 4, 6 and 8
		}
		q := Quantity{Value: row.dwell, Unit: scale, HasUnit: true}
		if got, err := q.In(Percent); err != nil || !(math.Abs(got.Value-row.duty) <= row.within) {
			t.Errorf("%v %v (%s): %v %%, %v; want %v", row.dwell, scale, row.source, got.Value, err, row.duty)
		}
	}
}

// JCGM 100:2008, 4.3.7: limits ±a, every value between equally likely, have the variance a²/3. Figures of its
// examples, from memory.
func TestOutsideLimits(t *testing.T) {
	for _, row := range []struct {
		source       string
		a, u, within float64
	}{
		{"4.3.7 example 1: expansion of copper, error not above 0.40e-6 a degree", 0.40, 0.23, 0.005},
		{"4.3.7 example 2: voltmeter, 15 microvolts", 15, 8.7, 0.05},
		{"4.3.8: expansion of copper between 16.40 and 16.92, spread evenly", 0.26, 0.15, 0.005},
	} {
		if got := (Limits{Within: row.a}).U(0); !(math.Abs(got-row.u) <= row.within) {
			t.Errorf("%s: u = %v, the guide prints %v", row.source, got, row.u)
		}
	}
	for _, a := range []float64{0.06, 1, 12} {
		// The variance of a rectangle by the midpoint rule, from the definition of a variance.
		const n = 10000
		sum := 0.0
		for i := range n {
			x := a * (2*(float64(i)+0.5)/n - 1)
			sum += x * x / n
		}
		if got := (Limits{Within: a}).U(0); !(math.Abs(got-math.Sqrt(sum)) <= 1e-8*a) {
			t.Errorf("u of ±%v is %v, integrated %v", a, got, math.Sqrt(sum))
		}
	}
}

// Permissible errors of an exhaust-gas analyser of class I are the greater of an absolute and a relative one
// (Directive 2004/22/EC, annex MI-010, from memory): CO 0.06 % or 5 %, HC 12 ppm or 5 %.
func TestOutsideTheGreaterLimitHolds(t *testing.T) {
	for _, row := range []struct {
		limits   Limits
		value, a float64
	}{
		{Limits{Within: 0.06, Percent: 5}, 0.5, 0.06}, {Limits{Within: 0.06, Percent: 5}, 3.5, 0.175},
		{Limits{Within: 12, Percent: 5}, 100, 12}, {Limits{Within: 12, Percent: 5}, 1200, 60},
	} {
		if got := row.limits.U(row.value) * math.Sqrt(3); !(math.Abs(got-row.a) <= 1e-12) {
			t.Errorf("limit of %v at %v is %v, want %v", row.limits, row.value, got, row.a)
		}
	}
}

// JCGM 100:2008, 7.2.6: an uncertainty has at most two significant digits and the value the same last place. Its
// example, "10.057 62 ohm with u = 27 mohm is given as 10.058 ohm" (from memory).
func TestOutsideRounding(t *testing.T) {
	if got := Format(10.05762, 0.027, Ohm); got != "10.058 ohm" {
		t.Errorf("10.05762 ohm with u = 0.027: %q", got)
	}
}
