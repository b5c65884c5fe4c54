package advice

import (
	"fmt"

	"culprit/engine/belief"
)

// Problem is one job in numbers: what is believed, what can be done, and what it
// costs. Faults and findings count as in the network. All times are in minutes.
type Problem struct {
	Net      *belief.Network
	Evidence belief.Evidence
	Faults   []Fault // by fault of the network
	Checks   []Check
	// Preparations are what checks share and that is made once, each with its
	// minutes; 0 for one that is made already.
	Preparations []float64
	// LastResort is the cost of what is done when no repair has helped.
	LastResort float64

	// Several is how much less likely each further fault to blame is than its
	// prior alone says, above 0 and at most 1; 0 means [DefaultSeveral]. Outside is
	// the prior probability that what is to blame lies outside the network, at
	// least 0 and below 1; 0 means [DefaultOutside]. With Several 1 and
	// Outside the probability of no fault, the network's own posterior is used.
	Several, Outside float64

	to *blame // while the checks are weighed: Evidence has its weights
}

// Judgements of what is to blame; see the comment of the package.
const (
	DefaultSeveral = 0.1
	DefaultOutside = 0.05
)

// Fault is what it takes to end a fault.
type Fault struct {
	Repair float64 // minutes
	Settle int     // index of the check that settles it, -1 where there is none
	// NoRepair says that the pack knows no repair: only the last resort ends it.
	NoRepair bool
}

// Check is something that can be done to learn more.
type Check struct {
	Minutes float64 // what it takes by itself, preparations not included
	Prepare []int   // the preparations that it needs
	// Findings are those that it decides, none of them seen yet.
	Findings []int
	// Made says that it has been made: it says nothing new, and a fault that it
	// settles is tried by repairing it.
	Made bool
	// Barred says that it cannot be made, for want of a tool.
	Barred bool
}

// check reports the first thing that is wrong with the problem.
func (p *Problem) check() error {
	if p.Net == nil || len(p.Faults) != p.Net.Faults() {
		return fmt.Errorf("advice: %d faults for another number in the network", len(p.Faults))
	}
	if !(p.LastResort >= 0) {
		return fmt.Errorf("advice: a last resort of %v minutes", p.LastResort)
	}
	if !(p.Several >= 0 && p.Several <= 1 && p.Outside >= 0 && p.Outside < 1) {
		return fmt.Errorf("advice: several %v and outside %v are not within 0..1", p.Several, p.Outside)
	}
	for i, f := range p.Faults {
		if f.Settle < -1 || f.Settle >= len(p.Checks) {
			return fmt.Errorf("advice: fault %d: there is no check %d, only %d", i, f.Settle, len(p.Checks))
		}
		if !(f.Repair >= 0) {
			return fmt.Errorf("advice: fault %d: a repair of %v minutes", i, f.Repair)
		}
	}
	for i, c := range p.Checks {
		if !(c.Minutes >= 0) {
			return fmt.Errorf("advice: check %d: %v minutes", i, c.Minutes)
		}
		for _, k := range c.Prepare {
			if k < 0 || k >= len(p.Preparations) {
				return fmt.Errorf("advice: check %d: there is no preparation %d, only %d", i, k, len(p.Preparations))
			}
		}
	}
	for k, m := range p.Preparations {
		if !(m >= 0) {
			return fmt.Errorf("advice: preparation %d: %v minutes", k, m)
		}
	}
	return nil
}

// minutes is what a check takes as things are.
func (p *Problem) minutes(check int) float64 {
	c := &p.Checks[check]
	m := c.Minutes
	for _, k := range c.Prepare {
		m += p.Preparations[k]
	}
	return m
}
