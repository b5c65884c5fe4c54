package modelcar

import "math"

// Signal: the limit cycle of the closed loop. The unit moves the current at a steady rate, up while it sees lean
// and down while it sees rich; the sensor sees what left the slits a delay ago.

const (
	sampleEvery = 0.05 // s
	traceLength = 240  // samples: twelve seconds
	settling    = 400  // samples before the trace begins, so that the cycle has settled
)

// A signal is what a scope and an mA meter see over the trace.
type signal struct {
	volts       [traceLength]float64
	low, high   float64 // mA
	mean        float64 // mA
	unit        float64 // V, mean
	least, most float64 // V
	rate        float64 // Hz
	toggles     bool
}

// oscillate runs the loop about the steady state at idle.
func (c *Car) oscillate() *signal {
	if c.signal != nil {
		return c.signal
	}
	s := c.state(c.routine())
	r := stream(c.seed, "signal")
	g := &signal{low: math.Inf(1), high: math.Inf(-1), least: math.Inf(1), most: math.Inf(-1)}
	gain := -0.5 * c.p[pressurePerCurrent] / max(c.difference(s.current), 0.05) // dλ/dI: λ goes as 1/sqrt(difference)
	if c.flaw.stuckDifference > 0 || s.mode == powerless {
		gain = 0
	}
	least, most := c.ends()
	delay := int(c.p[loopDelay]/sampleEvery + 0.5)
	lag := 1 - math.Exp(-sampleEvery/(c.p[sensorLag]+c.flaw.slow))
	var past [64]float64
	for i := range past {
		past[i] = s.current
	}
	current, volts := s.current, 0.45
	unrest, wander := 0.0, 0.0
	for i := range settling + traceLength {
		past[i%len(past)] = current
		unrest += 0.4 * (c.p[loopNoise]*math.Sqrt2*r.NormFloat64() - unrest)
		seen := s.seen + gain*(past[(i+len(past)-delay)%len(past)]-s.current) + unrest
		if c.flaw.wander > 0 {
			wander += 0.03 * (0.04*c.flaw.wander*r.NormFloat64() - wander)
			seen += wander
		}
		volts += lag * (c.sensorVolts(seen) - volts)
		if s.mode != open && s.mode != powerless && c.flaw.sensor == sensorSound {
			step := c.p[loopRate] * sampleEvery
			if volts > 0.45 {
				step = -step
			}
			current = min(max(least, current+step), most)
		}
		if k := i - settling; k >= 0 {
			g.volts[k] = volts
			g.unit += volts / traceLength
			g.least, g.most = min(g.least, volts), max(g.most, volts)
			g.mean += current / traceLength
			g.low, g.high = min(g.low, current), max(g.high, current)
		}
	}
	g.rate, g.toggles = crossings(g.volts[:])
	c.signal = g
	return g
}

// crossings counts swings from lean to rich and back, through 0.35 and 0.55 V so that unrest at the threshold is no
// swing, by the time from the first upward crossing to the last.
func crossings(volts []float64) (hertz float64, toggles bool) {
	rich := volts[0] > 0.45
	first, last, n := 0, 0, 0
	for i, v := range volts {
		switch {
		case rich && v < 0.35:
			rich = false
		case !rich && v > 0.55:
			rich = true
			if n == 0 {
				first = i
			}
			last = i
			n++
		}
	}
	if n < 2 {
		return float64(n) / (sampleEvery * float64(len(volts))), n > 0
	}
	return float64(n-1) / (sampleEvery * float64(last-first)), true
}
