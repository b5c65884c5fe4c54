package modelcar

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"culprit/engine/exhaust"
)

// everyCar gives every kind of fault alone, mild and severe, some in pairs, and a hundred cars with up to five faults
// at random, in all circumstances.
func everyCar(t *testing.T, do func(name string, c *Car)) {
	t.Helper()
	all := Options{Breather: true, Purge: true}
	for i, k := range FaultKinds {
		for _, s := range []float64{0.3, 1} {
			for _, o := range []Options{{}, all, {SensorUnplugged: true}, {JustSet: true, Vehicle: "ostrel-2000"}, {Coolant: 20}} {
				do(k.ID, ill(t, uint64(i), o, Fault{k.ID, s}))
			}
		}
		other := FaultKinds[(i*7+3)%len(FaultKinds)]
		if other.ID != k.ID {
			do(k.ID+" and "+other.ID, ill(t, uint64(i), all, Fault{k.ID, 0.6}, Fault{other.ID, 0.8}))
		}
	}
	r := rand.New(rand.NewPCG(1, 2))
	for seed := range uint64(100) {
		o := Options{Vehicle: Designs[r.IntN(2)].ID, Breather: r.IntN(2) == 0, Purge: r.IntN(2) == 0, Consumers: r.IntN(2) == 0,
			SensorUnplugged: r.IntN(4) == 0, JustSet: r.IntN(4) == 0, Exact: r.IntN(2) == 0}
		if r.IntN(4) == 0 {
			o.Coolant = 100 * r.Float64()
		}
		var faults []Fault
		name := ""
		for _, i := range r.Perm(len(FaultKinds))[:r.IntN(6)] {
			faults = append(faults, Fault{FaultKinds[i].ID, r.Float64()})
			name += fmt.Sprintf("%s=%.3f ", faults[len(faults)-1].ID, faults[len(faults)-1].Severity)
		}
		do(fmt.Sprintf("seed %d, %+v, %s", seed, o, name), ill(t, seed, o, faults...))
	}
}

// Carbon, hydrogen, oxygen and nitrogen that go into a cylinder come out of it.
func TestAtomsAreConserved(t *testing.T) {
	f := exhaust.Petrol
	everyCar(t, func(name string, c *Car) {
		for _, w := range []when{c.routine(), c.raisedRoutine()} {
			s := c.state(w)
			for i := range 4 {
				p := exhale(s.lambda[i], c.p[cycleSpread], s.missing[i], s.unburnt[i], c.p[frozenCO])
				oxygen := f.OC + 2*s.lambda[i]*need(f)
				scale := max(1, oxygen)
				for _, x := range []struct {
					atom    string
					in, out float64
				}{
					{"carbon", 1, p.CO2 + p.CO + p.HC},
					{"hydrogen", f.HC, 2*p.H2O + 2*p.H2 + f.HC*p.HC},
					{"oxygen", oxygen, 2*p.CO2 + p.CO + p.H2O + 2*p.O2 + f.OC*p.HC},
					{"nitrogen", 2 * nitrogen * s.lambda[i] * need(f), 2 * p.N2},
				} {
					if !(math.Abs(x.in-x.out) <= 1e-9*scale) {
						t.Fatalf("%s, cylinder %d, lambda %v: %v of %s in, %v out", name, i, s.lambda[i], x.in, x.atom, x.out)
					}
				}
				for _, x := range []float64{p.CO2, p.CO, p.H2O, p.H2, p.O2, p.N2, p.HC} {
					if !(x >= -1e-12) {
						t.Fatalf("%s, lambda %v: negative gas in %+v", name, s.lambda[i], p)
					}
				}
			}
		}
	})
}

// Air through all paths is the air that the engine takes, and fuel in all cylinders the fuel that is let in.
func TestAirIsConserved(t *testing.T) {
	everyCar(t, func(name string, c *Car) {
		s := c.atIdle()
		taken := c.cylinders(s.speed, s.manifold)
		if through := s.byThrottle + s.byScrew + s.byValve + s.leaked; !(math.Abs(through/taken-1) <= 1e-9) {
			t.Errorf("%s: %v g/s through %v, %v, %v and %v, but %v taken", name, through, s.byThrottle, s.byScrew, s.byValve, s.leaked, taken)
		}
		if !(math.Abs(s.air/taken-1) <= 1e-9) {
			t.Errorf("%s: %v g/s burnt of %v", name, s.air, taken)
		}
	})
}

// In a steady state the engine neither speeds up nor slows down, unless it has stalled.
func TestTorqueBalances(t *testing.T) {
	everyCar(t, func(name string, c *Car) {
		s := c.atIdle()
		if left := c.surplus(c.routine(), &s.charge, s.speed, s.manifold); !s.stalled && !(math.Abs(left) <= 1e-5) {
			t.Errorf("%s: %v bar left over at %v /min", name, left, s.speed)
		}
	})
}

// The formula of OIML R 99 finds the lambda that the gas was made at. It counts hydrogen from the mean CO/CO2 where
// cylinders and cycles had their own, which is worth 0.0015 for an even engine and up to 0.02 where one cylinder in
// four is far off.
func TestOutsideLambdaOfTheGas(t *testing.T) {
	bench(func(seed uint64) {
		for _, raised := range []bool{false, true} {
			c := sound(t, seed, Options{})
			if is, got, err := c.Lambda(raised); err != nil || !(math.Abs(got-is) <= 0.0015) {
				t.Errorf("seed %d: the gas tells %.5f, the engine ran at %.5f (%v)", seed, got, is, err)
			}
		}
	})
	everyCar(t, func(name string, c *Car) {
		if c.flaw.dilution > 0 || c.flaw.exhaustAir > 0 {
			return // that air was never in a cylinder
		}
		is, got, err := c.Lambda(false)
		if err != nil || !(math.Abs(got-is) <= 0.02) {
			t.Errorf("%s: the gas tells %.4f, the engine ran at %.4f (%v)", name, got, is, err)
		}
	})
}

// Nothing that is read is NaN or infinite, and a meter's own scale holds it.
func TestReadingsAreNumbers(t *testing.T) {
	everyCar(t, func(name string, c *Car) {
		got, err := c.Readings(ReadingIDs())
		if err != nil {
			t.Fatal(err)
		}
		for _, id := range ReadingIDs() {
			v, there := got[id]
			if !there && id != "sensor_rise_time" && !(id == "balance_spread" && c.atIdle().lost > 0.99) {
				t.Errorf("%s: no %s", name, id)
			}
			m, _, ok := MeterOf(id)
			if ok && there && !(v.Number >= m.Least && v.Number <= m.Most) {
				t.Errorf("%s: %s is %v", name, id, v.Number)
			}
			for _, x := range v.Samples {
				if !(x >= -1 && x <= 3) {
					t.Errorf("%s: %v V in the trace", name, x)
				}
			}
		}
	})
}
