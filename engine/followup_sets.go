package engine

import (
	"slices"

	"culprit/engine/belief"
	"culprit/engine/rulefile"
)

// past is what a job of several sets of readings knows beside the last of them.
type past struct {
	sets   []JobSet
	states []*session // by set, with what carries over into it; the last is the one that is ranked
	taken  [][]int    // by set and reading: the set in which it was taken as it counts there, or -1
	moved  [][]bool   // by set and reading: whether the repairs just before it could have moved it
	setUp  []bool     // by reading: it says how the car is set up and not what is wrong with it
	done   []done     // the repairs in their order
}

// done is a repair with what the readings say of it.
type done struct {
	set     int // the first set after it
	fault   *rulefile.Fault
	outcome Outcome
	changed []int // odd readings that the fault explains, and that changed
	same    []int // the same, unchanged
}

// prepareSets resolves a job of several sets of readings: the session gets the
// last, with what carries over, and the repairs as evidence.
//
// A reading counts in the sets after its own until it is taken again or a repair
// is done that could have moved it.
func (p *Pack) prepareSets(s *session, j *Job) error {
	s.reset()
	c := checker{job: j}
	p.check(&c, j)
	if err := c.err(); err != nil {
		return err
	}
	h := &past{sets: j.InSets(), setUp: p.ofSetUp()}
	before := slices.Repeat([]int{-1}, len(p.rules.Readings))
	for k := range h.sets {
		state := s
		if k < len(h.sets)-1 {
			state = &session{values: p.rules.Scope.Values()}
		}
		h.moved = append(h.moved, p.moved(h.sets[k].Repaired, h.setUp))
		p.setSpecs(&c, state.values)
		taken := slices.Repeat([]int{-1}, len(p.rules.Readings))
		p.setReadings(&c, &h.sets[k], k, state.values, taken)
		p.carryOver(h, k, before, taken, state)
		p.takeForGranted(state)
		p.observe(state)
		h.states, h.taken = append(h.states, state), append(h.taken, taken)
		before = taken
	}
	for k, set := range h.sets {
		for _, id := range set.Repaired {
			h.done = append(h.done, p.judge(h, k, p.rules.Fault(id)))
		}
	}
	s.past = h
	s.evidence.Faults = h.known()
	return nil
}

// carryOver adds to set k what counts there although it was taken before: not
// what a repair could have moved, nor what is worked out anew from what was taken
// in this set.
func (p *Pack) carryOver(h *past, k int, before, taken []int, into *session) {
	now := slices.Clone(taken)
	carry := func(i int) {
		if v := h.sets[before[i]].Readings[p.rules.Readings[i].ID]; v.set(p.rules.Readings[i], into.values) == nil {
			taken[i] = before[i]
		}
	}
	var derived []int
	for i, from := range before {
		switch {
		case from < 0 || now[i] == k || h.moved[k][i]:
		case p.rules.Readings[i].From == nil:
			carry(i)
		default:
			derived = append(derived, i)
		}
	}
	// Whether they can be worked out is asked of all before any is carried over, so
	// that their order does not matter.
	derived = slices.DeleteFunc(derived, func(i int) bool {
		return into.values.Known(i) && slices.ContainsFunc(p.sources([]int{i}), func(source int) bool { return now[source] == k })
	})
	for _, i := range derived {
		carry(i)
	}
}

// known is the evidence that repairs are: a fault whose repair was done is not
// there any more, unless the readings say that nothing changed. Of a fault that
// was repaired more than once the last time counts.
func (h *past) known() []belief.KnownFault {
	var out []belief.KnownFault
	for i, d := range h.done {
		again := slices.ContainsFunc(h.done[i+1:], func(later done) bool { return later.fault == d.fault })
		if !again && d.outcome != NoChange {
			out = append(out, belief.KnownFault{Fault: d.fault.Index, Present: 0, Absent: 1})
		}
	}
	return out
}

// moved marks the readings that the repair of faults could have moved: all that
// the faults bear on, and the points of the set-up list, because the car has to be
// set up again after any repair; and what somebody worked out from these.
func (p *Pack) moved(repaired []string, setUp []bool) []bool {
	if len(repaired) == 0 {
		return make([]bool, len(p.rules.Readings))
	}
	out := slices.Clone(setUp)
	for _, id := range repaired {
		for _, i := range p.bearsOn(p.rules.Fault(id)) {
			out[i] = true
		}
	}
	for more := true; more; {
		more = false
		for i, r := range p.rules.Readings {
			if !out[i] && r.From != nil && slices.ContainsFunc(r.From.Reads(), func(k int) bool { return out[k] }) {
				out[i], more = true, true
			}
		}
	}
	return out
}

// ofSetUp marks the readings that say how the car is set up and not what is wrong
// with it: the points of the set-up list, what is taken for granted, and what
// either is worked out from.
func (p *Pack) ofSetUp() []bool {
	var points []int
	for _, r := range p.rules.Readings {
		if r.SetUp != nil || r.Assume != nil {
			points = append(points, r.Index)
		}
	}
	out := make([]bool, len(p.rules.Readings))
	for _, i := range p.sources(points) {
		out[i] = true
	}
	return out
}

// bearsOn lists the readings that a fault bears on: those asked for, directly or
// to work others out, by every rule that shows the fault or a state that it brings.
func (p *Pack) bearsOn(f *rulefile.Fault) []int {
	var reads []int
	for _, r := range p.rules.Rules {
		if p.reaches(f, r, func(shows, otherwise float64) bool { return shows != otherwise }) {
			reads = append(reads, r.When.Reads()...)
		}
	}
	slices.Sort(reads)
	return p.sources(slices.Compact(reads))
}

// leadsTo tells whether a fault makes a rule hold more often.
func (p *Pack) leadsTo(f *rulefile.Fault, r *rulefile.Rule) bool {
	return p.reaches(f, r, func(shows, otherwise float64) bool { return shows > otherwise })
}

// reaches tells whether a rule shows the fault, or a state that it brings, in the
// way that is asked for.
func (p *Pack) reaches(f *rulefile.Fault, r *rulefile.Rule, way func(shows, otherwise float64) bool) bool {
	return slices.ContainsFunc(r.Shows, func(s rulefile.Shown) bool {
		if !way(s.Strength, r.Otherwise) {
			return false
		}
		return s.Fault == f || s.Condition != nil && slices.ContainsFunc(f.Brings, func(l rulefile.Link) bool {
			return l.Condition == s.Condition && l.State == s.State && l.Strength > l.Condition.States[l.State].OfItself
		})
	})
}

// odd tells whether a rule points at something wrong where it holds.
func odd(r *rulefile.Rule) bool {
	return slices.ContainsFunc(r.Shows, func(s rulefile.Shown) bool { return s.Strength > r.Otherwise })
}
