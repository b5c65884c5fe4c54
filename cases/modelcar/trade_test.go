package modelcar

import "testing"

// signs are what a car shows, against the same car without its fault.
type signs struct {
	duty, trim, trim2500, speed      float64 // moved by, %, mA, mA, /min
	co, o2, hc, co2500               float64 // moved by, %, %, ppm, %
	volts, rich                      float64 // V, mean and forced rich
	difference, pressure, rest, pump float64 // bar, bar, bar, mL
	lambda                           float64
	swing, rate, dip, answer         float64 // mA, Hz, /min, mA on grounding
	follows, toggles                 bool
	c                                *Car
}

func signsOf(healthy, c *Car) signs {
	exact := func(c *Car, id string) float64 {
		for _, n := range numbers {
			if n.id == id {
				return n.of(c)
			}
		}
		panic("no reading " + id)
	}
	moved := func(id string) float64 { return exact(c, id) - exact(healthy, id) }
	s := signs{
		duty: moved("valve_duty"), trim: moved("regulator_current"), trim2500: moved("regulator_current_2500"), speed: moved("idle_speed"),
		co: moved("co"), o2: moved("o2"), hc: moved("hc"), co2500: moved("co_2500"),
		volts: exact(c, "sensor_volts"), rich: exact(c, "sensor_volts_forced_rich"),
		difference: exact(c, "system_pressure") - exact(c, "lower_pressure"), pressure: exact(c, "system_pressure"),
		rest: exact(c, "rest_pressure_10min"), pump: exact(c, "pump_delivery"),
		lambda: c.atIdle().mean, swing: exact(c, "regulator_swing"), rate: exact(c, "sensor_switch_rate"),
		dip:     exact(c, "idle_speed") - exact(c, "idle_speed_consumers_on"),
		answer:  exact(c, "current_sensor_grounded") - exact(c, "regulator_current"),
		toggles: c.oscillate().toggles, c: c,
	}
	s.follows = c.flaw.stuckDifference == 0 && !c.flaw.regulatorOpen
	return s
}

// What the trade says of every fault, loop closed and warm unless a hose says otherwise: common practice, no source. Of 20
// cars with a fault that is well marked, 18 show it.
func TestOutsideSignsOfCommonPractice(t *testing.T) {
	hosesOn := Options{Breather: true, Purge: true}
	still := func(x, within float64) bool { return x > -within && x < within }
	for _, row := range []struct {
		fault    string
		severity float64
		o        Options
		says     string
		so       func(s signs) bool
	}{
		{"unmeasured-air", 0.4, Options{}, "low duty, adding, fades, gas normal", func(s signs) bool {
			return s.duty < -3 && s.trim > 2 && s.trim2500 < s.trim-1 && still(s.co, 0.1) && still(s.speed, 1)
		}},
		{"unmeasured-air", 0.75, Options{}, "past the authority: lean, O2 high, signal low, speed high", func(s signs) bool {
			return s.co < -0.3 && s.o2 > 0.5 && s.volts < 0.2 && s.speed > 1
		}},
		{"crankcase-air", 0.4, Options{Breather: true}, "as a leak while the breather is connected", func(s signs) bool { return s.duty < -3 && s.trim > 2 }},
		{"throttle-gummed", 0.6, Options{}, "high duty, the rest normal", func(s signs) bool { return s.duty > 5 && still(s.trim, 0.3) && still(s.co, 0.1) }},
		{"idle-screw-in", 0.6, Options{}, "high duty, the rest normal", func(s signs) bool { return s.duty > 5 && still(s.trim, 0.3) && still(s.co, 0.1) }},
		{"idle-screw-out", 1, Options{}, "duty at its stop, speed high", func(s signs) bool { return s.duty < -15 && s.speed > 20 && still(s.trim, 0.3) }},
		{"idle-valve-sticking", 0.8, Options{}, "duty far off, does not answer consumers", func(s signs) bool { return !still(s.duty, 10) && s.dip > 50 }},
		{"idle-valve-circuit", 1, Options{}, "duty 0 or 100, speed off", func(s signs) bool {
			d := s.c.atIdle().duty
			return (d == 0 || d == 100) && !still(s.speed, 40) && still(s.trim, 0.5)
		}},
		{"idle-switch-open", 1, Options{}, "duty does not regulate, speed off", func(s signs) bool {
			return s.c.atIdle().duty == s.c.p[dutyDefault] && !still(s.speed, 20) && s.dip > 50
		}},
		{"air-plate-binding", 0.6, Options{}, "trim either way, duty normal", func(s signs) bool { return !still(s.trim, 3) && still(s.duty, 1) }},
		{"plate-signal-worn", 1, Options{}, "all normal when steady", func(s signs) bool { return still(s.trim, 0.1) && still(s.duty, 0.1) && still(s.co, 0.01) }},
		{"engine-drag", 0.6, Options{}, "high duty", func(s signs) bool { return s.duty > 5 && still(s.trim, 0.3) }},
		{"timing-late", 0.6, Options{}, "high duty, HC low", func(s signs) bool { return s.duty > 5 && s.hc < -10 && s.c.timing(when{}) < 6 }},
		{"timing-early", 0.6, Options{}, "low duty, HC up", func(s signs) bool { return s.duty < -3 && s.hc > 10 && s.c.timing(when{}) > 14 }},
		{"mixture-set-rich", 0.6, Options{}, "taking away, the same at 2500", func(s signs) bool {
			return s.trim < -4 && still(s.trim-s.trim2500, 0.3) && still(s.duty, 0.5) && still(s.co, 0.1)
		}},
		{"mixture-set-rich", 0.6, Options{SensorUnplugged: true}, "rich in open loop", func(s signs) bool { return s.co > 1.5 && still(s.trim, 0.1) }},
		{"mixture-set-lean", 0.6, Options{}, "adding, the same at 2500", func(s signs) bool { return s.trim > 4 && still(s.trim-s.trim2500, 0.3) && still(s.co, 0.1) }},
		{"mixture-set-lean", 0.6, Options{SensorUnplugged: true}, "lean in open loop", func(s signs) bool { return s.co < -0.3 && s.o2 > 0.5 }},
		{"injector-leaking", 0.7, Options{}, "duty a little high, taking away, CO and O2 both high, lambda 1, HC up, rest pressure lost", func(s signs) bool {
			return s.duty > 0.5 && s.trim < -4 && s.co > 0.5 && s.o2 > 0.3 && s.hc > 10 && still(s.lambda-1, 0.02) && s.rest < 2.6 && s.co2500 < s.co
		}},
		{"injector-clogged", 0.7, Options{}, "duty high, adding, O2 and HC high", func(s signs) bool { return s.duty > 1 && s.trim > 3 && s.o2 > 0.5 && s.hc > 20 }},
		{"regulator-stuck-rich", 0.6, Options{}, "taking away at its end, rich, signal high, difference high", func(s signs) bool {
			return s.trim < -12 && s.co > 2 && s.volts > 0.7 && s.difference > 0.5 && !s.follows
		}},
		{"regulator-stuck-lean", 0.6, Options{}, "adding at its end, lean, signal low, difference low", func(s signs) bool {
			return s.trim > 12 && s.co < -0.3 && s.o2 > 1 && s.volts < 0.2 && s.difference < 0.35 && !s.follows && s.duty > 2
		}},
		{"regulator-circuit-open", 1, Options{}, "exactly no current", func(s signs) bool { return s.c.atIdle().current == 0 && s.lambda > 1.05 && !s.follows }},
		{"fuel-supply-weak", 0.8, Options{}, "adding, worse at 2500, pressure and delivery low", func(s signs) bool {
			return s.trim > 0.5 && s.trim2500 > s.trim && s.pressure < 5.2 && s.pump < 850
		}},
		{"system-pressure-high", 0.6, Options{}, "taking away, pressure high", func(s signs) bool { return s.trim < -2 && s.pressure > 5.6 }},
		{"rest-pressure-lost", 0.6, Options{}, "running normal, rest pressure low", func(s signs) bool { return s.rest < 2 && still(s.trim, 0.1) }},
		{"cold-start-valve-leaking", 0.5, Options{}, "taking away, fades, CO high, rest pressure lost", func(s signs) bool {
			return s.trim < -3 && s.trim2500 > s.trim+2 && s.co > 0.05 && s.rest < 2.6
		}},
		{"plunger-sticking", 1, Options{}, "erratic: trim unlike at both speeds", func(s signs) bool { return !still(s.trim, 0.4) || !still(s.trim2500, 0.4) }},
		{"fuel-in-oil", 0.6, Options{Breather: true}, "taking away with the breather connected", func(s signs) bool { return s.trim < -5 }},
		{"fuel-in-oil", 1, Options{}, "normal with the breather vented", func(s signs) bool { return still(s.trim, 0.01) && still(s.co, 0.01) }},
		{"purge-open", 0.5, Options{Purge: true}, "taking away with the hose on", func(s signs) bool { return s.trim < -5 }},
		{"purge-open", 1, Options{Purge: true}, "CO high with the hose on, past the authority", func(s signs) bool { return s.co > 1 }},
		{"oxygen-sensor-dead", 1, Options{}, "no toggling, under 0.6 V forced rich; flat low at its end and rich, or flat middle and steady", func(s signs) bool {
			low := s.volts < 0.2 && s.trim > 12 && s.co > 2
			middle := s.volts > 0.4 && s.volts < 0.5 && still(s.trim, 1.5)
			return !s.toggles && s.rich < 0.6 && (low || middle)
		}},
		{"oxygen-sensor-slow", 0.6, Options{}, "slower than 0.5 Hz, wide swing", func(s signs) bool { return s.rate < 0.5 && s.swing > 6 }},
		{"oxygen-sensor-wire-open", 1, Options{}, "0.45 V, no swing, no answer to grounding, the sensor itself lives", func(s signs) bool {
			return still(s.volts-0.45, 0.01) && s.swing == 0 && still(s.answer, 0.01) && s.rich > 0.7
		}},
		{"exhaust-leak-before-sensor", 0.6, Options{}, "adding, truly rich", func(s signs) bool { return s.trim > 3 && s.co > 1 && s.lambda < 0.96 }},
		{"coolant-sensor-reads-cold", 0.6, Options{}, "duty high, adding although truly rich, steady", func(s signs) bool {
			return s.duty > 3 && s.trim > 5 && s.co > 2 && !s.toggles && s.swing == 0 && s.c.coolantOhms() > 0.5
		}},
		{"coolant-sensor-reads-hot", 0.6, Options{}, "warm it is normal, ohms low", func(s signs) bool { return still(s.trim, 0.01) && s.c.coolantOhms() < 0.2 }},
		{"ignition-misfire", 0.6, Options{}, "duty high, adding, HC very high, O2 high, CO high in the loop", func(s signs) bool {
			return s.duty > 2 && s.trim > 3 && s.hc > 1000 && s.o2 > 0.7 && s.co > 0.5
		}},
		{"ignition-misfire", 0.6, Options{SensorUnplugged: true}, "CO normal in open loop", func(s signs) bool { return s.co < 0.1 && s.hc > 1000 }},
		{"compression-low", 0.7, Options{}, "duty high, adding a little, HC and O2 up", func(s signs) bool {
			return s.duty > 3 && s.trim > 0.3 && s.trim < 4 && s.hc > 100 && s.o2 > 0.05
		}},
		{"sample-diluted", 0.5, hosesOn, "CO and CO2 low together, O2 high, the signal toggles", func(s signs) bool {
			g := s.c.gas(s.c.routine())
			_, lambda, err := s.c.Lambda(false)
			return g.CO+g.CO2 < 13.3 && s.o2 > 2 && lambda > 1.08 && err == nil && s.toggles && still(s.trim, 0.01)
		}},
		{"meter-on-wrong-scale", 1, Options{}, "duty out, all else normal", func(s signs) bool { return !still(s.duty, 8) && still(s.speed, 0.01) && still(s.trim, 0.01) }},
		{"control-unit", 1, Options{}, "no answer to grounding", func(s signs) bool { return still(s.answer, 0.01) && !s.toggles }},
	} {
		shown := 0
		for seed := range uint64(20) {
			c := ill(t, seed, row.o, Fault{row.fault, row.severity})
			if row.so(signsOf(sound(t, seed, row.o), c)) {
				shown++
			}
		}
		if shown < 18 {
			s := signsOf(sound(t, 0, row.o), ill(t, 0, row.o, Fault{row.fault, row.severity}))
			s.c = nil
			t.Errorf("%s, severity %v: %s, in %d of 20 cars; such as %+v", row.fault, row.severity, row.says, shown, s)
		}
	}
}

// A sound car answers: the current rises when the wire is grounded, the speed dips by less than 50 /min when the consumers come on
// (common practice, no source).
func TestOutsideSoundCarAnswers(t *testing.T) {
	bench(func(seed uint64) {
		c := sound(t, seed, Options{})
		s := signsOf(c, c)
		if s.answer < 4 || s.dip < 3 || s.dip > 50 || s.rich < 0.8 || !s.follows {
			s.c = nil
			t.Errorf("seed %d: %+v", seed, s)
		}
	})
}

// The ideal filling: with the manifold at the pressure outside, the swept volume fills with charge of its temperature and nothing comes of
// the clearance (closed form). One pressure belongs to one amount.
func TestOutsideIdealFilling(t *testing.T) {
	c := sound(t, 1, Options{})
	density := 1000 * c.p[ambient] / (airGas * c.p[chargeTemperature]) // kg/m³, or g/L
	want := c.p[breathing] * density * c.p[displacement] * 3000 / 120
	if got := c.cylinders(3000, c.p[ambient]); got < want*(1-1e-12) || got > want*(1+1e-12) {
		t.Errorf("%v g/s, want %v", got, want)
	}
	// Heywood 1988, equation 5.38 (from memory), at half the pressure outside.
	gamma, r := c.p[isentropic], c.p[compressionRatio]
	eta := r/(r-1) - (2+gamma-1)/(gamma*(r-1))
	if got := c.cylinders(3000, c.p[ambient]/2) / (want / 2); got < eta-1e-12 || got > eta+1e-12 {
		t.Errorf("a filling of %v at half the pressure, want %v", got, eta)
	}
	for _, p := range []float64{20, 50, 90} {
		if back := c.manifoldFor(900, c.cylinders(900, p)); back < p-1e-9 || back > p+1e-9 {
			t.Errorf("%v kPa comes back as %v", p, back)
		}
	}
}

// An engine pulls best with a mixture of lambda near 0.9, and less with both richer and leaner ones; lean, it pulls as the
// fuel that is left (Heywood 1988, 15.3.3, from memory).
func TestOutsideBestTorqueIsRich(t *testing.T) {
	best := 1.0
	for lambda := 0.7; lambda <= 1.3; lambda += 0.005 {
		if torque(lambda) > torque(best) {
			best = lambda
		}
	}
	if best < 0.86 || best > 0.95 {
		t.Errorf("the best torque is at lambda %v", best)
	}
	if a, b, c := torque(1), torque(1.1), torque(1.2); a <= b || b <= c || b < 1/1.1 || c < 1/1.2 {
		t.Errorf("torque at lambda 1, 1.1 and 1.2: %v, %v, %v", a, b, c)
	}
	if before, after := torque(1-1e-9), torque(1+1e-9); before-after > 1e-8 || after-before > 1e-8 {
		t.Errorf("a step at lambda 1: %v and %v", before, after)
	}
}

// A sound engine misses fewer cycles at 2500/min than at idle, where much burnt gas is left in the charge (common practice,
// no source).
func TestOutsideMissesFewerAtSpeed(t *testing.T) {
	bench(func(seed uint64) {
		c := sound(t, seed, Options{})
		idle, raised := c.missing(c.routine(), 0, 1), c.missing(c.raisedRoutine(), 0, 1)
		if !(raised > 0 && raised < idle) {
			t.Errorf("seed %d: %v of the cycles at 2500/min, %v at idle", seed, raised, idle)
		}
	})
}

// What the loop takes lambda to change by with the current is what the whole charge changes by, whose fuel goes as the root
// of the difference (Bernoulli's equation); by finite differences.
func TestOutsideLambdaPerCurrent(t *testing.T) {
	bench(func(seed uint64) {
		c := sound(t, seed, Options{})
		s := c.atIdle()
		at := func(current float64) float64 { return c.charged(c.routine(), s.air, s.plate, current).mean }
		want := (at(s.current+0.01) - at(s.current-0.01)) / 0.02
		if got := c.lambdaPerCurrent(s.current); !(got < 0 && got/want > 0.98 && got/want < 1.02) {
			t.Errorf("seed %d: %v a mA, the charge changes by %v", seed, got, want)
		}
	})
	if c := ill(t, 1, Options{}, Fault{"regulator-stuck-rich", 0.6}); c.lambdaPerCurrent(10) != 0 {
		t.Errorf("a stuck regulator follows its current by %v", c.lambdaPerCurrent(10))
	}
}

// Injectors open by pressure alone: at their opening pressure and below nothing comes out, a little above it less than the
// slits let through (common practice, no source).
func TestOutsideInjectorsOpenByPressure(t *testing.T) {
	bench(func(seed uint64) {
		c := sound(t, seed, Options{})
		open, full := c.p[injectorOpening], c.supply(c.p[systemPressure], 0.4)
		for _, p := range []float64{0, open - 1, open} {
			if got := c.supply(p, 0.4); got != 0 {
				t.Errorf("seed %d: %v of the fuel at %v bar, injectors open at %v", seed, got, p, open)
			}
		}
		if a, b := c.supply(open+0.05, 0.4), c.supply(open+0.2, 0.4); !(a > 0 && a < b && b < full) {
			t.Errorf("seed %d: %v and %v of the fuel just above the opening pressure, %v at %v bar", seed, a, b, full, c.p[systemPressure])
		}
	})
}

// A cylinder that is low on compression leaves more of its fuel unburnt, in the cycles that fire too (common practice, no
// source).
func TestOutsideLowCompressionBurnsLess(t *testing.T) {
	bench(func(seed uint64) {
		healthy, low := sound(t, seed, Options{}), ill(t, seed, Options{}, Fault{"compression-low", 0.7})
		worse := 0
		for i := range 4 {
			a, b := healthy.unburnt(healthy.routine(), i, 1), low.unburnt(low.routine(), i, 1)
			if b > a {
				worse++
			}
			if (b > a) != (low.flaw.lowCylinder[i] > 0) {
				t.Errorf("seed %d, cylinder %d: %v unburnt, %v before", seed, i, b, a)
			}
		}
		if worse == 0 {
			t.Errorf("seed %d: no cylinder leaves more unburnt", seed)
		}
	})
}
