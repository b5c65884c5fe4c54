package modelcar

import (
	"math"
	"testing"
)

// steps of severity that laws are tried at.
var steps = []float64{0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1}

// along gives the car at growing severities of one fault.
func along(t *testing.T, seed uint64, o Options, fault string, do func(severity float64, c *Car)) {
	for _, s := range steps {
		do(s, ill(t, seed, o, Fault{fault, s}))
	}
}

// A larger leak lets the valve shut until its stop and never raises its duty; at the stop the speed rises. So far
// it goes as long as the cycles fire: past a few in a hundred that do not, the engine wants more air again.
func TestLargerLeakLessDutyThenMoreSpeed(t *testing.T) {
	stops := 0
	bench(func(seed uint64) {
		duty, speed := 101.0, 0.0
		along(t, seed, Options{}, "unmeasured-air", func(size float64, c *Car) {
			s := c.atIdle()
			if s.lost > 0.02 {
				return
			}
			if s.duty > duty+0.02 {
				t.Errorf("seed %d, severity %v: duty rises from %.3f to %.3f %%", seed, size, duty, s.duty)
			}
			if s.duty <= c.p[dutyLeast] {
				stops++
				if s.speed < speed-0.1 {
					t.Errorf("seed %d, severity %v: speed falls from %.1f to %.1f at the stop", seed, size, speed, s.speed)
				}
			} else if math.Abs(s.speed-c.p[idleTarget]) > 0.01 {
				t.Errorf("seed %d, severity %v: %.2f /min although the valve is not at its stop", seed, size, s.speed)
			}
			duty, speed = s.duty, s.speed
		})
	})
	if stops == 0 {
		t.Error("no leak brought the valve to its stop")
	}
}

// The mean current rises with unmeasured air, and less at 2500/min as long as it is not at its end.
func TestLeakRaisesTheCurrentAndFades(t *testing.T) {
	bench(func(seed uint64) {
		for _, o := range []Options{{}, {Vehicle: "ostrel-2000"}} {
			before := sound(t, seed, o)
			current, raised := before.atIdle().current, before.state(before.raisedRoutine()).current
			sound, soundRaised := current, raised
			along(t, seed, o, "unmeasured-air", func(size float64, c *Car) {
				i, r := c.atIdle().current, c.state(c.raisedRoutine()).current
				if i < current-1e-4 || r < raised-1e-4 {
					t.Errorf("seed %d, severity %v: the current falls to %.3f and %.3f mA", seed, size, i, r)
				}
				if size > 0 && c.atIdle().mode == closed && r-soundRaised >= i-sound {
					t.Errorf("seed %d, severity %v: %.3f mA more at idle, %.3f at 2500/min", seed, size, i-sound, r-soundRaised)
				}
				current, raised = i, r
			})
		}
	})
}

// The mixture screw is a factor, so it moves the current alike at both speeds, and nothing else while the loop is
// closed.
func TestMixtureScrewIsAFactor(t *testing.T) {
	bench(func(seed uint64) {
		for _, fault := range []string{"mixture-set-rich", "mixture-set-lean"} {
			before := sound(t, seed, Options{})
			along(t, seed, Options{}, fault, func(size float64, c *Car) {
				s, r := c.atIdle(), c.state(c.raisedRoutine())
				if s.mode != closed || r.mode != closed {
					return
				}
				idle, raised := s.current-before.atIdle().current, r.current-before.state(before.raisedRoutine()).current
				if math.Abs(idle-raised) > 0.12 {
					t.Errorf("seed %d, %s %v: %.3f mA at idle, %.3f at 2500/min", seed, fault, size, idle, raised)
				}
				if math.Abs(s.duty-before.atIdle().duty) > 0.05 || math.Abs(s.mean-before.atIdle().mean) > 1e-4 {
					t.Errorf("seed %d, %s %v: the screw moves duty or lambda although the loop is closed", seed, fault, size)
				}
			})
		}
	})
}

// A dribble is an amount: the unit takes away less at 2500/min, and CO is lower there. CO and O2 are high together
// at lambda 1, because one cylinder is rich among lean ones.
func TestDribbleFadesAndIsUneven(t *testing.T) {
	bench(func(seed uint64) {
		healthy := sound(t, seed, Options{})
		c := ill(t, seed, Options{}, Fault{"injector-leaking", 0.7})
		idle, raised := c.atIdle().current-healthy.atIdle().current, c.state(c.raisedRoutine()).current-healthy.state(c.raisedRoutine()).current
		if !(idle < -1 && raised < 0 && raised > 0.7*idle) {
			t.Errorf("seed %d: %.2f mA at idle, %.2f at 2500/min", seed, idle, raised)
		}
		before, now, fast := healthy.gas(c.routine()), c.gas(c.routine()), c.gas(c.raisedRoutine())
		if !(now.CO > before.CO+0.5 && now.O2 > before.O2+0.5 && fast.CO < now.CO) {
			t.Errorf("seed %d: from %+v to %+v, at 2500/min %+v", seed, before, now, fast)
		}
		if lambda := c.atIdle().mean; math.Abs(lambda-1) > 0.02 {
			t.Errorf("seed %d: lambda %v", seed, lambda)
		}
		if v := c.oscillate(); !v.toggles {
			t.Errorf("seed %d: the signal does not toggle", seed)
		}
	})
}

// After the screw was set with a dribbling injector in place, the current reads its reference at idle and more at
// 2500/min, and the fault shows in the gas.
func TestJustSetHidesAtIdleOnly(t *testing.T) {
	bench(func(seed uint64) {
		c := ill(t, seed, Options{JustSet: true}, Fault{"injector-leaking", 0.6})
		if i := c.atIdle().current; math.Abs(i-c.p[currentReference]) > 0.01 {
			t.Errorf("seed %d: %.3f mA although it was just set", seed, i)
		}
		if r := c.state(c.raisedRoutine()).current; r < c.p[currentReference]+1 {
			t.Errorf("seed %d: %.2f mA at 2500/min", seed, r)
		}
		if g := c.gas(c.routine()); g.CO < 1.2 {
			t.Errorf("seed %d: CO %.2f %%", seed, g.CO)
		}
	})
}

// A weak pump is worse with demand.
func TestWeakPumpIsWorseWithDemand(t *testing.T) {
	worse := 0
	bench(func(seed uint64) {
		healthy := sound(t, seed, Options{})
		along(t, seed, Options{}, "fuel-supply-weak", func(size float64, c *Car) {
			idle, raised := c.atIdle(), c.state(c.raisedRoutine())
			lack := func(s *state) float64 { return c.p[systemPressure] - c.pressure(s.plate/airFuel) }
			if lack(raised) < lack(idle)-1e-12 {
				t.Errorf("seed %d, %v: lacks %.3f bar at idle, %.3f at 2500/min", seed, size, lack(idle), lack(raised))
			}
			if idle.current-healthy.atIdle().current > 0.5 && raised.current-healthy.state(c.raisedRoutine()).current > idle.current-healthy.atIdle().current {
				worse++
			}
		})
	})
	if worse < 25 {
		t.Errorf("the current rises more at 2500/min in %d cars only", worse)
	}
}

// A clogged injector and a missing spark leave air that the sensor takes for lean, so the loop makes the rest rich.
func TestOxygenOfOneCylinderEnrichesTheOthers(t *testing.T) {
	bench(func(seed uint64) {
		healthy := sound(t, seed, Options{})
		for _, fault := range []string{"injector-clogged", "ignition-misfire"} {
			c := ill(t, seed, Options{}, Fault{fault, 0.5})
			before, now := healthy.gas(c.routine()), c.gas(c.routine())
			if c.atIdle().current < healthy.atIdle().current+2 || now.CO < before.CO+0.2 || now.O2 < before.O2+0.2 || now.HC < before.HC {
				t.Errorf("seed %d, %s: from %+v to %+v", seed, fault, before, now)
			}
			open := ill(t, seed, Options{SensorUnplugged: true}, Fault{"ignition-misfire", 0.5})
			if g := open.gas(open.routine()); g.CO > 1.3 {
				t.Errorf("seed %d: CO %.2f %% in open loop", seed, g.CO)
			}
		}
	})
}

// Openings of air that is measured move the duty and not the mixture; drag and late timing raise the duty.
func TestIdleAirFaults(t *testing.T) {
	for _, row := range []struct {
		fault string
		sign  float64
	}{
		{"throttle-gummed", 1}, {"idle-screw-in", 1}, {"idle-screw-out", -1}, {"engine-drag", 1}, {"timing-late", 1}, {"timing-early", -1},
	} {
		bench(func(seed uint64) {
			healthy := sound(t, seed, Options{})
			last := 0.0
			along(t, seed, Options{}, row.fault, func(size float64, c *Car) {
				moved := row.sign * (c.atIdle().duty - healthy.atIdle().duty)
				if moved < last-1e-3 {
					t.Errorf("seed %d, %s %v: the duty turns back", seed, row.fault, size)
				}
				last = moved
				if d := c.atIdle().current - healthy.atIdle().current; math.Abs(d) > 0.6 {
					t.Errorf("seed %d, %s %v: the current moves by %.2f mA", seed, row.fault, size, d)
				}
			})
			if last < 4 {
				t.Errorf("seed %d, %s: the duty moves by %.2f %% only", seed, row.fault, last)
			}
		})
	}
}

// What enters by the breather or the purge shows only while its hose is on.
func TestHoses(t *testing.T) {
	bench(func(seed uint64) {
		for _, row := range []struct {
			fault string
			on    Options
			more  bool // current
		}{
			{"crankcase-air", Options{Breather: true}, true},
			{"fuel-in-oil", Options{Breather: true}, false},
			{"purge-open", Options{Purge: true}, false},
		} {
			healthy := sound(t, seed, Options{})
			off, on := ill(t, seed, Options{}, Fault{row.fault, 0.5}), ill(t, seed, row.on, Fault{row.fault, 0.5})
			if off.atIdle().current != healthy.atIdle().current || off.atIdle().duty != healthy.atIdle().duty {
				t.Errorf("seed %d: %s shows with the hose off", seed, row.fault)
			}
			if d := on.atIdle().current - off.atIdle().current; row.more && d < 1 || !row.more && d > -1 {
				t.Errorf("seed %d: %s moves the current by %.2f mA with the hose on", seed, row.fault, d)
			}
		}
	})
}

// Every single fault leaves an engine that runs, at every severity.
func TestSingleFaultsRun(t *testing.T) {
	for _, k := range FaultKinds {
		for seed := range uint64(12) {
			for _, s := range []float64{0.3, 0.6, 1} {
				for _, vehicle := range []string{"brackenby-1800", "ostrel-2000"} {
					c := ill(t, seed, Options{Vehicle: vehicle}, Fault{k.ID, s})
					if i := c.atIdle(); i.stalled || i.speed < 500 || i.lost > 0.5 {
						t.Errorf("seed %d, %s %v: %.0f /min, %.2f of the fuel lost", seed, k.ID, s, i.speed, i.lost)
					}
					if r := c.state(c.raisedRoutine()); !(r.lost < 0.6) {
						t.Errorf("seed %d, %s %v: at 2500/min %.2f of the fuel lost", seed, k.ID, s, r.lost)
					}
				}
			}
		}
	}
}

// A slow sensor stretches the cycle and widens the swing.
func TestSlowSensor(t *testing.T) {
	bench(func(seed uint64) {
		healthy, slow := sound(t, seed, Options{}).oscillate(), ill(t, seed, Options{}, Fault{"oxygen-sensor-slow", 0.6}).oscillate()
		if !(slow.rate < 0.6*healthy.rate && slow.high-slow.low > 1.5*(healthy.high-healthy.low)) {
			t.Errorf("seed %d: from %.2f to %.2f Hz, swing from %.1f to %.1f mA", seed, healthy.rate, slow.rate, healthy.high-healthy.low, slow.high-slow.low)
		}
	})
}

// A pump gives less pressure the more fuel is drawn, and none that it does not build up when nothing is drawn; while it
// has some to spare the pressure regulator holds its own (common practice, no source).
func TestPumpLosesPressureWithDemand(t *testing.T) {
	bench(func(seed uint64) {
		for _, c := range []*Car{sound(t, seed, Options{}), ill(t, seed, Options{}, Fault{"fuel-supply-weak", 0.8})} {
			at, still := c.pressure(0), c.pressure(0)
			for fuel := 1.0; fuel <= 40; fuel++ {
				now := c.pressure(fuel)
				if now > at {
					t.Errorf("seed %d: %v bar at %v g/s of fuel, %v at less", seed, now, fuel, at)
				}
				at = now
			}
			if at >= still {
				t.Errorf("seed %d: 40 g/s leave the pressure at %v bar", seed, at)
			}
		}
		if c := sound(t, seed, Options{}); c.pressure(0) != c.p[systemPressure] {
			t.Errorf("seed %d: %v bar with nothing drawn, the regulator holds %v", seed, c.pressure(0), c.p[systemPressure])
		}
	})
}
