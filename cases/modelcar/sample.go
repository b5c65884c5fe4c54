package modelcar

import "culprit/engine/exhaust"

// gas is the composition of the sample in these circumstances: the exhaust of the four cylinders mixed by moles,
// air that has been drawn into it, dried.
func (c *Car) gas(w when) exhaust.Gas {
	s := c.state(w)
	p := c.exhaustOf(&s.charge)
	fuel := s.fuel[0] + s.fuel[1] + s.fuel[2] + s.fuel[3]
	// Per mole of carbon: air let in before the probe, in moles of O2.
	in := c.flaw.exhaustAir / oxygenAir * fuelMass(exhaust.Petrol) / fuel
	p.O2 += in
	p.N2 += nitrogen * in
	g := p.dry()
	d := c.flaw.dilution
	return exhaust.Gas{CO: (1 - d) * g.CO, CO2: (1 - d) * g.CO2, O2: (1-d)*g.O2 + d*100*airOxygen, HC: (1 - d) * g.HC}
}

// exhaustOf is what the cylinders put out, for each mole of carbon of all their fuel.
func (c *Car) exhaustOf(k *charge) products {
	var sum products
	total := k.fuel[0] + k.fuel[1] + k.fuel[2] + k.fuel[3]
	for i := range 4 {
		sum.add(exhale(k.lambda[i], c.p[cycleSpread], k.missing[i], k.unburnt[i], c.p[frozenCO]), k.fuel[i]/total)
	}
	return sum
}
