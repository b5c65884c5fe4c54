package engine

import (
	"fmt"
	"slices"
	"sync"

	"culprit/engine/belief"
	"culprit/engine/rulefile"
)

// MeasureAgain are the minutes that measuring again takes after a repair, whoever
// made it, in a simulated job. A judgement.
const MeasureAgain = 10

// Simulator draws cars from a pack's own numbers and keeps the books of jobs on
// them. It is for comparing ways of choosing checks, not for finding out whether
// the rules are right: its cars obey the rules.
//
// A simulated car is ready to be measured (every set-up point is met, what is
// assumed is so) and all its figures are known. A rule answers once its readings
// have been taken, if its given can then be so; a given that asks for measured values
// counts as so, as in [Apart]. A check that would find nothing out is made, if at
// all, in vain.
//
// It is safe for concurrent use.
type Simulator struct {
	pack    *Pack
	car     *readyCar
	opening []*rulefile.Check // made on every car before anything else
	asks    []asks            // by rule
	derived []*rulefile.Reading

	mu      sync.Mutex
	decided map[string][]int    // by checks made: the findings that have an outcome
	moves   map[string]SimMove  // by state and depth of the look ahead
	beliefs map[string]*beliefs // by state
}

// beliefs are what is to blame, and the first step of repairing by that.
type beliefs struct {
	faults []float64
	first  SimMove
}

// Simulate prepares a pack for simulated jobs.
func (p *Pack) Simulate() *Simulator {
	s := &Simulator{pack: p, car: p.readyCar(), opening: p.opening(), decided: map[string][]int{}, moves: map[string]SimMove{}, beliefs: map[string]*beliefs{}}
	s.ask()
	return s
}

// Opening lists the ids of the checks that every job begins with: the one that
// yields the complaint, and the set-up list, that is the quickest of those that
// yield most of the set-up points that nobody may assume.
func (s *Simulator) Opening() []string {
	var ids []string
	for _, c := range s.opening {
		ids = append(ids, c.ID)
	}
	return ids
}

// Checks lists the ids of all checks but those of the opening, in the pack's order.
func (s *Simulator) Checks() []string {
	var ids []string
	for _, c := range s.pack.rules.Checks {
		if !slices.Contains(s.opening, c) {
			ids = append(ids, c.ID)
		}
	}
	return ids
}

// complaint is the id of the reading that says what the customer came with.
const complaint = "complaint"

func (p *Pack) opening() []*rulefile.Check {
	var ask, list *rulefile.Check
	most := 0
	for _, c := range p.rules.Checks {
		if slices.ContainsFunc(c.Yields, func(i int) bool { return p.rules.Readings[i].ID == complaint }) && (ask == nil || c.Minutes < ask.Minutes) {
			ask = c
		}
		points := 0
		for _, r := range p.rules.Readings {
			if r.SetUp != nil && r.Assume == nil && p.canYield(c, r) {
				points++
			}
		}
		if points > most || points == most && list != nil && c.Minutes < list.Minutes {
			list, most = c, points
		}
	}
	return slices.DeleteFunc(distinct([]*rulefile.Check{ask, list}), func(c *rulefile.Check) bool { return c == nil })
}

// Draw is how many faults a simulated car has.
type Draw int

// One fault, drawn by how common each is; two different ones, each drawn so; any
// number, each fault being present or absent by itself as the network has it, given
// that one is; or as the planner weighs what is to blame ([advice.Problem]): mostly
// one, each further one ten times rarer than by itself, and one car in twenty with a fault
// outside the rules, which only the last resort ends.
const (
	DrawOne Draw = iota
	DrawTwo
	DrawAny
	DrawWeighed
)

// Draws are all of them, by the word that asks for each.
var Draws = map[string]Draw{"one": DrawOne, "two": DrawTwo, "more": DrawAny, "weighed": DrawWeighed}

// String is the draw in words.
func (d Draw) String() string {
	switch d {
	case DrawOne:
		return "one fault"
	case DrawTwo:
		return "two faults at once"
	case DrawAny:
		return "one fault or more"
	case DrawWeighed:
		return "as the planner weighs faults"
	}
	return fmt.Sprintf("draw %d", int(d))
}

// evidence is what a job's readings say, and that faults have been repaired.
func (s *Simulator) evidence(j *SimJob) belief.Evidence {
	e := belief.Evidence{Acting: s.car.acting}
	for _, f := range j.found {
		e.Seen = append(e.Seen, s.pack.net.Sure(f, j.car.says[f]))
	}
	for f, done := range j.repaired {
		if done {
			e.Faults = append(e.Faults, belief.KnownFault{Fault: f, Present: 0, Absent: 1})
		}
	}
	return e
}
