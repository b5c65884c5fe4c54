package modelcar

import (
	"math"

	"culprit/engine/exhaust"
)

// Sensors: the oxygen sensor and the coolant sensor.

const (
	gasConstant = 8.314462618 // J/(mol K), exact by the SI
	faraday     = 96485.33212 // C/mol, exact by the SI
	airPressure = 0.2095      // atm of oxygen in air
)

// nernst is the voltage of a zirconia sensor at t K with this pressure of oxygen, in atm, in the exhaust:
// E = R T/(4 F) ln(p air/p exhaust).
func nernst(t, oxygen float64) float64 {
	return gasConstant * t / (4 * faraday) * math.Log(airPressure/oxygen)
}

// burnCO is the equilibrium constant of CO + O2/2 = CO2 at t K, in atm^-1/2. log10 K = 14756/T - 4.537 goes through
// the values of the JANAF tables at 900 and 1200 K, 11.859 and 7.760 (from memory), and within 0.003 of those
// between.
func burnCO(t float64) float64 { return math.Pow(10, 14756/t-4.537) }

// oxygenAt is the pressure of oxygen in atm in exhaust of a homogeneous mixture at equilibrium on the sensor at t
// K. With x the moles of O2 left over, less what CO and H2 still want, n moles in all, and H2 counted as if its
// equilibrium were that of CO, the pressure is u² with
//
//	u³ - (x/n) u - β = 0, β = (1 + y/2)/(2 K n)
//
// Lean it is x/n, rich (CO2/(CO K))².
func oxygenAt(lambda, t float64) float64 {
	f := exhaust.Petrol
	n := 1 + f.HC/2 + nitrogen*lambda*need(f)
	x := (lambda - 1) * need(f) / n
	beta := (1 + f.HC/2) / (2 * burnCO(t) * n)
	u := math.Sqrt(max(x, 0)) + math.Cbrt(beta)
	if x < 0 {
		u = min(u, beta/-x)
	}
	for range 50 { // Newton on a convex branch, from above or from the asymptote
		next := u - (u*u*u-x*u-beta)/(3*u*u-x)
		if math.Abs(next-u) <= 1e-12*u {
			u = next
			break
		}
		u = math.Abs(next)
	}
	return u * u
}

// unitVolts is the signal in V that the unit sees when the sensor has had time to settle; a meter on the wire at the
// unit sees it too.
func (c *Car) unitVolts(lambda float64) float64 {
	if c.flaw.wireOpen {
		return 0.45 // what the unit lays on the open wire itself
	}
	return c.sensorVolts(lambda)
}

// sensorVolts is the same at the sensor.
func (c *Car) sensorVolts(lambda float64) float64 {
	switch {
	case c.flaw.sensor == sensorFlatMiddle:
		return 0.45
	case c.flaw.sensor == sensorFlatLow:
		return 0.08
	}
	return c.p[sensorAge] * nernst(c.p[sensorTemperature], oxygenAt(lambda, c.p[sensorTemperature]))
}

const kelvin = 273.15

// thermistor is the resistance in kohm of the sound coolant sensor at a temperature in °C: R20 exp(B (1/T -
// 1/293.15)).
func (c *Car) thermistor(celsius float64) float64 {
	return c.p[thermistor20] * math.Exp(c.p[thermistorB]*(1/(celsius+kelvin)-1/(20+kelvin)))
}

// thermistorReads is the temperature in °C that a unit makes of a resistance: thermistor the other way round.
func (c *Car) thermistorReads(kohm float64) float64 {
	return 1/(1/(20+kelvin)+math.Log(kohm/c.p[thermistor20])/c.p[thermistorB]) - kelvin
}

// coolantOhms is the resistance in kohm that the unit sees.
func (c *Car) coolantOhms() float64 {
	r := c.thermistor(c.p[coolant])
	if c.flaw.coolantOhms < 0 {
		return r * (1 + c.flaw.coolantOhms)
	}
	return r + c.flaw.coolantOhms
}
