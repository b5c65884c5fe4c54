package modelcar

import (
	"math"

	"culprit/engine/exhaust"
)

// Numbers: readings that are numbers, and how they come of the state of the engine.

// A numeric reading.
type numeric struct {
	id    string
	unit  string
	meter Meter
	// of is the true value; NaN where it cannot be taken.
	of func(c *Car) float64
}

// overRange is what is written down when an ohmmeter shows over-range.
const overRange = 1e6

var (
	tachometer = Meter{10, 0.5, 1, 0, 9000}
	dutyMeter  = Meter{0.5, 0, 0.1, 0, 100}
	ammeter    = Meter{0.2, 1, 0.1, -200, 200}
	voltmeter  = Meter{0.01, 1, 0.01, -1, 3}
	ohmmeter   = Meter{0.2, 1, 0.1, 0, overRange}
	gauge      = Meter{0.05, 0, 0.01, 0, 12}
	analyserCO = Meter{0.06, 5, 0.01, 0, 15}
	analyserC2 = Meter{0.5, 5, 0.1, 0, 20}
	analyserO2 = Meter{0.1, 5, 0.01, 0, 21}
	analyserHC = Meter{12, 5, 1, 0, 20000}
)

var numbers = []numeric{
	{"coolant_temp", "degC", Meter{2, 0, 1, -40, 140}, func(c *Car) float64 { return c.p[coolant] }},
	{"battery_volts", "V", Meter{0.05, 0.5, 0.01, 0, 20}, func(c *Car) float64 { return c.p[battery] }},

	{"idle_speed", "/min", tachometer, func(c *Car) float64 { return c.atIdle().speed }},
	{"valve_duty", "%", dutyMeter, func(c *Car) float64 { return c.atIdle().duty * (1 + c.flaw.scale) }},
	{"valve_duty_belt_off", "%", dutyMeter, func(c *Car) float64 {
		w := c.routine()
		w.beltOff = true
		return c.state(w).duty * (1 + c.flaw.scale)
	}},
	{"idle_speed_consumers_on", "/min", tachometer, (*Car).speedWithConsumers},
	{"timing_idle", "deg", Meter{1, 0, 0.5, -30, 60}, func(c *Car) float64 { return c.timing(when{}) }},
	{"balance_spread", "/min", Meter{5, 0, 1, 0, 600}, (*Car).balanceSpread},
	{"idle_valve_resistance", "ohm", ohmmeter, func(c *Car) float64 {
		if c.flaw.valveDead {
			return overRange
		}
		return c.p[valveOhms]
	}},

	{"regulator_current", "mA", ammeter, func(c *Car) float64 { return c.oscillate().mean }},
	{"regulator_swing", "mA", Meter{0.3, 0, 0.1, 0, 100}, func(c *Car) float64 { g := c.oscillate(); return g.high - g.low }},
	{"regulator_current_2500", "mA", ammeter, func(c *Car) float64 { return c.state(c.raisedRoutine()).current }},
	{"current_sensor_grounded", "mA", ammeter, func(c *Car) float64 {
		w := c.routine()
		w.grounded = true
		return c.state(w).current
	}},
	{"regulator_current_breather_on", "mA", ammeter, func(c *Car) float64 {
		w := c.routine()
		w.breather = true
		return c.state(w).current
	}},
	{"regulator_current_purge_on", "mA", ammeter, func(c *Car) float64 {
		w := c.routine()
		w.purge = true
		return c.state(w).current
	}},
	{"regulator_resistance", "ohm", ohmmeter, func(c *Car) float64 {
		if c.flaw.regulatorOpen {
			return overRange
		}
		return c.p[regulatorOhms]
	}},

	{"co", "%", analyserCO, func(c *Car) float64 { return c.gas(c.routine()).CO }},
	{"co2", "%", analyserC2, func(c *Car) float64 { return c.gas(c.routine()).CO2 }},
	{"o2", "%", analyserO2, func(c *Car) float64 { return c.gas(c.routine()).O2 }},
	{"hc", "ppm", analyserHC, func(c *Car) float64 { return c.gas(c.routine()).HC }},
	{"co_2500", "%", analyserCO, func(c *Car) float64 { return c.gas(c.raisedRoutine()).CO }},
	{"co2_2500", "%", analyserC2, func(c *Car) float64 { return c.gas(c.raisedRoutine()).CO2 }},
	{"o2_2500", "%", analyserO2, func(c *Car) float64 { return c.gas(c.raisedRoutine()).O2 }},
	{"hc_2500", "ppm", analyserHC, func(c *Car) float64 { return c.gas(c.raisedRoutine()).HC }},
	{"co_breather_connected", "%", analyserCO, func(c *Car) float64 {
		w := c.routine()
		w.breather = true
		return c.gas(w).CO
	}},
	{"co_purge_connected", "%", analyserCO, func(c *Car) float64 {
		w := c.routine()
		w.purge = true
		return c.gas(w).CO
	}},

	{"sensor_volts", "V", voltmeter, func(c *Car) float64 { return c.oscillate().unit }},
	{"sensor_min", "V", voltmeter, func(c *Car) float64 { return c.oscillate().least }},
	{"sensor_max", "V", voltmeter, func(c *Car) float64 { return c.oscillate().most }},
	{"sensor_switch_rate", "Hz", Meter{0.05, 0, 0.01, 0, 20}, func(c *Car) float64 { return c.oscillate().rate }},
	{"sensor_volts_forced_rich", "V", voltmeter, (*Car).forcedRichVolts},
	{"sensor_rise_time", "ms", Meter{20, 0, 5, 0, 20000}, (*Car).riseTime},
	{"coolant_sensor_resistance", "kohm", Meter{0.005, 1, 0.001, 0, 1000}, (*Car).coolantOhms},

	{"system_pressure", "bar", gauge, func(c *Car) float64 { return c.systemPressure() }},
	{"lower_pressure", "bar", gauge, (*Car).lowerPressure},
	{"rest_pressure_10min", "bar", gauge, (*Car).pressureAfterRest},
	{"pump_delivery", "mL", Meter{20, 0, 5, 0, 5000}, (*Car).delivery},
	{"injector_spread", "%", Meter{2, 0, 0.5, 0, 200}, (*Car).quantitySpread},
	{"injector_opening", "bar", gauge, (*Car).worstOpening},
	{"compression_min", "bar", Meter{0.3, 0, 0.1, 0, 30}, func(c *Car) float64 { least, _ := c.compressions(); return least }},
	{"compression_spread", "bar", Meter{0.3, 0, 0.1, 0, 30}, func(c *Car) float64 { least, most := c.compressions(); return most - least }},
}

func (c *Car) atIdle() *state { return c.state(c.routine()) }

func (c *Car) raisedRoutine() when {
	w := c.routine()
	w.raised = true
	return w
}

// speedWithConsumers is the lowest speed in the first seconds with the consumers on: the unit is too slow to catch a
// share of the drop, and a valve that sticks all of it.
func (c *Car) speedWithConsumers() float64 {
	before := c.routine()
	before.consumers = false
	s := c.state(before)
	held, after := before, before
	held.consumers, held.heldDuty, held.duty = true, true, s.duty
	after.consumers = true
	drop, rest := s.speed-c.state(held).speed, s.speed-c.state(after).speed
	share := c.p[consumersShare]
	share += (1 - share) * min(1, math.Abs(c.flaw.valveOffset)/20)
	return s.speed - max(rest, share*drop+(1-share)*rest)
}

// balanceSpread is the spread of the drops in speed with one cylinder out after another, the drop being in
// proportion to the work that the cylinder does.
func (c *Car) balanceSpread() float64 {
	s := c.atIdle()
	least, most, sum := math.Inf(1), 0.0, 0.0
	for i := range 4 {
		w := c.work(c.routine(), &s.charge, i)
		least, most, sum = min(least, w), max(most, w), sum+w
	}
	if sum == 0 {
		return math.NaN() // it does not run
	}
	return c.p[balanceDrop] * (most - least) / (sum / 4)
}

// forcedRichVolts is the signal at the sensor itself five seconds after the mixture has been forced rich.
func (c *Car) forcedRichVolts() float64 {
	end := c.sensorVolts(c.forcedLambda())
	if c.flaw.sensor != sensorSound {
		return end
	}
	return end - (end-0.45)*math.Exp(-5/(c.p[sensorLag]+c.flaw.slow))
}

func (c *Car) forcedLambda() float64 { return min(c.atIdle().seen, 1) * c.p[forcedRich] }

// riseTime in ms from 0.3 to 0.6 V: a first-order lag towards the rich voltage. A signal that does not get there
// has none.
func (c *Car) riseTime() float64 {
	end := c.sensorVolts(c.forcedLambda())
	if end < 0.65 {
		return math.NaN()
	}
	return 1000 * (c.p[sensorLag] + c.flaw.slow) * math.Log((end-0.3)/(end-0.6))
}

func (c *Car) systemPressure() float64 { return c.pressure(c.atIdle().plate / airFuel) }

// lowerPressure is the system pressure less the difference, which follows it (see supply).
func (c *Car) lowerPressure() float64 {
	p := c.systemPressure()
	return p - c.difference(c.atIdle().current)*p/c.p[systemPressure]
}

// delivery is what comes out of the return line in half a minute, where it is measured: what the pump gives above the
// system pressure that the regulator keeps. By a straight curve of the pump that is in proportion to the pressure by
// which it outdoes the system; a regulator never shuts the return quite (judgement).
func (c *Car) delivery() float64 {
	share := 1.0
	if c.flaw.pumpShort > 0 {
		share = (c.p[pumpReserve] - c.flaw.pumpShort) / (c.p[pumpStall] - c.p[systemPressure])
	}
	return c.p[pumpDelivery] * max(0.05, share)
}

// pressureAfterRest is what ten minutes leave: what the sound system keeps, less a share through valves, less what
// dribbles out, which falls with the pressure that drives it.
func (c *Car) pressureAfterRest() float64 {
	p := c.p[restPressure] * (1 - c.flaw.restLost)
	dribble := c.flaw.coldValve
	for _, d := range c.flaw.drip {
		dribble += d
	}
	return p * math.Exp(-dribble*600*petrolMLG/(c.p[railCompliance]*c.p[restPressure]))
}

// quantitySpread compares the injectors at idle lift and at full lift and takes the largest deviation from the
// mean, in %. What dribbles counts at idle lift.
func (c *Car) quantitySpread() float64 {
	worst := 0.0
	for _, lift := range []float64{0.04, 1} { // g/s of each
		var q [4]float64
		mean := 0.0
		for i := range q {
			q[i] = lift*c.injector[i]*(1-c.flaw.clog[i]) + c.flaw.drip[i]
			mean += q[i] / 4
		}
		for _, each := range q {
			worst = max(worst, 100*math.Abs(each/mean-1))
		}
	}
	return worst
}

// worstOpening is the opening pressure furthest from what is usual. One that dribbles opens early: judgement.
func (c *Car) worstOpening() float64 {
	usual := Parameters[injectorOpening].Value
	worst := usual
	r := stream(c.seed, "openings")
	for i := range 4 {
		p := c.p[injectorOpening] + 0.1*(2*r.Float64()-1) - 28*c.flaw.drip[i]
		if math.Abs(p-usual) > math.Abs(worst-usual) {
			worst = p
		}
	}
	return worst
}

func (c *Car) compressions() (least, most float64) {
	least = math.Inf(1)
	for i := range 4 {
		p := c.compress[i] * (1 - c.flaw.lowCylinder[i])
		least, most = min(least, p), max(most, p)
	}
	return least, most
}

// Lambda is the lambda of all cylinders together at idle or at 2500/min, and what the formula of OIML R 99 makes of
// the gas. It is for checking the model.
func (c *Car) Lambda(raised bool) (true_, fromGas float64, err error) {
	w := c.routine()
	w.raised = raised
	fromGas, err = exhaust.Lambda(c.gas(w), exhaust.Petrol)
	return c.state(w).mean, fromGas, err
}
