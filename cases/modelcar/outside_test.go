package modelcar

import (
	"math"
	"testing"

	"culprit/engine/exhaust"
	"culprit/engine/quantity"
)

// Choked flow: G = p0 sqrt(γ/(R T0)) (2/(γ+1))^((γ+1)/(2(γ-1))) with γ = 1.4, R = 287.05 J/(kg K), computed apart
// from the formula of compressible flow (NASA Glenn Research Center, "Mass flow choking"; from memory. Fliegner's
// constant, 0.532 in lbm/s, in², psia and degrees Rankine, is the same; from memory).
func TestOutsideChokedFlow(t *testing.T) {
	for _, row := range []struct{ p, temperature, want float64 }{
		{101.325, 288.15, 0.24124},
		{101.325, 293, 0.23923},
		{101.325, 298.15, 0.23716},
		{100, 300, 0.23334},
	} {
		for _, behind := range []float64{0, 20, 0.52 * row.p} {
			if got := orifice(row.p, row.temperature, behind); !(math.Abs(got-row.want) <= 0.6e-5) {
				t.Errorf("%v kPa, %v K to %v kPa: %.6f g/s a mm², want %v", row.p, row.temperature, behind, got, row.want)
			}
		}
	}
	// Critical ratio (2/(γ+1))^(γ/(γ-1)) = 0.5283: any text on compressible flow (from memory), computed apart.
	if want := math.Pow(2/2.4, 3.5); !(math.Abs(critical-want) <= 5e-6) {
		t.Errorf("critical ratio %v, want %v", critical, want)
	}
}

// Subsonic flow as a fraction of the choked, computed apart from the formula of compressible flow.
func TestOutsideSubsonicFlow(t *testing.T) {
	for _, row := range []struct{ ratio, want float64 }{
		{0.99, 0.2054}, {0.95, 0.4493}, {0.9, 0.6171}, {0.85, 0.7328}, {0.8, 0.8188}, {0.75, 0.8838}, {0.7, 0.9322},
		{0.65, 0.9666}, {0.6, 0.9886}, {0.55, 0.9990},
	} {
		if got := orifice(100, 300, 100*row.ratio) / orifice(100, 300, 0); !(math.Abs(got-row.want) <= 0.6e-4) {
			t.Errorf("at %v of the pressure %.5f of the choked flow, want %v", row.ratio, got, row.want)
		}
	}
	if orifice(100, 300, 100) != 0 || orifice(100, 300, 120) != 0 {
		t.Error("air flows without a difference of pressures")
	}
}

// Exhaust of CH1.87 with K = 3.7 and 3.773 N2 for each O2, dry, in % of volume: what a course script (MIT OpenCourseWare
// 2.61 "Internal Combustion Engines", spring 2017, related resources) gives with its own settings, worked out from it by
// other means than this code.
func TestOutsideExhaustComposition(t *testing.T) {
	fuel := exhaust.Fuel{HC: 1.87}
	for _, row := range []struct{ lambda, co2, co, h2, o2 float64 }{
		{0.60, 5.22, 15.86, 8.89, 0}, {0.70, 7.65, 11.77, 5.33, 0}, {0.80, 10.22, 7.68, 2.83, 0}, {0.90, 12.80, 3.72, 1.13, 0},
		{0.95, 14.07, 1.83, 0.50, 0}, {0.97, 14.56, 1.09, 0.29, 0}, {1, 15.30, 0, 0, 0}, {1.03, 14.82, 0, 0, 0.65},
		{1.05, 14.52, 0, 0, 1.07}, {1.10, 13.82, 0, 0, 2.03}, {1.20, 12.60, 0, 0, 3.70}, {1.40, 10.71, 0, 0, 6.29},
	} {
		p := burn(row.lambda, fuel, 3.7)
		g := p.dry()
		h2 := 100 * p.H2 / (p.CO2 + p.CO + p.H2 + p.O2 + p.N2)
		for _, x := range []struct {
			gas       string
			got, want float64
		}{{"CO2", g.CO2, row.co2}, {"CO", g.CO, row.co}, {"H2", h2, row.h2}, {"O2", g.O2, row.o2}} {
			if !(math.Abs(x.got-x.want) <= 0.0051) {
				t.Errorf("lambda %v: %.3f %% %s, want %v", row.lambda, x.got, x.gas, x.want)
			}
		}
	}
}

// The constant of the water-gas equilibrium: the burnt gas has the one it was burned with, and 3.5 belongs to 1741
// K by the fit of Ferguson 1986, "Internal Combustion Engines", ln K = 2.743 - 1.761/t - 1.611/t² + 0.2803/t³ with t in
// 1000 K (read in a public port of the book's routines; title and year from memory). The 3.5 itself: Spindt 1965, SAE
// paper 650507.
func TestOutsideWaterGas(t *testing.T) {
	for lambda := 0.6; lambda < 0.999; lambda += 0.05 {
		p := burn(lambda, exhaust.Petrol, waterGas)
		if k := p.CO * p.H2O / (p.CO2 * p.H2); !(math.Abs(k-waterGas) <= 1e-9) {
			t.Errorf("lambda %.2f: K is %v", lambda, k)
		}
	}
	at := 1.741
	if k := math.Exp(2.743 - 1.761/at - 1.611/(at*at) + 0.2803/(at*at*at)); !(math.Abs(k-waterGas) <= 0.005) {
		t.Errorf("at 1741 K the constant is %v", k)
	}
}

// Zirconia sensor, E = RT/4F ln(p/p), computed apart with 0.2095 of oxygen in air and R and F of the SI (CODATA 2018,
// from memory); rich by the free energies of CO + O2/2 = CO2 (JANAF Thermochemical Tables, 3rd edition 1985: log10 K
// 11.859, 10.217, 8.876, 7.760 at 900 to 1200 K; from memory).
func TestOutsideNernst(t *testing.T) {
	for _, row := range []struct{ celsius, decade, five, one, tenth float64 }{
		{350, 30.91, 19.2, 40.8, 71.8}, {400, 33.39, 20.8, 44.1, 77.5}, {500, 38.35, 23.9, 50.7, 89.0},
		{600, 43.31, 26.9, 57.2, 100.5}, {700, 48.27, 30.0, 63.8, 112.1}, {800, 53.23, 33.1, 70.3, 123.6}, {900, 58.20, 36.2, 76.9, 135.1},
	} {
		at := row.celsius + 273.15
		for _, x := range []struct{ oxygen, want float64 }{{0.05, row.five}, {0.01, row.one}, {0.001, row.tenth}} {
			if got := 1000 * nernst(at, x.oxygen); !(math.Abs(got-x.want) <= 0.051) {
				t.Errorf("%v °C, %v atm: %.2f mV, want %v", row.celsius, x.oxygen, got, x.want)
			}
		}
		if got := 1000 * (nernst(at, 0.001) - nernst(at, 0.01)); !(math.Abs(got-row.decade) <= 0.006) {
			t.Errorf("%v °C: %.3f mV a decade, want %v", row.celsius, got, row.decade)
		}
	}
	for _, row := range []struct{ kelvin, log, one, two, four float64 }{
		{900, 11.859, 925, 954, 984}, {1000, 10.217, 865, 897, 931}, {1100, 8.876, 805, 840, 878}, {1200, 7.760, 745, 784, 825},
	} {
		if got := math.Log10(burnCO(row.kelvin)); !(math.Abs(got-row.log) <= 0.003) {
			t.Errorf("%v K: log10 K %.4f, want %v", row.kelvin, got, row.log)
		}
		for _, x := range []struct{ ratio, want float64 }{{1 / 14.5, row.one}, {2 / 13.8, row.two}, {4 / 12.5, row.four}} {
			p := 1 / (x.ratio * burnCO(row.kelvin))
			if got := 1000 * nernst(row.kelvin, p*p); !(math.Abs(got-x.want) <= 1.5) {
				t.Errorf("%v K, CO/CO2 %.3f: %.1f mV, want %v", row.kelvin, x.ratio, got, x.want)
			}
		}
	}
}

// The oxygen left on the sensor joins both ends: what is left over when lean, (CO2/(CO K))² when rich (closed form).
func TestOutsideOxygenOnTheSensor(t *testing.T) {
	const at = 900
	for _, lambda := range []float64{1.01, 1.05, 1.3} {
		p := burn(lambda, exhaust.Petrol, waterGas)
		want := p.O2 / (1 + exhaust.Petrol.HC/2 + p.N2)
		if got := oxygenAt(lambda, at); !(math.Abs(got/want-1) <= 1e-4) {
			t.Errorf("lambda %v leaves %v atm, want %v", lambda, got, want)
		}
	}
	for _, lambda := range []float64{0.99, 0.9, 0.8} {
		// All that is short of oxygen counted as CO, of all that could be.
		short := 2 * (1 - lambda) * need(exhaust.Petrol) / (1 + exhaust.Petrol.HC/2)
		want := 1 / (short * burnCO(at)) * 1 / (short * burnCO(at))
		if got := oxygenAt(lambda, at); !(math.Abs(got/want-1) <= 1e-3) {
			t.Errorf("lambda %v leaves %v atm, want %v", lambda, got, want)
		}
	}
}

// A meter on the wrong scale: degrees of dwell are duty times 360 over the cylinders of the scale (the German
// encyclopaedia article "Schließwinkel"), so a reading of one scale taken for another is out by the ratio of the
// two.
func TestOutsideDwellOnTheWrongScale(t *testing.T) {
	ratios := map[float64]bool{}
	for _, is := range []string{"4", "6", "8"} {
		for _, taken := range []string{"4", "6", "8"} {
			q, err := quantity.Parse("10 deg dwell" + is)
			if err != nil {
				t.Fatal(err)
			}
			other, err := quantity.Parse("10 deg dwell" + taken)
			if err != nil {
				t.Fatal(err)
			}
			percent, _ := quantity.ParseUnit("%")
			a, err := q.In(percent)
			if err != nil {
				t.Fatal(err)
			}
			b, err := other.In(percent)
			if err != nil {
				t.Fatal(err)
			}
			ratios[math.Round(1e6*b.Value/a.Value)] = true
		}
	}
	for seed := range uint64(40) {
		c, err := Draw(seed, []Fault{{"meter-on-wrong-scale", 1}}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if r := 1 + c.flaw.scale; r == 1 || !ratios[math.Round(1e6*r)] {
			t.Errorf("seed %d: a factor of %v is that of no two scales", seed, r)
		}
	}
}

// The coolant sensor against workshop data sheets of four makes, whose names are left out since no make is named here:
// bands in kohm that hold what all four print.
func TestOutsideCoolantSensor(t *testing.T) {
	c := sound(t, 1, Options{})
	c.p[thermistor20], c.p[thermistorB] = Parameters[thermistor20].Value, Parameters[thermistorB].Value
	for _, row := range []struct{ celsius, from, to float64 }{
		{20, 2.1, 2.9}, {40, 1.0, 1.3}, {60, 0.54, 0.67}, {80, 0.295, 0.365}, {90, 0.23, 0.26}, {100, 0.16, 0.19},
	} {
		got := c.thermistor(row.celsius)
		if got < row.from || got > row.to {
			t.Errorf("%v °C: %.3f kohm, want %v to %v", row.celsius, got, row.from, row.to)
		}
		if back := c.thermistorReads(got); !(math.Abs(back-row.celsius) <= 1e-9) {
			t.Errorf("%v °C comes back as %v", row.celsius, back)
		}
	}
}

// Stoichiometric air for petrol as CHy, 34.56 (4+y)/(12.011+1.008 y) by mass: Heywood 1988, equation 3.6 (from
// memory).
func TestOutsideStoichiometricAir(t *testing.T) {
	for _, y := range []float64{1.7261, 1.8, 1.85, 1.87, 2.25} {
		want := 34.56 * (4 + y) / (12.011 + 1.008*y)
		if got := stoichiometric(exhaust.Fuel{HC: y}); !(math.Abs(got/want-1) <= 5e-4) {
			t.Errorf("CH%v: %.3f, want %.3f", y, got, want)
		}
	}
}

// The relay that moves the current at one rate, up while it sees lean and down while rich, seeing what was a delay
// ago: the current runs on for the delay after each crossing, so the period is four delays and the swing twice the
// rate times the delay (closed form).
func TestOutsideLimitCycle(t *testing.T) {
	c := sound(t, 5, Options{})
	c.p[sensorLag], c.p[loopNoise] = 1e-6, 0
	c.p[loopDelay], c.p[loopRate] = 0.5, 3
	g := c.oscillate()
	// The crossing is noticed a sample late on either side.
	if want := 1 / (4 * (0.5 + sampleEvery)); !(math.Abs(g.rate/want-1) <= 0.12) {
		t.Errorf("%.3f Hz, want %.3f", g.rate, want)
	}
	if want := 2 * 3 * (0.5 + sampleEvery); !(math.Abs((g.high-g.low)/want-1) <= 0.12) {
		t.Errorf("a swing of %.2f mA, want %.2f", g.high-g.low, want)
	}
}

// Fuel through the slits goes as the square root of the pressure difference (Bernoulli's equation): four times the difference,
// twice the fuel.
func TestOutsideSquareRootLaw(t *testing.T) {
	c := sound(t, 2, Options{})
	one := c.metered(when{}, 2, c.p[currentReference])
	c.p[pumpStall], c.p[injectorOpening] = 50, 1 // so that nothing else limits
	four := c.metered(when{}, 2, c.p[currentReference]+3*c.p[pressureReference]/c.p[pressurePerCurrent])
	if !(math.Abs(four/one-2) <= 1e-9) {
		t.Errorf("four times the difference gives %v times the fuel", four/one)
	}
}

// One measured exhaust (FOSSEE Scilab textbook companion 2144, example 8.20): C8H17 burnt at a carbon balance of 0.791 gave
// 9.9 % CO2, 7.2 % CO, 3.3 % H2 and 0.3 % CH4. The model has no methane and an engine is no equilibrium, so the
// agreement is to a tenth of each, and of H2 for each CO to a tenth too.
func TestOutsideMeasuredExhaust(t *testing.T) {
	p := burn(0.791, exhaust.Fuel{HC: 2.125}, waterGas)
	g := p.dry()
	h2 := g.CO * p.H2 / p.CO
	for _, x := range []struct {
		what      string
		got, want float64
	}{{"CO2", g.CO2, 9.9}, {"CO", g.CO, 7.2}, {"H2", h2, 3.3}, {"H2/CO", p.H2 / p.CO, 3.3 / 7.2}} {
		if !(math.Abs(x.got/x.want-1) <= 0.1) {
			t.Errorf("%s: %.3f, measured %.3f", x.what, x.got, x.want)
		}
	}
}
