package modelcar

// Loop: what the control unit does about the mixture.

// A mode is what decides the regulator current.
type mode uint8

const (
	closed    mode = iota // the signal is held about its threshold
	atLean                // the unit adds all it may, and still sees lean
	atRich                // the unit takes away all it may, and still sees rich
	open                  // the unit goes by its map
	powerless             // the current is what a broken part makes of it
)

// readCoolant is the temperature in °C that the unit believes the coolant to have.
func (c *Car) readCoolant() float64 { return c.thermistorReads(c.coolantOhms()) }

// enrichment is the current in mA that the unit adds for an engine it believes to be cold.
func (c *Car) enrichment() float64 {
	return c.p[enrichmentPerKelvin] * max(0, c.p[warmTemperature]-c.readCoolant())
}

// loopReady tells whether the unit trims at all.
func (c *Car) loopReady() bool {
	return !c.options.SensorUnplugged && !c.flaw.wireOpen && c.flaw.sensor != sensorFlatMiddle && c.readCoolant() >= c.p[loopTemperature]
}

// ends are the currents between which the closed loop moves.
func (c *Car) ends() (least, most float64) {
	middle := c.p[currentReference] + c.enrichment()
	return middle - c.p[authority], middle + c.p[authority]
}

// trim finds the mean current and the charge that comes of it.
func (c *Car) trim(w when, air, plate float64) (charge, mode) {
	least, most := c.ends()
	switch {
	case c.flaw.regulatorOpen:
		return c.charged(w, air, plate, 0), powerless
	case c.flaw.unitStuck:
		return c.charged(w, air, plate, c.flaw.unitCurrent), powerless
	case w.grounded && !c.flaw.wireOpen && c.readCoolant() >= c.p[loopTemperature]:
		return c.charged(w, air, plate, most), atLean
	case w.grounded || !c.loopReady():
		return c.charged(w, air, plate, c.p[currentReference]+c.enrichment()), open
	case c.flaw.sensor == sensorFlatLow:
		return c.charged(w, air, plate, most), atLean
	}
	rich, lean := c.charged(w, air, plate, most), c.charged(w, air, plate, least)
	switch {
	case rich.seen >= 1:
		return rich, atLean
	case lean.seen <= 1:
		return lean, atRich
	}
	var k charge
	root(func(current float64) float64 {
		k = c.charged(w, air, plate, current)
		return k.seen - 1
	}, least, most, 1e-6)
	return k, closed
}
