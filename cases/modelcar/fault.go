package modelcar

import "math/rand/v2"

// A FaultKind is a fault that can be staged. Its size goes from 0, no fault, to Full at severity 1.
type FaultKind struct {
	ID   string
	What string  // what the size is of
	Full float64 // size at severity 1, in Unit
	Unit string  // empty for a share, and for what is broken or is not
	put  func(f *flaws, size float64, r *rand.Rand)
}

// Whole tells whether the fault is there or is not, without degrees.
func (k FaultKind) Whole() bool { return k.What == whole }

const whole = "there or not, whatever the severity"

// A Fault is one fault of a car.
type Fault struct {
	ID       string
	Severity float64 // 0 to 1
}

// A sensorState is what has become of the oxygen sensor.
type sensorState uint8

const (
	sensorSound sensorState = iota
	sensorFlatLow
	sensorFlatMiddle
)

// flaws are what faults have changed in a car. The zero value is a sound car.
type flaws struct {
	leak, crankcase float64 // area of holes behind the plate, mm²
	gap, screw      float64 // mm², added to the throttle gap and the idle screw
	valveOffset     float64 // % of duty, by which the valve stands further open than it is told
	valveStuck      float64 // % of duty, by which it hangs off what the unit needs
	valveDead       bool    // the valve stands where its spring leaves it
	valveDeadDuty   float64 // what a meter at the dead valve shows, %
	switchOpen      bool
	drag            float64 // bar
	dragOnBelt      bool
	timing          float64 // deg, + is early

	mixture         float64 // logarithm of the factor that the mixture screw was turned by
	stickyIdle      float64 // logarithm of the factor that plate and plunger are off by
	stickyRaised    float64
	wander          float64    // mA, erratic part of the current
	drip            [4]float64 // g/s
	clog            [4]float64 // share
	coldValve       float64    // g/s
	breatherVapour  float64    // g/s of fuel
	purgeVapour     float64    // g/s of fuel
	stuckDifference float64    // bar; 0 if it follows the current
	regulatorOpen   bool
	pumpShort       float64 // bar by which the pump falls short
	pressureFactor  float64 // added to 1
	restLost        float64 // share

	sensor      sensorState
	slow        float64 // s, added to the sensor's lag
	wireOpen    bool
	exhaustAir  float64 // g/s drawn in before the sensor
	coolantOhms float64 // kohm in series; negative is a shunt, share
	unitStuck   bool
	unitCurrent float64 // mA

	missing     [4]float64 // share of cycles
	lowCylinder [4]float64 // share of compression lost
	dilution    float64    // share of air in the sample
	scale       float64    // what the meter multiplies duty by, less 1
}

// FaultKinds are all faults that can be staged, in the order of their subject. The order is part of tickets: new
// kinds go to the end.
var FaultKinds = []FaultKind{
	{"unmeasured-air", "bore of the hole", 3, "mm", func(f *flaws, s float64, r *rand.Rand) { f.leak += hole(s) }},
	{"crankcase-air", "bore of the hole, while the breather is connected", 3, "mm", func(f *flaws, s float64, r *rand.Rand) { f.crankcase += hole(s) }},
	{"throttle-gummed", "effective opening lost", 2, "mm²", func(f *flaws, s float64, r *rand.Rand) { f.gap -= s }},
	{"idle-screw-in", "effective opening lost", 2.5, "mm²", func(f *flaws, s float64, r *rand.Rand) { f.screw -= s }},
	{"idle-screw-out", "effective opening gained", 3.5, "mm²", func(f *flaws, s float64, r *rand.Rand) { f.screw += s }},
	{"idle-valve-sticking", "how far the valve stands from where it should, as duty", 30, "%", func(f *flaws, s float64, r *rand.Rand) {
		f.valveOffset += s * sign(r)
		// Where in its band it happens to hang. It slips past where it should be by what friction loses as it begins to
		// slide: a quarter to a third for dry metals (tables of friction in textbooks of mechanics, from memory).
		f.valveStuck = s / 3 * (2*r.Float64() - 1)
	}},
	{"idle-valve-circuit", whole, 1, "", func(f *flaws, s float64, r *rand.Rand) {
		f.valveDead, f.valveDeadDuty = true, float64(100*r.IntN(2))
	}},
	{"idle-switch-open", whole, 1, "", func(f *flaws, s float64, r *rand.Rand) { f.switchOpen = true }},
	{"air-plate-binding", "mixture off, either way at either speed", 15, "%", func(f *flaws, s float64, r *rand.Rand) {
		f.stickyIdle += s / 100 * sign(r)
		f.stickyRaised += s / 100 * (2*r.Float64() - 1)
	}},
	{"plate-signal-worn", "wear of the track, as a share", 1, "", func(f *flaws, s float64, r *rand.Rand) {}},
	{"engine-drag", "pull, as mean effective pressure", 0.4, "bar", func(f *flaws, s float64, r *rand.Rand) {
		f.drag += s
		f.dragOnBelt = r.Float64() < 0.7
	}},
	{"timing-late", "degrees late", 12, "deg", func(f *flaws, s float64, r *rand.Rand) { f.timing -= s }},
	{"timing-early", "degrees early", 12, "deg", func(f *flaws, s float64, r *rand.Rand) { f.timing += s }},
	{"mixture-set-rich", "mixture richer", 14, "%", func(f *flaws, s float64, r *rand.Rand) { f.mixture += s / 100 }},
	{"mixture-set-lean", "mixture leaner", 14, "%", func(f *flaws, s float64, r *rand.Rand) { f.mixture -= s / 100 }},
	{"injector-leaking", "fuel dribbled by one injector", 25, "mg/s", func(f *flaws, s float64, r *rand.Rand) { f.drip[r.IntN(4)] += s / 1000 }},
	{"injector-clogged", "share of its fuel that one injector lacks", 45, "%", func(f *flaws, s float64, r *rand.Rand) {
		i := r.IntN(4)
		f.clog[i] = 1 - (1-f.clog[i])*(1-s/100)
	}},
	{"regulator-stuck-rich", "pressure difference above the reference", 0.25, "bar", func(f *flaws, s float64, r *rand.Rand) { f.stuckDifference = 0.4 + s }},
	{"regulator-stuck-lean", "pressure difference below the reference", 0.15, "bar", func(f *flaws, s float64, r *rand.Rand) { f.stuckDifference = 0.4 - s }},
	{"regulator-circuit-open", whole, 1, "", func(f *flaws, s float64, r *rand.Rand) { f.regulatorOpen = true }},
	{"fuel-supply-weak", "pressure that the pump or filter falls short by", 1.0, "bar", func(f *flaws, s float64, r *rand.Rand) { f.pumpShort += s }},
	{"system-pressure-high", "pressure too high", 1.2, "bar", func(f *flaws, s float64, r *rand.Rand) { f.pressureFactor += s / 5.4 }},
	{"rest-pressure-lost", "share of the rest pressure lost in ten minutes", 90, "%", func(f *flaws, s float64, r *rand.Rand) {
		f.restLost = 1 - (1-f.restLost)*(1-s/100)
	}},
	{"cold-start-valve-leaking", "fuel dribbled into the manifold", 30, "mg/s", func(f *flaws, s float64, r *rand.Rand) { f.coldValve += s / 1000 }},
	{"plunger-sticking", "mixture off, either way at either speed", 12, "%", func(f *flaws, s float64, r *rand.Rand) {
		f.stickyIdle += s / 100 * (2*r.Float64() - 1)
		f.stickyRaised += s / 100 * (2*r.Float64() - 1)
		f.wander += 4 * s / 12
	}},
	{"fuel-in-oil", "fuel vapour from the breather", 45, "mg/s", func(f *flaws, s float64, r *rand.Rand) { f.breatherVapour += s / 1000 }},
	{"purge-open", "fuel vapour from the purge", 60, "mg/s", func(f *flaws, s float64, r *rand.Rand) { f.purgeVapour += s / 1000 }},
	{"oxygen-sensor-dead", whole, 1, "", func(f *flaws, s float64, r *rand.Rand) {
		f.sensor = sensorFlatLow + sensorState(r.IntN(2))
	}},
	{"oxygen-sensor-slow", "time constant added", 2.5, "s", func(f *flaws, s float64, r *rand.Rand) { f.slow += s }},
	{"oxygen-sensor-wire-open", whole, 1, "", func(f *flaws, s float64, r *rand.Rand) { f.wireOpen = true }},
	{"exhaust-leak-before-sensor", "air drawn in before the sensor", 0.3, "g/s", func(f *flaws, s float64, r *rand.Rand) { f.exhaustAir += s }},
	{"coolant-sensor-reads-cold", "resistance in series", 3, "kohm", func(f *flaws, s float64, r *rand.Rand) { f.coolantOhms = s }},
	{"coolant-sensor-reads-hot", "share by which its resistance is too low", 70, "%", func(f *flaws, s float64, r *rand.Rand) { f.coolantOhms = -s / 100 }},
	{"ignition-misfire", "share of the cycles that one cylinder misses", 60, "%", func(f *flaws, s float64, r *rand.Rand) {
		i := r.IntN(4)
		f.missing[i] = 1 - (1-f.missing[i])*(1-s/100)
	}},
	{"compression-low", "share of its compression that one cylinder lacks", 90, "%", func(f *flaws, s float64, r *rand.Rand) {
		i := r.IntN(4)
		f.lowCylinder[i] = 1 - (1-f.lowCylinder[i])*(1-s/100)
	}},
	{"sample-diluted", "share of air in the sample", 30, "%", func(f *flaws, s float64, r *rand.Rand) { f.dilution = 1 - (1-f.dilution)*(1-s/100) }},
	{"meter-on-wrong-scale", whole, 1, "", func(f *flaws, s float64, r *rand.Rand) {
		f.scale = [4]float64{2.0 / 3, 1.5, 0.5, 2}[r.IntN(4)] - 1
	}},
	{"control-unit", whole, 1, "", func(f *flaws, s float64, r *rand.Rand) {
		f.unitStuck, f.unitCurrent = true, []float64{-2, 0, 22, 40}[r.IntN(4)]
	}},
}

// hole is the area in mm² of a round hole of this bore in mm. How much of it counts is the car's discharge coefficient.
func hole(bore float64) float64 { return 0.7853981633974483 * bore * bore }

func sign(r *rand.Rand) float64 { return float64(2*r.IntN(2) - 1) }

// Kind finds a kind of fault.
func Kind(id string) (FaultKind, bool) {
	for _, k := range FaultKinds {
		if k.ID == id {
			return k, true
		}
	}
	return FaultKind{}, false
}
