package modelcar

import (
	"math"

	"culprit/engine/exhaust"
)

// Fuel: system pressure, the pressure difference across the metering slits, and what reaches each cylinder.

const (
	heatValue = 43.4 // kJ for each g of petrol, lower: Heywood 1988, table D.4 gives 44 for gasoline (from memory); about
	petrolMLG = 1.34 // mL for each g of petrol
)

var airFuel = stoichiometric(exhaust.Petrol)

// pressure is the system pressure in bar while the engine takes this much fuel in g/s: what the regulator holds, or
// what the pump still gives.
func (c *Car) pressure(fuel float64) float64 {
	kept := c.p[systemPressure] * (1 + c.flaw.pressureFactor)
	pump := c.p[pumpStall] - c.p[pumpSlope]*fuel
	if short := c.flaw.pumpShort; short > 0 { // a weak pump has no reserve left, and a blocked filter takes more with demand
		pump = c.p[systemPressure] + c.p[pumpReserve] - short - (c.p[pumpSlope]+0.4*short)*fuel
	}
	return max(0, min(kept, pump))
}

// difference is the pressure difference across the slits in bar at a regulator current in mA.
func (c *Car) difference(current float64) float64 {
	if c.flaw.stuckDifference > 0 {
		return c.flaw.stuckDifference
	}
	return max(0, c.p[pressureReference]+c.p[pressurePerCurrent]*(current-c.p[currentReference]))
}

// supply is the factor that system pressure puts on the metered fuel. A jet with a baffle and a fixed restrictor
// behind it divide the system pressure in one ratio, so the difference follows it, and fuel its square root;
// the share of the plunger's counter-force that is system pressure takes that much back. Where the pressure does
// not open the injectors and hold the difference besides, the difference is what is left.
func (c *Car) supply(pressure, difference float64) float64 {
	left := pressure - c.p[injectorOpening]
	if left <= 0 {
		return 0
	}
	ratio := pressure / c.p[systemPressure]
	factor := math.Pow(ratio, 0.5*(1-c.p[counterPressure]))
	if left < difference*ratio {
		factor *= math.Sqrt(left / (difference * ratio))
	}
	return factor
}

// metered is the fuel in g/s that the slits let through together for the air that the plate measured, sound
// injectors taken for granted: by its lift, the mixture screw, and the square root of the pressure difference.
func (c *Car) metered(w when, plate, current float64) float64 {
	factor := c.mixture * math.Exp(c.flaw.mixture+c.sticky(w))
	d := c.difference(current)
	return factor * plate / airFuel * math.Sqrt(d/c.p[pressureReference]) * c.supply(c.pressure(plate/airFuel), d)
}

func (c *Car) sticky(w when) float64 {
	if w.raised {
		return c.flaw.stickyRaised
	}
	return c.flaw.stickyIdle
}

// coldValveShares is how a dribble into the manifold spreads over the cylinders: unevenly. Judgement.
var coldValveShares = [4]float64{0.4, 0.3, 0.2, 0.1}

// least fuel in g/s of a cylinder, so that lambda is a number where nothing is left.
const leastFuel = 1e-6

// perCylinder is the fuel in g/s of each cylinder.
func (c *Car) perCylinder(w when, metered float64) (fuel [4]float64) {
	vapour := 0.0
	if w.breather {
		vapour += c.flaw.breatherVapour
	}
	if w.purge {
		vapour += c.flaw.purgeVapour
	}
	for i := range fuel {
		f := metered/4*c.injector[i]*(1-c.flaw.clog[i]) + c.flaw.drip[i] + c.flaw.coldValve*coldValveShares[i] + vapour/4
		fuel[i] = max(f, leastFuel)
	}
	return fuel
}
