package modelcar

import (
	"math"
	"slices"
)

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
	gain := c.lambdaPerCurrent(s.current)
	if s.mode == powerless {
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
		volts += lag * (c.unitVolts(seen) - volts)
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
			g.mean += current / traceLength
			g.low, g.high = min(g.low, current), max(g.high, current)
		}
	}
	steady := withoutSpikes(g.volts[:])
	for _, v := range steady {
		g.least, g.most = min(g.least, v), max(g.most, v)
	}
	g.rate, g.toggles = crossings(steady)
	c.signal = g
	return g
}

// lambdaPerCurrent is what lambda, near 1, changes with the current, for each mA: it goes as 1/sqrt(difference).
func (c *Car) lambdaPerCurrent(current float64) float64 {
	if c.flaw.stuckDifference > 0 {
		return 0
	}
	return -0.5 * c.p[pressurePerCurrent] / max(c.difference(current), 0.05)
}

// crossings counts swings from lean to rich and back as somebody with a watch does, over 0.50 V and under 0.40 V so
// that unrest at the threshold is no swing, by the time from the first pass in either direction to the last in the
// same. Slower than a swing in five seconds is called standing still: a judgement.
func crossings(volts []float64) (hertz float64, toggles bool) {
	const rich, lean = 0.5, 0.4
	var passes []int
	side := 0
	for i, v := range volts {
		now := side
		if v > rich {
			now = 1
		} else if v < lean {
			now = -1
		}
		if now != side && side != 0 {
			passes = append(passes, i)
		}
		side = now
	}
	seconds := sampleEvery * float64(len(volts)-1)
	toggles = len(passes) >= 2 && float64(len(passes)+1) >= 0.4*seconds
	cycles, time := 0, 0
	for i := range min(2, len(passes)) {
		n := (len(passes) - 1 - i) / 2
		cycles += n
		time += passes[i+2*n] - passes[i]
	}
	if cycles == 0 {
		return float64(len(passes)) / 2 / seconds, toggles
	}
	return float64(cycles) / (sampleEvery * float64(time)), toggles
}

// withoutSpikes gives the median of each sample and its neighbours: what lasts a twentieth of a second nobody reads
// off.
func withoutSpikes(volts []float64) []float64 {
	out := slices.Clone(volts)
	for i := 1; i+1 < len(volts); i++ {
		a, b, c := volts[i-1], volts[i], volts[i+1]
		out[i] = max(min(a, b), min(max(a, b), c))
	}
	out[0], out[len(out)-1] = out[1], out[len(out)-2]
	return out
}
