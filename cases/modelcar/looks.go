package modelcar

import (
	"math"
	"math/rand/v2"
)

// yesNo are the readings with two answers that follow from the car itself: the chance of yes.
var yesNo = []struct {
	id string
	of func(c *Car) float64
}{
	{"engine_warm", func(c *Car) float64 { return chance(c.p[coolant] >= 75) }},
	{"electrical_load_off", func(c *Car) float64 { return chance(!c.options.Consumers) }},
	{"sensor_connected", func(c *Car) float64 { return chance(!c.options.SensorUnplugged) }},
	{"purge_disconnected", func(c *Car) float64 { return chance(!c.options.Purge) }},
	{"breather_vented", func(c *Car) float64 { return chance(!c.options.Breather) }},
	{"current_just_set", func(c *Car) float64 { return chance(c.options.JustSet) }},
	{"idle_switch_closed", func(c *Car) float64 { return chance(!c.flaw.switchOpen) }},
	{"pressure_follows_current", func(c *Car) float64 { return chance(c.flaw.stuckDifference == 0 && !c.flaw.regulatorOpen) }},
	{"sensor_toggling", func(c *Car) float64 { return chance(c.oscillate().toggles) }},
	{"misfire_felt", func(c *Car) float64 { return step(c.missed(), 0.02, 0.006) }},
	{"one_plug_differs", func(c *Car) float64 { _, odd := c.plugs(); return odd }},
}

func chance(is bool) float64 {
	if is {
		return 1
	}
	return 0
}

// step is a chance that goes from 0 to 1 about a middle, over a width: judgement what a person notices.
func step(x, middle, width float64) float64 { return 1 / (1 + math.Exp((middle-x)/width)) }

// missed is the share of all cycles at idle that do not fire.
func (c *Car) missed() float64 {
	m := c.atIdle().missing
	return (m[0] + m[1] + m[2] + m[3]) / 4
}

// plugs gives the cylinder furthest from the others, and the chance that its plug is seen to differ.
func (c *Car) plugs() (worst int, odd float64) {
	s := c.atIdle()
	most := -1.0
	for i := range 4 {
		off := math.Abs(math.Log(s.lambda[i]/s.mean))/0.10 + s.missing[i]/0.12 + c.flaw.lowCylinder[i]/0.35
		if off > most {
			worst, most = i, off
		}
	}
	return worst, step(most, 1, 0.15)
}

// look is the yes/no reading of a table.
func (c *Car) look(u Usually) bool {
	other := 1 - u.Otherwise
	for _, l := range Looks {
		if l.Reading != u.Reading {
			continue
		}
		for _, f := range c.faults {
			if f.ID == l.Fault {
				other *= 1 - l.Often*math.Sqrt(min(1, f.Severity/l.From))
			}
		}
	}
	odd := c.decide(1-other, u.Reading)
	return u.Sound != odd
}

// decide draws what has a chance.
func (c *Car) decide(chance float64, purpose string) bool {
	if c.options.Exact {
		return chance > 0.5
	}
	return stream(c.seed, purpose).Float64() < chance
}

// idleQuality is how the engine idles: rough where cycles are missing or cylinders pull unlike each other, hunting
// where the loop or the valve swings slowly.
func (c *Car) idleQuality() string {
	rough := max(step(c.missed(), 0.02, 0.006), step(c.balanceShare(), 0.3, 0.05))
	hunting := 0.9*min(1, math.Abs(c.flaw.valveOffset)/25) + 0.8*min(1, c.flaw.slow/2)
	if c.atIdle().stalled {
		return "rough"
	}
	return c.pick("idle_quality", []Weighted{
		{"rough", rough},
		{"hunting", (1 - rough) * min(0.9, hunting)},
		{"steady", (1 - rough) * (1 - min(0.9, hunting))},
	})
}

func (c *Car) balanceShare() float64 {
	b := c.balanceSpread() / c.p[balanceDrop]
	if math.IsNaN(b) {
		return 1
	}
	return b
}

// plugLook is the look of the odd plug, or of all.
func (c *Car) plugLook() string {
	s := c.atIdle()
	i, odd := c.plugs()
	if odd < 0.5 {
		switch {
		case s.mean < 0.93:
			return c.pick("plug_look", []Weighted{{"sooty", 0.85}, {"normal", 0.15}})
		case s.mean > 1.08:
			return c.pick("plug_look", []Weighted{{"white", 0.7}, {"normal", 0.3}})
		}
		return c.pick("plug_look", []Weighted{{"normal", 0.9}, {"sooty", 0.05}, {"white", 0.05}})
	}
	switch {
	case c.flaw.lowCylinder[i] > 0.15:
		return c.pick("plug_look", []Weighted{{"oily", 0.65}, {"sooty", 0.2}, {"normal", 0.15}})
	case s.missing[i] > 0.08 && s.lambda[i] < 1.1:
		return c.pick("plug_look", []Weighted{{"sooty", 0.6}, {"normal", 0.25}, {"oily", 0.15}})
	case s.lambda[i] < s.mean:
		return c.pick("plug_look", []Weighted{{"sooty", 0.9}, {"normal", 0.1}})
	}
	return c.pick("plug_look", []Weighted{{"white", 0.85}, {"normal", 0.15}})
}

// complaint is what the customer says: of the faults the one that is drawn by its severity.
func (c *Car) complaint() string {
	words := []Weighted{{"none", 0.5}}
	for _, f := range c.faults {
		for _, k := range Complaints {
			if k.Fault != f.ID {
				continue
			}
			sum := 0.0
			for _, w := range k.Words {
				sum += w.Weight
			}
			for _, w := range k.Words {
				words = append(words, Weighted{w.Word, 3 * f.Severity * w.Weight / sum})
			}
		}
	}
	return c.pick("complaint", words)
}

// pick draws one of several words by their weights; the likeliest where draws are off.
func (c *Car) pick(purpose string, words []Weighted) string {
	if c.options.Exact {
		best := words[0]
		for _, w := range words {
			if w.Weight > best.Weight {
				best = w
			}
		}
		return best.Word
	}
	return draw(stream(c.seed, purpose), words)
}

func draw(r *rand.Rand, words []Weighted) string {
	sum := 0.0
	for _, w := range words {
		sum += w.Weight
	}
	at := r.Float64() * sum
	for _, w := range words {
		if at -= w.Weight; at < 0 {
			return w.Word
		}
	}
	return words[len(words)-1].Word
}
