package modelcar

import "math"

// Solve: steady states.

// when says in what circumstances the engine runs.
type when struct {
	raised    bool // 2500/min held by the throttle
	breather  bool // connected
	purge     bool // hose on
	consumers bool
	beltOff   bool
	grounded  bool    // the wire of the sensor
	heldDuty  bool    // the unit is given no time, or no means, to move the valve
	duty      float64 // then, %
}

// A state is the engine running steadily.
type state struct {
	charge
	mode     mode
	speed    float64 // /min
	manifold float64 // kPa
	duty     float64 // that the unit gives, %
	position float64 // duty that the valve's opening corresponds to
	leaked   float64 // g/s that no plate has seen
	plate    float64 // g/s that it has
	byValve, byScrew,
	byThrottle float64 // g/s of the measured air through each path
	stalled bool
}

const (
	raisedSpeed  = 2500.0
	slowestSpeed = 350.0 // below it an engine does not run
	fastestSpeed = 4500.0
	leastVacuum  = 0.999 // of ambient: the throttle is never as good as absent
)

// at is the engine at a speed and manifold pressure, whatever it takes to hold it there.
func (c *Car) at(w when, speed, manifold float64) state {
	s := state{speed: speed, manifold: manifold}
	air := c.cylinders(speed, manifold)
	s.leaked = min(c.leaks(w)*c.p[holeDischarge]*c.airThrough(manifold), air)
	s.plate = air - s.leaked
	s.charge, s.mode = c.trim(w, air, s.plate)
	return s
}

// steady finds the steady state.
func (c *Car) steady(w when) state {
	if w.raised {
		s, _ := c.withTorque(w, raisedSpeed)
		s.byThrottle = s.plate
		s.duty = c.p[dutyDefault]
		return s
	}
	if c.flaw.valveDead {
		return c.withValve(w, c.flaw.valveDeadDuty, c.p[valveSpring])
	}
	if w.heldDuty {
		return c.withValve(w, w.duty, c.stands(w.duty))
	}
	if c.flaw.switchOpen {
		return c.withValve(w, c.p[dutyDefault], c.stands(c.p[dutyDefault]))
	}
	s, enough := c.withTorque(w, c.target())
	if !enough {
		return c.withValve(w, c.p[dutyMost], c.stands(c.p[dutyMost]))
	}
	open := s.plate / c.airThrough(s.manifold) // manifold is below ambient, so there is a flow
	s.position = c.valveDuty(open - c.throttle() - c.screwOpening())
	s.duty = s.position - c.flaw.valveOffset
	switch {
	case s.duty < c.p[dutyLeast]:
		return c.withValve(w, c.p[dutyLeast], c.stands(c.p[dutyLeast]))
	case s.duty > c.p[dutyMost] || s.position > 100:
		return c.withValve(w, c.p[dutyMost], c.stands(c.p[dutyMost]))
	case s.position < c.p[valveShut]:
		// The valve is shut before the unit's own limit is reached: the unit goes on to its limit.
		return c.withValve(w, c.p[dutyLeast], c.stands(c.p[dutyLeast]))
	}
	if c.flaw.valveStuck != 0 {
		return c.withValve(w, s.duty, s.position+c.flaw.valveStuck)
	}
	c.split(&s)
	return s
}

// stands is where the valve is, as duty, when it is told a duty.
func (c *Car) stands(duty float64) float64 { return duty + c.flaw.valveOffset + c.flaw.valveStuck }

// target is the idle speed that the unit keeps.
func (c *Car) target() float64 {
	return c.p[idleTarget] + c.p[idleRisePerKelvin]*max(0, c.p[warmTemperature]-c.readCoolant())
}

func (c *Car) throttle() float64     { return max(0.2, c.p[throttleGap]+c.flaw.gap) }
func (c *Car) screwOpening() float64 { return max(0, c.screw+c.flaw.screw) }

// withTorque finds the manifold pressure at which the engine just turns at this speed; false if it does not even
// with the throttle open.
func (c *Car) withTorque(w when, speed float64) (state, bool) {
	var s state
	// From where the cylinders take any air at all.
	least := c.manifoldFor(speed, 0)
	surplus := func(p float64) float64 {
		s = c.at(w, speed, p)
		return c.surplus(w, &s.charge, speed, p)
	}
	least *= 1.02
	most := c.p[ambient] * leastVacuum
	_, found := root(surplus, least, most, 1e-7)
	for i := 1; !found && i < 16; i++ { // more air may be too much for a pump that is weak: look between
		if at := least + (most-least)*float64(i)/16; surplus(at) > 0 {
			_, found = root(surplus, least, at, 1e-7)
		}
	}
	if !found {
		s = c.at(w, speed, most)
	}
	return s, found
}

// withValve finds the speed that the engine takes up with the valve where it is.
func (c *Car) withValve(w when, duty, position float64) state {
	opening := c.throttle() + c.screwOpening() + c.valveOpening(position) + c.leaks(w)*c.p[holeDischarge]
	var s state
	surplus := func(speed float64) float64 {
		s = c.at(w, speed, c.manifold(speed, opening))
		return c.surplus(w, &s.charge, speed, s.manifold)
	}
	at, found := root(surplus, slowestSpeed, fastestSpeed, 1e-4)
	for i := 15; !found && at == slowestSpeed && i > 0; i-- { // it may run at a speed between; the fastest is stable
		if from := slowestSpeed + (fastestSpeed-slowestSpeed)*float64(i)/16; surplus(from) > 0 {
			at, found = root(surplus, from, fastestSpeed, 1e-4)
		}
	}
	if !found {
		s = c.at(w, at, c.manifold(at, opening))
	}
	s.duty, s.position, s.stalled = duty, position, !found && at == slowestSpeed
	c.split(&s)
	return s
}

// manifold is the pressure at which an opening in mm² lets in what the engine takes at a speed. While the flow is
// choked that is a plain division.
func (c *Car) manifold(speed, opening float64) float64 {
	p := c.manifoldFor(speed, opening*c.choked)
	if p <= critical*c.p[ambient] {
		return p
	}
	p, _ = root(func(p float64) float64 {
		return c.cylinders(speed, p) - opening*c.airThrough(p)
	}, critical*c.p[ambient], c.p[ambient], 1e-9)
	return p
}

// split tells the measured air by its paths at idle.
func (c *Car) split(s *state) {
	g := c.airThrough(s.manifold)
	s.byThrottle, s.byScrew = c.throttle()*g, c.screwOpening()*g
	s.byValve = c.valveOpening(s.position) * g
}

// logarithms that are needed again and again.
func (c *Car) prepare() {
	c.choked = orifice(c.p[ambient], c.p[airTemperature], 0)
	gr := c.p[isentropic] * (c.p[compressionRatio] - 1)
	c.residual = 1 / gr
	// kPa, L and /min to g/s: 1e3 Pa, 1e-3 m³, 1e3 g, 120.
	c.filling = c.p[breathing] * c.p[displacement] * 1000 / (airGas * c.p[chargeTemperature] * 120)
	c.leanLog, c.richLog = math.Log(c.p[leanLimit]), math.Log(c.p[richLimit])
}
