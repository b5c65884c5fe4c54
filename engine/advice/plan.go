package advice

import "math"

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
	of     []int   // by check: its step, or -1
	next   []int   // by fault: the next of its step, or -1
	ready  []bool  // by preparation: made by an earlier step
	left   float64 // probability of the last resort
}

type step struct {
	check       int
	first, last int // faults, in a list by next
	minutes     float64
	probability float64
	repairs     float64 // expected minutes of repairing what it finds
	absent      float64 // probability that it finds nothing, faults being independent
	reached     float64
}

func newPlanner(p *Problem) *planner {
	return &planner{p: p, of: make([]int, len(p.Checks)), next: make([]int, len(p.Faults)), ready: make([]bool, len(p.Preparations))}
}

// steps groups the faults by what settles them; made is a check that counts as
// made besides those that are, or -1.
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
}

// cost puts the steps in order, works out how many of them to make, and what
// that costs. A preparation that several steps need is counted with the first.
func (l *planner) cost(none float64) (minutes float64, many int) {
	clear(l.ready)
	at := place{none: none, absent: 1}
	for k := range l.byStep {
		at.add(&l.byStep[k])
	}
	minutes = at.reached() * l.p.LastResort
	spent := 0.0
	for k := range l.byStep {
		reached := at.reached()
		if reached < negligibleReach {
			break // nothing that comes can change the sum
		}
		l.choose(k, &at, reached)
		s := &l.byStep[k]
		l.share(s)
		s.reached = reached
		spent += reached*s.minutes + s.repairs
		at.pass(s)
		if all := spent + at.reached()*l.p.LastResort; all < minutes {
			minutes, many = all, k+1
		}
	}
	at = place{none: none, absent: 1}
	for k := range l.byStep {
		if k < many {
			at.done += l.byStep[k].probability
		} else {
			at.add(&l.byStep[k])
		}
	}
	l.left = at.reached()
	return minutes, many
}

// negligibleReach is a probability that a step is needed below which it can be
// left out of a sum of minutes.
const negligibleReach = 1e-9

// choose moves to place k the step that lowers the probability that more is
// needed by most for its minutes. With one fault that is its probability over
// minutes; where several are about, what is certain to be needed anyway goes
// before what is merely quick to try.
func (l *planner) choose(k int, at *place, reached float64) {
	best, gain := k, math.Inf(-1)
	for i := k; i < len(l.byStep); i++ {
		s := &l.byStep[i]
		without := *at
		without.pass(s)
		// A small share of the probability itself decides between steps none of
		// which alone lowers the need, as between two faults that are both certain.
		drop := (reached - without.reached() + 1e-9*s.probability) / max(s.minutes, 1e-9)
		if drop > gain || drop == gain && s.first < l.byStep[best].first {
			best, gain = i, drop
		}
	}
	l.byStep[k], l.byStep[best] = l.byStep[best], l.byStep[k]
}

// place is how far a plan has got.
type place struct {
	none    float64
	done    float64 // sum of the probabilities of the steps made
	absent  float64 // product of the absences of the others, but for those that are 0
	certain int     // how many of them are 0
}

func (p *place) add(s *step) {
	if s.absent == 0 {
		p.certain++
	} else {
		p.absent *= s.absent
	}
}

// pass makes a step.
func (p *place) pass(s *step) {
	if s.absent == 0 {
		p.certain--
	} else {
		p.absent /= s.absent
	}
	p.done += s.probability
}

// reached is the probability that something is left to be done.
func (p *place) reached() float64 {
	any := 1.0
	if p.certain == 0 {
		any = 1 - p.absent
	}
	return p.none + min(1-p.none, max(0, 1-p.none-p.done, any))
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
	for _, s := range l.byStep[:many] {
		t := Step{Check: s.check, Minutes: s.minutes, Probability: min(1, s.probability), Reached: s.reached}
		for i := s.first; i >= 0; i = l.next[i] {
			t.Faults = append(t.Faults, i)
		}
		out.Steps = append(out.Steps, t)
	}
	out.LastResort = l.left
	return out
}

// Plan is the best order of repairing for posteriors of the faults, none being
// the probability that no fault of the network is present.
func (p *Problem) Plan(faults []float64, none float64) Plan {
	return newPlanner(p).plan(faults, none)
}
