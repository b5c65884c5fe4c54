package engine

import (
	"fmt"
	"slices"
)

// SimMove is one thing done with a car: Do is [DoCheck] or [DoRepair] with the id
// of a check or a fault, or [DoLastResort] with none.
type SimMove struct{ Do, ID string }

func (m SimMove) String() string {
	if m.ID == "" {
		return m.Do
	}
	return m.Do + " " + m.ID
}

// SimTally is what a simulated job took.
type SimTally struct {
	Minutes float64 // all of it
	// Unavoidable are, of that, what the job takes whoever knows from the start what is
	// wrong: the opening, and the repairs with measuring again after them, or the last
	// resort where that is shorter or no repair helps. The same for everybody.
	Unavoidable float64
	Checks      int // made, the opening not counted
	Wasted      int // repairs of faults that were not there
	LastResort  bool
}

// Diagnosis are the minutes that finding out what is wrong has taken.
func (t *SimTally) Diagnosis() float64 { return t.Minutes - t.Unavoidable }

// SimJob is a job on a simulated car. It ends when every fault that the car had
// has been repaired, or with the last resort.
//
// After each repair the car is measured again ([MeasureAgain]): that tells whether it is in
// order now. Where it is not, a repair that found its fault has
// changed the readings, and those taken before are taken anew; else they stand. Either way
// the fault is out.
type SimJob struct {
	s        *Simulator
	car      *SimCar // its own copy
	made     []bool  // by check
	prepared []bool  // by preparation
	repaired []bool  // by fault
	taken    []bool  // by reading
	found    []int   // findings that have an outcome
	over     bool
	tally    SimTally
}

// Start begins a job with the opening. The car is not changed by it.
func (s *Simulator) Start(car *SimCar) *SimJob {
	own := *car
	own.present, own.says = slices.Clone(car.present), slices.Clone(car.says)
	rules := s.pack.rules
	j := &SimJob{s: s, car: &own, made: make([]bool, len(rules.Checks)), prepared: make([]bool, len(rules.Preparations)), repaired: make([]bool, len(rules.Faults))}
	j.taken = s.taken(j.made)
	for _, c := range s.opening {
		j.make(c.Index)
	}
	j.tally.Checks = 0
	j.tally.Unavoidable = j.tally.Minutes + s.knowing(car)
	return j
}

// knowing are the minutes of ending all that a car has for whoever knows what it is.
func (s *Simulator) knowing(car *SimCar) float64 {
	if !slices.Contains(car.present, true) {
		return s.pack.lastResort()
	}
	sum := 0.0
	for _, f := range s.pack.rules.Faults {
		switch {
		case !car.present[f.Index]:
		case f.Repair == nil:
			return s.pack.lastResort()
		default:
			sum += f.Repair.Minutes + MeasureAgain
		}
	}
	return min(sum, s.pack.lastResort())
}

// Over tells whether the job has ended.
func (j *SimJob) Over() bool { return j.over }

// Tally is what it took so far.
func (j *SimJob) Tally() SimTally { return j.tally }

// Do makes a move. A check that has been made, a repair that has been done, a fault without a
// repair, an id that the pack does not know, and any move after the end are errors.
func (j *SimJob) Do(m SimMove) error {
	if j.over {
		return fmt.Errorf("the job is over")
	}
	rules := j.s.pack.rules
	switch m.Do {
	case DoCheck:
		c := rules.Check(m.ID)
		if c == nil || j.made[c.Index] {
			return fmt.Errorf("there is no check %q that has not been made", m.ID)
		}
		j.make(c.Index)
	case DoRepair:
		for _, f := range rules.Faults {
			if f.ID == m.ID && f.Repair != nil && !j.repaired[f.Index] {
				j.repair(f.Index, f.Repair.Minutes)
				return nil
			}
		}
		return fmt.Errorf("there is no fault %q that can still be repaired", m.ID)
	case DoLastResort:
		j.tally.LastResort, j.over = true, true
		j.tally.Minutes += j.s.pack.lastResort()
	default:
		return fmt.Errorf("there is nothing to do that is called %q", m.Do)
	}
	return nil
}

func (j *SimJob) make(check int) {
	c := j.s.pack.rules.Checks[check]
	j.tally.Minutes += j.minutes(check)
	j.tally.Checks++
	for _, k := range c.Prepare {
		j.prepared[k] = true
	}
	j.made[check] = true
	j.taken, j.found = j.s.taken(j.made), j.s.findings(j.made)
}

// minutes is what a check takes as things are: less for what is prepared.
func (j *SimJob) minutes(check int) float64 {
	c := j.s.pack.rules.Checks[check]
	m := c.Minutes
	for _, k := range c.Prepare {
		if j.prepared[k] {
			m -= j.s.pack.rules.Preparations[k].Minutes
		}
	}
	return m
}

func (j *SimJob) repair(fault int, minutes float64) {
	j.repaired[fault] = true
	j.tally.Minutes += minutes + MeasureAgain
	if !j.car.present[fault] {
		j.tally.Wasted++
		return
	}
	j.car.present[fault] = false
	j.over = !slices.Contains(j.car.present, true)
	j.car.settle()
}

// SimCheck is a check that would decide something.
type SimCheck struct {
	ID      string
	Minutes float64 // as things are
}

// Checks lists the checks that would decide something, in the pack's order.
func (j *SimJob) Checks() []SimCheck {
	var out []SimCheck
	p := j.problem()
	for i, c := range p.Checks {
		if !c.Made && len(c.Findings) > 0 {
			out = append(out, SimCheck{j.s.pack.rules.Checks[i].ID, j.minutes(i)})
		}
	}
	return out
}

// SimFault is a fault as things are.
type SimFault struct {
	ID          string
	Probability float64 // that it is to blame, as the planner counts
	Settle      string  // the check that settles it; "" where none does
	Settled     bool    // that check has been made
	Repairable  bool    // the pack knows a repair, and it has not been done
}

// Faults lists all faults in the pack's order. An error is one of the network.
func (j *SimJob) Faults() ([]SimFault, error) {
	b, err := j.beliefs()
	if err != nil {
		return nil, err
	}
	var out []SimFault
	for i, f := range j.s.pack.rules.Faults {
		x := SimFault{ID: f.ID, Probability: b.faults[i], Repairable: f.Repair != nil && !j.repaired[i]}
		if f.Settle != nil {
			x.Settle, x.Settled = f.Settle.ID, j.isMade(f.Settle.Index)
		}
		out = append(out, x)
	}
	return out, nil
}

// isMade tells whether a check has been made, or all that it yields taken.
func (j *SimJob) isMade(check int) bool {
	if j.made[check] {
		return true
	}
	return !slices.ContainsFunc(j.s.pack.rules.Checks[check].Yields, func(i int) bool { return !j.taken[i] })
}
