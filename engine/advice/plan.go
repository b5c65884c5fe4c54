package advice

import (
	"cmp"
	"slices"
)

// Plan is an order of repairing, and what it is expected to cost.
type Plan struct {
	Steps []Step
	// LastResort is the probability that the last resort is needed.
	LastResort float64
	// Minutes is the expected cost of all: steps, repairs and last resort.
	Minutes float64
}

// Step settles faults by a check and repairs what it finds, or repairs outright.
type Step struct {
	Check       int     // -1: repair outright
	Faults      []int   // that it would find; exactly one without a check
	Minutes     float64 // of the check with what is not prepared by then, or of the repair
	Probability float64 // that it finds something, when it is reached first
	Reached     float64 // probability that the step is needed at all
}

// planner works plans out in memory that it uses again.
type planner struct {
	p      *Problem
	byStep []step
	of     []int // by check: its step, or -1
	next   []int // by fault: the next of its step, or -1
	absent []float64
	ready  []bool // by preparation: made by an earlier step
}

type step struct {
	check       int
	first, last int // faults, in a list by next
	minutes     float64
	probability float64
	repairs     float64 // expected minutes of repairing what it finds
	absent      float64 // probability that it finds nothing, faults being independent
}

func newPlanner(p *Problem) *planner {
	return &planner{p: p, of: make([]int, len(p.Checks)), next: make([]int, len(p.Faults)), ready: make([]bool, len(p.Preparations))}
}

// steps groups the faults by what settles them and sorts the groups; made is a
// check that counts as made besides those that are, or -1.
func (l *planner) steps(faults []float64, made int) {
	l.byStep = l.byStep[:0]
	for i := range l.of {
		l.of[i] = -1
	}
	for i := range l.p.Faults {
		f := &l.p.Faults[i]
		l.next[i] = -1
		if f.NoRepair {
			continue
		}
		s := step{check: -1, first: i, last: i, minutes: f.Repair, probability: faults[i], absent: 1 - faults[i]}
		if k := f.Settle; k >= 0 && k != made && !l.p.Checks[k].Made && !l.p.Checks[k].Barred {
			s.check, s.minutes, s.repairs = k, l.p.minutes(k), faults[i]*f.Repair
			if at := l.of[k]; at >= 0 {
				t := &l.byStep[at]
				l.next[t.last] = i
				t.last = i
				t.probability += s.probability
				t.repairs += s.repairs
				t.absent *= s.absent
				continue
			}
			l.of[k] = len(l.byStep)
		}
		l.byStep = append(l.byStep, s)
	}
	slices.SortFunc(l.byStep, func(a, b step) int {
		// by probability over minutes, without dividing by minutes that may be 0
		return cmp.Or(cmp.Compare(b.probability*a.minutes, a.probability*b.minutes), cmp.Compare(a.first, b.first))
	})
}

// cost works out how many of the steps to make, and what that costs. A
// preparation that several steps need is counted with the first of them.
func (l *planner) cost(none float64) (minutes float64, many int) {
	l.reach()
	clear(l.ready)
	done, repairs := 0.0, 0.0
	minutes, many = l.reached(0, none, 0)*l.p.LastResort, 0
	spent := 0.0
	for k := range l.byStep {
		s := &l.byStep[k]
		l.share(s)
		spent += l.reached(k, none, done) * s.minutes
		repairs += s.repairs
		done += s.probability
		if all := spent + repairs + l.reached(k+1, none, done)*l.p.LastResort; all < minutes {
			minutes, many = all, k+1
		}
	}
	return minutes, many
}

// share takes off a step what an earlier one has prepared.
func (l *planner) share(s *step) {
	if s.check < 0 {
		return
	}
	for _, k := range l.p.Checks[s.check].Prepare {
		if l.ready[k] {
			s.minutes -= l.p.Preparations[k]
		}
		l.ready[k] = true
	}
}

// reach prepares the chance that nothing is present from each step on.
func (l *planner) reach() {
	l.absent = append(l.absent[:0], make([]float64, len(l.byStep)+1)...)
	rest := 1.0
	for i := len(l.byStep); i >= 0; i-- {
		if i < len(l.byStep) {
			rest *= l.byStep[i].absent
		}
		l.absent[i] = rest
	}
}

// reached is the probability that step k is needed when the steps before found
// something with the probabilities that add up to done.
func (l *planner) reached(k int, none, done float64) float64 {
	return none + min(1-none, max(0, 1-none-done, 1-l.absent[k]))
}

// expected is the expected cost of repairing.
func (l *planner) expected(faults []float64, none float64, made int) float64 {
	l.steps(faults, made)
	minutes, _ := l.cost(none)
	return minutes
}

// perfect is what repairing would cost on the average if it were known what is
// wrong; never more than the plan.
func (l *planner) perfect(faults []float64, none, plan float64) float64 {
	sum := none * l.p.LastResort
	for i := range l.p.Faults {
		f := &l.p.Faults[i]
		if f.NoRepair {
			sum += faults[i] * l.p.LastResort
		} else {
			sum += faults[i] * min(f.Repair, l.p.LastResort)
		}
	}
	return min(sum, plan)
}

// plan spells the plan out.
func (l *planner) plan(faults []float64, none float64) Plan {
	l.steps(faults, -1)
	var out Plan
	var many int
	out.Minutes, many = l.cost(none)
	done := 0.0
	for k := range l.byStep[:many] {
		s := &l.byStep[k]
		t := Step{Check: s.check, Minutes: s.minutes, Probability: min(1, s.probability), Reached: l.reached(k, none, done)}
		for i := s.first; i >= 0; i = l.next[i] {
			t.Faults = append(t.Faults, i)
		}
		out.Steps = append(out.Steps, t)
		done += s.probability
	}
	out.LastResort = l.reached(many, none, done)
	return out
}

// Plan is the best order of repairing for posteriors of the faults, none being
// the probability that no fault of the network is present.
func (p *Problem) Plan(faults []float64, none float64) Plan {
	return newPlanner(p).plan(faults, none)
}
