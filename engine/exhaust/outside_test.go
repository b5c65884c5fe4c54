package exhaust

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
)

// The formula of all that follows is that of Brettschneider 1979 as OIML R 99:2008 and ISO 3930:2000 have it, written down
// from memory; what each test says was computed from it was computed apart, by other means than this code. The tests of
// combustion below do not use it.

// The constant sets of the tables below.
var (
	r99       = Petrol                                     // OIML R 99 / ISO 3930 (H/C and K1 from memory; O/C to 1e-4)
	ec98      = Fuel{HC: 1.73, OC: 0.02, K1: 6e-4}         // Directive 98/69/EC, 70/220/EEC annex I 5.3.7.3, petrol, with K1 of R 99; from memory
	e5        = Fuel{HC: 1.89, OC: 0.016, K1: 6e-4}        // UN Regulation 83, petrol E5, with K1 of R 99; from memory
	r99Double = Fuel{HC: 1.7261, OC: 0.0176, K1: 2 * 6e-4} // not R 99: infrared sees about half of HC (Singer et al. 1998); from memory
)

// Lambda by four constant sets: computed from the formula of OIML R 99 / ISO 3930, independently of this code,
// to five decimals.
func TestOutsideFormulaTable(t *testing.T) {
	for _, row := range []struct {
		why                      string
		co, co2, hc, o2          float64
		r99, ec98, e5, r99Double float64
	}{
		{"complete combustion", 0, 15.3, 0, 0, 1, 1, 1, 1},
		{"ahead of a catalyst", 0.5, 14.7, 100, 0.5, 1.00468, 1.00467, 1.00416, 1.00074},
		{"cleaner", 0.3, 15.0, 50, 0.3, 1.00320, 1.00320, 1.00289, 1.00124},
		{"uneven mixture", 1.0, 14.0, 200, 1.0, 1.00929, 1.00928, 1.00824, 1.00134},
		{"limit of older cars", 3.5, 11.5, 300, 0.5, 0.90629, 0.90622, 0.90641, 0.89567},
		{"rich", 4.5, 10.8, 400, 0.6, 0.87816, 0.87807, 0.87826, 0.86480},
		{"richer", 6.0, 9.8, 500, 0.3, 0.81918, 0.81905, 0.81972, 0.80419},
		{"lean", 0.2, 13.0, 60, 2.8, 1.13934, 1.13936, 1.13516, 1.13625},
		{"misfire", 2.0, 8.0, 1200, 7.0, 1.30737, 1.30739, 1.29495, 1.22509},
	} {
		g := Gas{CO: row.co, CO2: row.co2, O2: row.o2, HC: row.hc}
		for _, set := range []struct {
			name string
			fuel Fuel
			want float64
		}{{"R 99", r99, row.r99}, {"98/69/EC", ec98, row.ec98}, {"R 83 E5", e5, row.e5}, {"doubled K1", r99Double, row.r99Double}} {
			if got, err := Lambda(g, set.fuel); err != nil || !(math.Abs(got-set.want) <= 0.5001e-5) {
				t.Errorf("%s, %s: lambda %.6f, %v; want %v", row.why, set.name, got, err, set.want)
			}
		}
	}
}

// The doubt about O/C, 0.0175 or 0.0176, is worth 3e-5 of lambda at most over an analyser's range (computed from
// the formula of OIML R 99 / ISO 3930, independently of this code).
func TestOutsideOxygenInPetrolHardlyMatters(t *testing.T) {
	other := Petrol
	other.OC = 0.0175
	worst := 0.0
	for co := 0.0; co <= 8; co += 0.5 {
		for co2 := 6.0; co2 <= 16; co2 += 0.5 {
			for hc := 0.0; hc <= 1500; hc += 250 {
				for o2 := 0.0; o2 <= 8; o2 += 0.5 {
					g := Gas{CO: co, CO2: co2, O2: o2, HC: hc}
					a, _ := Lambda(g, Petrol)
					b, _ := Lambda(g, other)
					worst = max(worst, math.Abs(a-b))
				}
			}
		}
	}
	if worst > 3.5e-5 || worst < 2.5e-5 {
		t.Errorf("O/C moves lambda by %.2g at most, want about 3e-5", worst)
	}
}

// burn is the dry exhaust of a fuel CHyOz burned at lambda with the water-gas constant k, by the balances of the
// MIT course script (MIT OpenCourseWare 2.61 "Internal Combustion Engines", spring 2017, related resources): for one atom of carbon, no O2 when rich
// and no CO when lean. It shares nothing with the formula under test but the chemistry.
func burn(lambda, y, z, k float64) (g Gas, h2 float64) {
	const nitrogen = 3.773 // N2 for each O2 in air, as in the script
	need := 1 + y/4 - z/2
	if lambda >= 1 {
		o2 := (lambda - 1) * need
		total := 1 + o2 + nitrogen*lambda*need
		return Gas{CO2: 100 / total, O2: 100 * o2 / total}, 0
	}
	// Unknown c = CO; CO2 = 1-c, H2 = missing oxygen - c in pairs, H2O = y/2 - H2.
	// Oxygen: CO/2 + H2/2 = (1-lambda) need. Water gas: c (y/2-H2) = k (1-c) H2.
	short := 2 * (1 - lambda) * need // CO + H2
	low, high := max(0, short-y/2), min(1, short)
	for range 200 { // c·H2O - k·CO2·H2 rises with c: halve
		c := (low + high) / 2
		if c*(y/2-(short-c)) > k*(1-c)*(short-c) {
			high = c
		} else {
			low = c
		}
	}
	c := (low + high) / 2
	total := 1 + (short - c) + nitrogen*lambda*need
	return Gas{CO: 100 * c / total, CO2: 100 * (1 - c) / total}, 100 * (short - c) / total
}

// The formula gives back the lambda that the exhaust was made with, where the water-gas constant is its own 3.5
// and the fuel is that of R 99; exactly with all digits, to 2e-4 with two decimals. Figures computed by the MIT
// 2.61 script's balances for CH1.7261O0.0176, K = 3.5.
func TestOutsideRoundTripThroughCombustion(t *testing.T) {
	for _, row := range []struct{ lambda, co2, co, o2 float64 }{
		{0.85, 11.94, 5.70, 0}, {0.90, 13.23, 3.73, 0}, {0.95, 14.48, 1.83, 0}, {0.97, 14.98, 1.09, 0},
		{0.99, 15.46, 0.36, 0}, {1.00, 15.70, 0, 0}, {1.01, 15.54, 0, 0.22}, {1.03, 15.22, 0, 0.65},
		{1.05, 14.91, 0, 1.06}, {1.10, 14.19, 0, 2.02}, {1.20, 12.94, 0, 3.68},
	} {
		g, _ := burn(row.lambda, Petrol.HC, Petrol.OC, 3.5)
		if got, err := Lambda(g, Petrol); err != nil || !(math.Abs(got-row.lambda) <= 1e-9) {
			t.Errorf("made at %v: lambda %.12f, %v", row.lambda, got, err)
		}
		if off := max(math.Abs(g.CO2-row.co2), math.Abs(g.CO-row.co), math.Abs(g.O2-row.o2)); !(off <= 0.0051) {
			t.Errorf("made at %v: %.3f is not the exhaust of the script %v", row.lambda, g, row)
		}
		rounded := Gas{CO: row.co, CO2: row.co2, O2: row.o2}
		if got, err := Lambda(rounded, Petrol); err != nil || !(math.Abs(got-row.lambda) <= 2e-4) {
			t.Errorf("two decimals at %v: lambda %.6f, %v", row.lambda, got, err)
		}
	}
}

// What the MIT 2.61 script, as published for the course, gives with its own settings (CH1.87, K = 3.7), worked out from
// it by other means than this code: the forward model above is that of the script. The formula's 3.5 against 3.7 is
// worth up to 0.0044, a figure computed independently of this code.
func TestOutsideForwardModelIsThatOfTheScript(t *testing.T) {
	for _, row := range []struct{ lambda, co2, co, h2, o2, formula float64 }{
		{0.60, 5.22, 15.86, 8.89, 0, 0.5956},
		{0.70, 7.65, 11.77, 5.33, 0, 0},
		{1 / 1.3, 9.42, 8.93, 3.50, 0, 0},
		{0.80, 10.22, 7.68, 2.83, 0, 0.7975},
		{1 / 1.2, 11.08, 6.34, 2.18, 0, 0},
		{0.90, 12.80, 3.72, 1.13, 0, 0.8988},
		{0.95, 14.07, 1.83, 0.50, 0, 0.9494},
		{0.97, 14.56, 1.09, 0.29, 0, 0},
		{1.00, 15.30, 0, 0, 0, 1},
		{1.03, 14.82, 0, 0, 0.65, 1.03},
		{1.05, 14.52, 0, 0, 1.07, 1.05},
		{1.10, 13.82, 0, 0, 2.03, 1.10},
		{1 / 0.9, 13.67, 0, 0, 2.23, 1 / 0.9},
		{1.20, 12.60, 0, 0, 3.70, 1.20},
		{1.25, 12.07, 0, 0, 4.43, 1.25},
		{1.30, 11.58, 0, 0, 5.10, 1.30},
		{1.40, 10.71, 0, 0, 6.29, 1.40},
	} {
		g, h2 := burn(row.lambda, 1.87, 0, 3.7)
		if off := max(math.Abs(g.CO2-row.co2), math.Abs(g.CO-row.co), math.Abs(h2-row.h2), math.Abs(g.O2-row.o2)); !(off <= 0.0051) {
			t.Errorf("made at %v: %.3f, H2 %.3f, by the script %v", row.lambda, g, h2, row)
		}
		if row.formula == 0 { // not worked out for this row
			continue
		}
		if got, err := Lambda(g, Fuel{HC: 1.87, K1: 6e-4}); err != nil || !(math.Abs(got-row.formula) <= 0.51e-4) {
			t.Errorf("made at %v with K = 3.7: lambda %.5f, %v; want %v", row.lambda, got, err, row.formula)
		}
	}
}

// Worked examples of textbooks and exercises, none of which uses this formula. The tolerance is what the
// source's own rounding or neglect is worth, stated with each.
func TestOutsideWorkedExamples(t *testing.T) {
	for _, row := range []struct {
		source  string
		fuel    Fuel
		gas     Gas
		formula float64 // computed from the formula, independently of this code
		lambda  float64 // by the source's own method
		within  float64
	}{
		{"Rajput, Engineering Thermodynamics, ex. 11.29: benzole 88/12 by mass, printed A/F 18.5 over 14.19",
			Fuel{HC: 1.625}, Gas{CO2: 12, O2: 5.13}, 1.3040, 1.3036, 0.0007},
		{"FOSSEE Scilab textbook companion 2144, ex. 8.20 (carbon balance 11.84 over 14.97): C8H17 with CH4 0.3 % as HC; the formula leaves H2 3.3 to be inferred",
			Fuel{HC: 2.125, K1: 1e-4}, Gas{CO2: 9.9, CO: 7.2, HC: 3000}, 0.789, 0.791, 0.0025},
		{"exercise studyx 113369795: CH4, CO2 10.0, O2 2.37, CO 0.53, N2 87.10 (balance by N2): analysis rounded",
			Fuel{HC: 4}, Gas{CO2: 10, CO: 0.53, O2: 2.37}, 1.0925, 1.0999, 0.008},
		{"exercise tutorsglobe 51258905: C4H10, CO2 11.0, CO 1.0, O2 3.5, N2 84.5 (balance by N2): analysis rounded",
			Fuel{HC: 2.5}, Gas{CO2: 11, CO: 1, O2: 3.5}, 1.1441, 1.152, 0.0085},
		{"exercise tutorsglobe 5747203: wet, H2O 4.68, CO2 5.85, O2 12.3, H/C 1.60, phi 0.400; the formula takes wet or dry alike",
			Fuel{HC: 1.6}, Gas{CO2: 5.85, O2: 12.3}, 2.502, 2.5, 0.0025},
		{"Cengel and Boles, ch. 15, C8H18, printed 131 % air (from memory): N2 balance 1.3036",
			Fuel{HC: 2.25}, Gas{CO2: 10.02, CO: 0.88, O2: 5.62}, 1.2953, 1.3036, 0.009},
		{"Eastop-type exercise (askfilo), petrol 85/15 by mass, CO2 13.5, CO 1.81 solved for, printed strength 104 %: the source neglects H2",
			Fuel{HC: (15 / 1.008) / (85 / 12.011)}, Gas{CO2: 13.5, CO: 1.81}, 0.9485, 0.9615, 0.0135},
	} {
		got, err := Lambda(row.gas, row.fuel)
		if err != nil || !(math.Abs(got-row.formula) <= 0.51e-3) {
			t.Errorf("%s: lambda %.5f, %v; the formula gives %v", row.source, got, err, row.formula)
		}
		if !(math.Abs(got-row.lambda) <= row.within) {
			t.Errorf("%s: lambda %.5f, its own method %v within %v", row.source, got, row.lambda, row.within)
		}
	}
}

// Air drawn into the sample (20.9 % O2) raises lambda: computed from the formula of OIML R 99 / ISO 3930,
// independently of this code.
func TestOutsideDilution(t *testing.T) {
	for _, row := range []struct{ air, want float64 }{{0, 1.0047}, {0.05, 1.0553}, {0.10, 1.1116}} {
		s := 1 - row.air
		g := Gas{CO: 0.5 * s, CO2: 14.7 * s, O2: 0.5*s + 20.9*row.air, HC: 100 * s}
		if got, err := Lambda(g, Petrol); err != nil || !(math.Abs(got-row.want) <= 0.51e-4) {
			t.Errorf("%v air: lambda %.5f, %v; want %v", row.air, got, err, row.want)
		}
	}
}

// What an analyser's permissible error (class I, Directive 2004/22/EC, annex MI-010; from memory) moves lambda by: computed from the
// formula of OIML R 99 / ISO 3930, independently of this code, to four decimals.
func TestOutsideSensitivities(t *testing.T) {
	g := Gas{CO: 0.3, CO2: 14.9, O2: 0.3, HC: 50}
	at, d, err := LambdaGradient(g, Petrol)
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		step      Gas
		slope, by float64
		want      float64
		why       string
	}{
		{Gas{CO: 0.06}, d.CO, 0.06, -0.0017, "CO"},
		{Gas{CO2: 0.745}, d.CO2, 0.745, -0.0002, "CO2"},
		{Gas{HC: 12}, d.HC, 12, -0.0005, "HC"},
		{Gas{O2: 0.1}, d.O2, 0.1, 0.0046, "O2"},
	} {
		moved, err := Lambda(Gas{g.CO + row.step.CO, g.CO2 + row.step.CO2, g.O2 + row.step.O2, g.HC + row.step.HC}, Petrol)
		if err != nil || !(math.Abs(moved-at-row.want) <= 0.51e-4) {
			t.Errorf("%s: lambda moves by %.6f, %v; want %v", row.why, moved-at, err, row.want)
		}
		if math.Abs(row.slope*row.by-row.want) > 1e-4 { // the formula bends a little over the step
			t.Errorf("%s: the gradient gives %.6f, want %v", row.why, row.slope*row.by, row.want)
		}
	}
}

// The gradient against central differences of gonum (gonum.org/v1/gonum/diff/fd), another library's code.
func TestOutsideGradient(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for i := range 500 {
		g := Gas{CO: 0.1 + 8*r.Float64(), CO2: 4 + 12*r.Float64(), O2: 0.1 + 10*r.Float64(), HC: 10 + 2000*r.Float64()}
		if i < len(samples) {
			g = samples[i].gas
			g.CO, g.O2, g.HC = g.CO+0.01, g.O2+0.01, g.HC+1 // room for a step to either side
		}
		_, d, err := LambdaGradient(g, Petrol)
		if err != nil {
			t.Fatal(err)
		}
		x := []float64{g.CO, g.CO2, g.O2, g.HC / 1000} // like sizes, since fd takes one step for all
		got := fd.Gradient(nil, func(x []float64) float64 {
			l, err := Lambda(Gas{CO: x[0], CO2: x[1], O2: x[2], HC: 1000 * x[3]}, Petrol)
			if err != nil {
				t.Fatal(err)
			}
			return l
		}, x, &fd.Settings{Formula: fd.Central, Step: 1e-5})
		for j, want := range []float64{d.CO, d.CO2, d.O2, 1000 * d.HC} {
			if !(math.Abs(got[j]-want) <= 1e-6*(math.Abs(want)+1e-2)) {
				t.Errorf("at %v: derivative %d is %v, finite difference %v", g, j, want, got[j])
			}
		}
	}
}

// The propagated uncertainty against a Monte Carlo of the formula itself, which is what JCGM 101:2008 checks the
// law of propagation with (from memory). 200 000 draws know a standard deviation to 0.2 %; the readings are rectangular
// within the limits of class I (Directive 2004/22/EC, annex MI-010; from memory).
func TestOutsideUncertaintyAgainstMonteCarlo(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for _, g := range []Gas{{CO: 0.5, CO2: 14.7, O2: 0.5, HC: 100}, {CO: 3.5, CO2: 11.5, O2: 0.5, HC: 300}, {CO: 0.3, CO2: 13, O2: 2.8, HC: 60}} {
		limit := Gas{CO: max(0.06, 0.05*g.CO), CO2: max(0.5, 0.05*g.CO2), O2: max(0.1, 0.05*g.O2), HC: max(12, 0.05*g.HC)}
		_, u, err := Uncertain(g, Gas{limit.CO / math.Sqrt(3), limit.CO2 / math.Sqrt(3), limit.O2 / math.Sqrt(3), limit.HC / math.Sqrt(3)}, Petrol)
		if err != nil {
			t.Fatal(err)
		}
		const draws = 200000
		draw := func(value, limit float64) float64 { return value + limit*(2*r.Float64()-1) }
		var sum, squares float64
		for range draws {
			l, err := Lambda(Gas{draw(g.CO, limit.CO), draw(g.CO2, limit.CO2), draw(g.O2, limit.O2), draw(g.HC, limit.HC)}, Petrol)
			if err != nil {
				t.Fatal(err)
			}
			sum += l
			squares += l * l
		}
		mean := sum / draws
		got := math.Sqrt(squares/draws - mean*mean)
		if math.Abs(got-u) > 0.015*u { // 0.2 % of the draws and the formula's second order
			t.Errorf("at %v: uncertainty %.6f, Monte Carlo %.6f", g, u, got)
		}
	}
}
