package modelcar

import "math"

// Air: what flows through an opening, and what the cylinders take.

const (
	airGamma = 1.4     // ratio of the specific heats of air
	airGas   = 287.05  // J/(kg K)
	critical = 0.52828 // (2/(γ+1))^(γ/(γ-1)): below this ratio of pressures the flow is choked
)

// orifice is the flow in g/s through each mm² of effective opening, from p0 kPa at t0 K to p kPa. With
// γ = 1.4 and r = p/p0, at least the critical ratio:
//
//	G = p0/sqrt(R T0) · r^(1/γ) · sqrt(2γ/(γ-1) · (1 - r^((γ-1)/γ)))
//
// (Heywood 1988, appendix C, from memory; any text on compressible flow). Nothing flows back: at p >= p0 it is 0.
func orifice(p0, t0, p float64) float64 {
	r := p / p0
	if r >= 1 {
		return 0
	}
	r = max(r, critical)
	// kPa to Pa is 1000, kg to g is 1000, m² to mm² is 1e-6: together 1.
	return p0 / math.Sqrt(airGas*t0) * math.Pow(r, 1/airGamma) *
		math.Sqrt(2*airGamma/(airGamma-1)*(1-math.Pow(r, (airGamma-1)/airGamma)))
}

// airThrough is orifice of this car, with the manifold at p kPa.
func (c *Car) airThrough(p float64) float64 {
	if p < critical*c.p[ambient] {
		return c.choked
	}
	return orifice(c.p[ambient], c.p[airTemperature], p)
}

// cylinders is the air in g/s that the engine takes at a speed and manifold pressure:
//
//	m = φ · Vd N/120 / (R T) · [p (γ(r-1)+1)/(γ(r-1)) - p0/(γ(r-1))]
//
// the ideal filling with burnt gas left over in the clearance (Heywood 1988, equation 5.38, from memory), times
// what heat and valves leave of it.
func (c *Car) cylinders(speed, p float64) float64 {
	return c.filling * speed * max(0, p*(1+c.residual)-c.p[ambient]*c.residual)
}

// manifoldFor is the manifold pressure at which the engine takes this much air.
func (c *Car) manifoldFor(speed, air float64) float64 {
	return (air/(c.filling*speed) + c.p[ambient]*c.residual) / (1 + c.residual)
}

// valveOpening is the effective opening of the idle air valve in mm², by the duty it stands at. A slot that widens:
// linear and square in the travel past the point where it opens.
func (c *Car) valveOpening(duty float64) float64 {
	x := min(max(0, (duty-c.p[valveShut])/(100-c.p[valveShut])), 1)
	return c.p[valveLeak] + x*(c.p[valveFirst]+x*c.p[valveSecond])
}

// valveDuty is the duty at which the valve has this opening: valveOpening the other way round, not held to its
// travel.
func (c *Car) valveDuty(opening float64) float64 {
	a, b, o := c.p[valveSecond], c.p[valveFirst], opening-c.p[valveLeak]
	if o <= 0 {
		return c.p[valveShut] + o/b*(100-c.p[valveShut]) // below nought: how much too much there is
	}
	x := 2 * o / (b + math.Sqrt(b*b+4*a*o))
	return c.p[valveShut] + x*(100-c.p[valveShut])
}

// leaks is the area in mm² of all holes behind the air-flow plate, that of the crankcase while the breather is on.
func (c *Car) leaks(w when) float64 {
	o := c.flaw.leak
	if w.breather {
		o += c.flaw.crankcase
	}
	return o
}
