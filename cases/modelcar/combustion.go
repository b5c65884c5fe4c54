package modelcar

import "math"

// Combustion: from the air and fuel of each cylinder to its misfires, to what leaves unburnt, and to the work.

// A charge is what the four cylinders take in and what becomes of it.
type charge struct {
	air     float64    // g/s
	current float64    // mA
	fuel    [4]float64 // g/s
	lambda  [4]float64
	missing [4]float64 // share of cycles that do not fire
	unburnt [4]float64 // share of the fuel of a cycle that fires
	mean    float64    // lambda of all together
	lost    float64    // share of all fuel that does not burn
	seen    float64    // lambda that the oxygen sensor goes by
}

// charged works out what becomes of an amount of air, of which plate has been measured, at a regulator current.
func (c *Car) charged(w when, air, plate, current float64) charge {
	k := charge{air: air, current: current}
	k.fuel = c.perCylinder(w, c.metered(w, plate, current))
	total := 0.0
	for i, f := range k.fuel {
		k.lambda[i] = air / 4 / (airFuel * f)
		k.missing[i] = c.missing(w, i, k.lambda[i])
		k.unburnt[i] = c.unburnt(w, i, k.lambda[i])
		total += f
		k.lost += f * (k.missing[i] + (1-k.missing[i])*k.unburnt[i])
	}
	k.mean = air / (airFuel * total)
	k.lost /= total
	// The oxygen that the sensor finds: what is left of lambda, what unburnt fuel did not use, less the part that
	// the sensor's surface burns, and what leaks in before it.
	k.seen = k.mean + (1-c.p[sensorBurnsHC])*k.lost + c.flaw.exhaustAir/(airFuel*total)
	return k
}

// missing is the share of cycles that a cylinder misses: those without a spark, and of the rest those whose mixture,
// cycles being spread, lies past a limit of firing that is not sharp itself.
func (c *Car) missing(w when, i int, lambda float64) float64 {
	stray := c.p[strayMisfire]
	if w.raised {
		stray /= 4 // less burnt gas left over; judgement
	}
	fires := (1 - c.flaw.missing[i]) * (1 - stray)
	low := c.flaw.lowCylinder[i]
	fires *= 1 - 0.5*low*low // judgement: a cylinder without compression hardly fires
	l := math.Log(lambda)
	lean := (l - c.leanLog) / math.Hypot(c.p[cycleSpread], c.p[leanLimitWidth])
	rich := (c.richLog - l) / math.Hypot(c.p[cycleSpread], c.p[richLimitWidth])
	if lean > -5 {
		fires *= normal(-lean)
	}
	if rich > -5 {
		fires *= normal(-rich)
	}
	return 1 - fires
}

// normal is the standard normal distribution.
func normal(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// unburnt is the share of the fuel that leaves a firing cycle unburnt: from crevices and the cold wall, more of it
// without oxygen to burn up later and with early timing, which leaves the exhaust cooler.
func (c *Car) unburnt(w when, i int, lambda float64) float64 {
	h := c.p[quench] * (1 + c.p[quenchRich]*max(0, 1-lambda)) * (1 + 2*c.flaw.lowCylinder[i])
	h *= min(max(0.5, 1+c.p[quenchAdvance]*c.flaw.timing), 2)
	if w.raised {
		h *= c.p[quenchRaised]
	}
	return min(h, 0.3)
}

// torque is what the mixture makes of its air, against lambda 1: most at 0.9, and less of it lean, where there is
// less fuel to burn in the same air. The shape is that of Heywood 1988, 15.3.3 (from memory); the numbers are
// judgement.
func torque(lambda float64) float64 {
	if lambda <= 1 {
		r := 1 - lambda
		return max(0, 1+0.6*r-3*r*r)
	}
	return (1 + 0.3*(lambda-1)) / lambda
}

// work of one cylinder in kW, gross indicated.
func (c *Car) work(w when, k *charge, i int) float64 {
	best := c.p[bestTimingIdle]
	is := c.timing(w)
	if w.raised {
		best = c.p[bestTimingRaised]
	}
	off := best - is
	eta := c.p[efficiency] * max(0.1, 1-c.p[timingCurve]*off*off)
	return eta * heatValue * k.air / 4 / airFuel * torque(k.lambda[i]) * (1 - k.missing[i]) * (1 - k.unburnt[i]) *
		c.worth[i] * (1 - 0.8*c.flaw.lowCylinder[i])
}

// timing in degrees before top dead centre.
func (c *Car) timing(w when) float64 {
	t := c.p[timingSet] + c.flaw.timing
	if w.raised {
		t += c.p[timingAdvance]
	}
	return t
}

// meanPressure turns kW into bar of mean effective pressure: P = p Vd N/120.
func (c *Car) meanPressure(kW, speed float64) float64 {
	return kW * 1200 / (c.p[displacement] * speed)
}

// surplus is the mean effective pressure in bar that is left for speeding up: indicated work less friction, belt
// drives, load and pumping. It is 0 in a steady state.
func (c *Car) surplus(w when, k *charge, speed, manifold float64) float64 {
	sum := 0.0
	for i := range 4 {
		sum += c.work(w, k, i)
	}
	n := speed / 1000
	drag := c.p[frictionBase] + n*(c.p[frictionLinear]+n*c.p[frictionSquare])
	onBelt := c.p[beltDrives]
	if c.flaw.dragOnBelt {
		onBelt += c.flaw.drag
	} else {
		drag += c.flaw.drag
	}
	if !w.beltOff {
		drag += onBelt
		if w.consumers {
			drag += c.p[consumersDrag]
		}
	}
	return c.meanPressure(sum, speed) - drag - (c.p[ambient]-manifold)/100
}
