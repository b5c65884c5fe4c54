package modelcar

import (
	"fmt"
	"math"
)

// ReadingIDs lists every reading that the model gives, in a fixed order.
func ReadingIDs() []string {
	var ids []string
	for _, y := range yesNo {
		ids = append(ids, y.id)
	}
	for _, n := range numbers {
		ids = append(ids, n.id)
	}
	for _, u := range Sound {
		ids = append(ids, u.Reading)
	}
	return append(ids, "idle_quality", "plug_look", "complaint", "sensor_trace")
}

// MeterOf gives the instrument and unit of a reading that is a number.
func MeterOf(id string) (Meter, string, bool) {
	for _, n := range numbers {
		if n.id == id {
			return n.meter, n.unit, true
		}
	}
	return Meter{}, "", false
}

// index tells which table a reading stands in, and where.
var index = func() map[string]func(*Car) (Value, bool) {
	m := map[string]func(*Car) (Value, bool){
		"idle_quality": func(c *Car) (Value, bool) { return Value{Kind: Choice, Word: c.idleQuality()}, true },
		"plug_look":    func(c *Car) (Value, bool) { return Value{Kind: Choice, Word: c.plugLook()}, true },
		"complaint":    func(c *Car) (Value, bool) { return Value{Kind: Choice, Word: c.complaint()}, true },
		"sensor_trace": func(c *Car) (Value, bool) { return c.trace(), true },
	}
	for _, y := range yesNo {
		m[y.id] = func(c *Car) (Value, bool) { return Value{Kind: YesNo, Yes: c.decide(y.of(c), y.id)}, true }
	}
	for _, n := range numbers {
		m[n.id] = func(c *Car) (Value, bool) { return c.measure(n) }
	}
	for _, u := range Sound {
		m[u.Reading] = func(c *Car) (Value, bool) { return Value{Kind: YesNo, Yes: c.look(u)}, true }
	}
	return m
}()

// Readings are what the instruments and the people show of the car. A reading that cannot be taken of it, such as
// the rise time of a signal that does not rise, is left out. The error names a reading that the model does not
// have.
func (c *Car) Readings(ids []string) (map[string]Value, error) {
	out := make(map[string]Value, len(ids))
	for _, id := range ids {
		of, ok := index[id]
		if !ok {
			return nil, fmt.Errorf("the model car has no reading %q", id)
		}
		if v, ok := of(c); ok {
			out[id] = v
		}
	}
	return out, nil
}

// measure reads a meter.
func (c *Car) measure(n numeric) (Value, bool) {
	value := n.of(c)
	if math.IsNaN(value) {
		return Value{}, false
	}
	if c.options.Exact {
		return Value{Number: value}, true
	}
	if value == overRange { // a meter that shows over-range has no error
		return Value{Number: value}, true
	}
	return Value{Number: n.meter.read(value, 2*stream(c.seed, n.id).Float64()-1)}, true
}

// trace is the oxygen signal on a scope.
func (c *Car) trace() Value {
	g := c.oscillate()
	v := Value{Kind: Trace, Every: sampleEvery, Samples: make([]float64, traceLength)}
	r := stream(c.seed, "sensor_trace")
	offset := 0.005 * (2*r.Float64() - 1)
	for i, volts := range g.volts {
		v.Samples[i] = voltmeter.show(volts + offset + 0.004*(2*r.Float64()-1))
	}
	return v
}
