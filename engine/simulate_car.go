package engine

import (
	"math/rand/v2"

	"culprit/engine/advice"
	"culprit/engine/belief"
)

// SimCar is a simulated car: faults, and what every rule would say. What chance
// has to decide was decided once, so the same check says the same twice, and a
// car of which a fault was repaired is the same car without it.
type SimCar struct {
	s       *Simulator
	present []bool // by fault
	says    []int  // by finding: its outcome, the number of outcomes for none

	// Uniform numbers in 0..1, one for everything that is left to chance.
	links  []float64   // whether a link turns its state on
	leaks  [][]float64 // by condition and state: whether it comes of itself
	states []float64   // by condition: which of several states that are caused at once
	finds  []float64   // by finding: its outcome
}

// Car draws a car.
func (s *Simulator) Car(d Draw, random *rand.Rand) *SimCar {
	m := &s.pack.model
	c := &SimCar{s: s, present: make([]bool, len(m.Faults)), says: make([]int, len(m.Findings))}
	s.drawFaults(c.present, d, random)
	c.links = uniform(len(m.Links), random)
	for _, x := range m.Conditions {
		c.leaks = append(c.leaks, uniform(len(x.Leaks), random))
	}
	c.states = uniform(len(m.Conditions), random)
	c.finds = uniform(len(m.Findings), random)
	c.settle()
	return c
}

// CarWith draws a car that has exactly these faults, by index.
func (s *Simulator) CarWith(faults []int, random *rand.Rand) *SimCar {
	c := s.Car(DrawOne, random)
	c.present = make([]bool, len(c.present))
	for _, f := range faults {
		c.present[f] = true
	}
	c.settle()
	return c
}

func uniform(n int, random *rand.Rand) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = random.Float64()
	}
	return out
}

func (s *Simulator) drawFaults(present []bool, d Draw, random *rand.Rand) {
	switch d {
	case DrawOne:
		s.addFault(present, random)
	case DrawTwo:
		s.addFault(present, random)
		s.addFault(present, random)
	case DrawAny:
		s.drawEach(present, 1, random)
	case DrawWeighed:
		if random.Float64() >= advice.DefaultOutside {
			s.drawEach(present, advice.DefaultSeveral, random)
		}
	}
}

// addFault draws one of the faults that are not there yet, by how common each is.
func (s *Simulator) addFault(present []bool, random *rand.Rand) {
	sum := 0.0
	for f, x := range s.pack.model.Faults {
		if !present[f] {
			sum += x.Prior
		}
	}
	at := random.Float64() * sum
	last := -1
	for f, x := range s.pack.model.Faults {
		if present[f] {
			continue
		}
		last = f
		if at -= x.Prior; at < 0 {
			break
		}
	}
	if last >= 0 {
		present[last] = true
	}
}

// drawEach draws every fault by itself, its odds being so many times those of its
// prior, until there is one.
func (s *Simulator) drawEach(present []bool, times float64, random *rand.Rand) {
	for many := 0; many == 0; {
		for f, x := range s.pack.model.Faults {
			present[f] = random.Float64()*(1-x.Prior+times*x.Prior) < times*x.Prior
			if present[f] {
				many++
			}
		}
	}
}

// settle works out what every rule says from the faults and from chance.
func (c *SimCar) settle() {
	m := &c.s.pack.model
	on := make([][]bool, len(m.Conditions))
	for i, x := range m.Conditions {
		on[i] = make([]bool, len(x.Leaks))
		for k, leak := range x.Leaks {
			on[i][k] = c.leaks[i][k] < leak
		}
	}
	for k, l := range m.Links {
		leak := m.Conditions[l.Condition].Leaks[l.State]
		if c.present[l.Fault] && leak < 1 && c.links[k] < c.s.car.acting[k]*(l.Strength-leak)/(1-leak) {
			on[l.Condition][l.State] = true
		}
	}
	values := make([]int, len(on))
	for i := range on {
		values[i] = choose(on[i], c.states[i])
	}
	for f := range m.Findings {
		c.says[f] = c.outcome(&m.Findings[f], values, c.finds[f])
	}
}

// choose picks one of the states that are on, evenly: 0 for none, 1 for the first.
func choose(on []bool, u float64) int {
	var all []int
	for k, is := range on {
		if is {
			all = append(all, k+1)
		}
	}
	if len(all) == 0 {
		return 0
	}
	return all[min(int(u*float64(len(all))), len(all)-1)]
}

// outcome is what a finding says where the conditions have these values.
func (c *SimCar) outcome(f *belief.Finding, values []int, u float64) int {
	if len(f.Outcomes) == 1 {
		if u < c.chance(&f.Outcomes[0], values) {
			return 0
		}
		return 1
	}
	for k := range f.Outcomes {
		if u -= one(&f.Outcomes[k], values); u < 0 {
			return k
		}
	}
	return len(f.Outcomes)
}

// chance is a noisy-OR of the states and faults that an outcome shows, its leak
// included in each strength: 1 - (1-leak) prod (1-p)/(1-leak), within 0..1
// (docs/reasoning.md).
func (c *SimCar) chance(o *belief.Outcome, values []int) float64 {
	if o.Leak == 1 {
		return 1
	}
	off := 1 - o.Leak
	for _, s := range o.States {
		if values[s.Condition] == s.State+1 {
			off *= (1 - s.Strength) / (1 - o.Leak)
		}
	}
	for _, p := range o.Faults {
		if c.present[p.Fault] {
			off *= (1 - p.Strength) / (1 - o.Leak)
		}
	}
	return max(0, 1-off)
}

// one is the chance of one of several outcomes, which show one condition.
func one(o *belief.Outcome, values []int) float64 {
	for _, s := range o.States {
		if values[s.Condition] == s.State+1 {
			return s.Strength
		}
	}
	return o.Leak
}

// Faults lists the ids of the faults that the car has.
func (c *SimCar) Faults() []string {
	var ids []string
	for f, is := range c.present {
		if is {
			ids = append(ids, c.s.pack.rules.Faults[f].ID)
		}
	}
	return ids
}

// Say is what a finding of the network says in this car: the index of its
// outcome, the number of outcomes for none.
func (c *SimCar) Say(finding int) int { return c.says[finding] }
