package engine

import (
	"culprit/engine/advice"
	"culprit/engine/rulefile"
)

// What checks, repairs and the last resort of a pack cost, as the planner counts it:
// for a job at hand and for simulated ones alike.

// noLastResort are the minutes that a last resort counts with where a pack names
// none: half a day. A judgement.
const noLastResort = 240

func (p *Pack) lastResort() float64 {
	if last := p.rules.About.LastResort; last != nil {
		return last.Minutes
	}
	return noLastResort
}

// repairs are the faults as the planner sees them; each repair takes so many
// minutes more than the pack says.
func (p *Pack) repairs(more float64) []advice.Fault {
	var out []advice.Fault
	for _, f := range p.rules.Faults {
		a := advice.Fault{Settle: -1, NoRepair: f.Repair == nil}
		if f.Repair != nil {
			a.Repair = f.Repair.Minutes + more
		}
		if f.Settle != nil {
			a.Settle = f.Settle.Index
		}
		out = append(out, a)
	}
	return out
}

// ownMinutes is what a check takes without its preparations.
func (p *Pack) ownMinutes(c *rulefile.Check) float64 {
	minutes := c.Minutes
	for _, k := range c.Prepare {
		minutes -= p.rules.Preparations[k].Minutes
	}
	return minutes
}

// preparing is what each preparation takes; nothing where it is made.
func (p *Pack) preparing(made []bool) []float64 {
	var out []float64
	for k, x := range p.rules.Preparations {
		minutes := x.Minutes
		if made[k] {
			minutes = 0
		}
		out = append(out, minutes)
	}
	return out
}
