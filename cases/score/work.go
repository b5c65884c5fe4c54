package score

import (
	"context"
	"math"
	"slices"

	"culprit/cases/modelcar"
	"culprit/cases/strategies"
	"culprit/engine"
)

// Work is what finding out takes on staged cars, with the planner and with the fixed routine.
type Work struct {
	Pack   string `json:"pack"`
	Jobs   int    `json:"jobs"`
	Seed   uint64 `json:"seed"`
	Faults Faults `json:"faults"`
	Equal  bool   `json:"equal"`
	Ways   []Way  `json:"ways"` // the planner first
	// Saved is the share of the routine's minutes that the planner saves, on the same cars.
	Saved Mean `json:"planner_saves"`
}

// Way is one way of choosing checks.
type Way struct {
	ID      string `json:"id"`
	Label   string `json:"label"`
	Minutes Mean   `json:"minutes"` // of checks, with what is prepared for them
	Checks  Mean   `json:"checks"`  // besides those that every job begins with
	// Right tells how often the fault that leads at the end is there, Proven how often it leads as engine.Settled
	// asks, its check having been made, and Wrongly how often a fault that is not there does.
	Right   Share `json:"right"`
	Proven  Share `json:"proven_right"`
	Wrongly Share `json:"proven_wrong"`
}

// Mean is an average over cars with its 95 % confidence interval, by the central limit theorem.
type Mean struct {
	Mean float64 `json:"mean"`
	From float64 `json:"from"`
	To   float64 `json:"to"`
}

// tally is what one car took.
type tally struct {
	minutes float64
	checks  int
	right   bool
	proven  bool
}

// opening are the checks that every job begins with: what the customer says, and the set-up list.
var opening = []string{"ask-the-customer", "set-up-list"}

// Ways works cars off until a fault is proven or no further check pays, first in the planner's order, looking no check
// ahead, and then in the order of the fixed routine. Both turn to a fault as soon as it is strategies.Certain, by making
// the check that settles it, and both stop when it is as probable as engine.Settled after that. Errors are as for
// Rules.
func Ways(ctx context.Context, pack *engine.Pack, o Options) (*Work, error) {
	s, err := newStager(ctx, pack)
	if err != nil {
		return nil, err
	}
	fixed := strategies.Routine(pack.Name(), pack.Simulate())
	both, err := each(o.Jobs, func(i int) ([2]tally, error) {
		var out [2]tally
		for k, planned := range []bool{true, false} {
			car, truth, err := s.draw(&o, i)
			if err != nil {
				return out, err
			}
			j := &onCar{s: s, car: car, made: slices.Clone(opening), prepared: map[string]bool{}}
			if out[k], err = j.work(ctx, planned, fixed, truth); err != nil {
				return out, err
			}
		}
		return out, nil
	})
	if err != nil {
		return nil, err
	}
	w := &Work{Pack: pack.Name(), Jobs: o.Jobs, Seed: o.Seed, Faults: o.Faults, Equal: o.Equal}
	w.Ways = []Way{way("planner", "planner", both, 0), way("routine", "fixed routine", both, 1)}
	// The share is 1 - R with R the ratio of the means; the variance of R is that of x - R y over the mean of y
	// (Cochran 1977, "Sampling techniques", section 2.11; from memory).
	y := w.Ways[1].Minutes.Mean
	r := w.Ways[0].Minutes.Mean / y
	rest := mean(both, func(b *[2]tally) float64 { return b[0].minutes - r*b[1].minutes })
	half := (rest.To - rest.From) / 2 / y
	w.Saved = Mean{1 - r, 1 - r - half, 1 - r + half}
	return w, nil
}

// onCar is a job on one staged car.
type onCar struct {
	s        *stager
	car      *modelcar.Car
	made     []string
	prepared map[string]bool
	tally    tally
}

// work makes checks until there is an end, and tells what leads then.
func (j *onCar) work(ctx context.Context, planned bool, fixed, truth []string) (tally, error) {
	for _, c := range opening {
		j.spend(c)
	}
	for {
		job, err := j.s.job(j.car, j.made)
		if err != nil {
			return j.tally, err
		}
		b, err := j.s.pack.Brief(ctx, job, engine.BriefOptions{Most: 1})
		if err != nil {
			return j.tally, err
		}
		lead := b.Faults[0]
		settle := j.s.settle[lead.Fault]
		j.tally.right = slices.Contains(truth, lead.Fault)
		done := settle == "" || slices.Contains(j.made, settle)
		if j.tally.proven = done && lead.Probability >= engine.Settled; j.tally.proven {
			return j.tally, nil
		}
		next := ""
		switch {
		case lead.Probability >= strategies.Certain && !done:
			next = settle
		case planned:
			next, err = j.advised(ctx, job)
		default:
			next = j.routine(fixed)
		}
		if err != nil || next == "" {
			return j.tally, err
		}
		j.made = append(j.made, next)
		j.tally.checks++
		j.spend(next)
	}
}

// advised is the check that the planner makes next, "" where none pays.
func (j *onCar) advised(ctx context.Context, job *engine.Job) (string, error) {
	n, err := j.s.pack.Next(ctx, job, engine.NextOptions{Most: -1, Done: j.made, Quick: true})
	if err != nil {
		return "", err
	}
	if n.Do == engine.DoRepair && len(n.Repair.Steps) > 0 { // what is to be repaired first is proven first
		if c := n.Repair.Steps[0].Check; c != nil && !slices.Contains(j.made, c.Check) {
			return c.Check, nil
		}
	}
	if n.Do != engine.DoCheck || len(n.Checks) == 0 || slices.Contains(j.made, n.Checks[0].Check.Check) {
		return "", nil
	}
	return n.Checks[0].Check.Check, nil
}

func (j *onCar) routine(fixed []string) string {
	for _, c := range fixed {
		if !slices.Contains(j.made, c) {
			return c
		}
	}
	return ""
}

// spend books the minutes of a check, less what has been prepared before.
func (j *onCar) spend(check string) {
	c := j.s.takes[check]
	j.tally.minutes += c.Minutes
	for _, p := range c.Prepare {
		if j.prepared[p.Preparation] {
			j.tally.minutes -= p.Minutes
		}
		j.prepared[p.Preparation] = true
	}
}

func way(id, label string, both [][2]tally, k int) Way {
	count := func(is func(t *tally) bool) Share {
		n := 0
		for i := range both {
			if is(&both[i][k]) {
				n++
			}
		}
		return share(n, len(both))
	}
	return Way{ID: id, Label: label,
		Minutes: mean(both, func(b *[2]tally) float64 { return b[k].minutes }),
		Checks:  mean(both, func(b *[2]tally) float64 { return float64(b[k].checks) }),
		Right:   count(func(t *tally) bool { return t.right }),
		Proven:  count(func(t *tally) bool { return t.right && t.proven }),
		Wrongly: count(func(t *tally) bool { return !t.right && t.proven })}
}

func mean(both [][2]tally, of func(b *[2]tally) float64) Mean {
	n, sum, squares := float64(len(both)), 0.0, 0.0
	for i := range both {
		sum += of(&both[i])
	}
	m := sum / n
	for i := range both {
		d := of(&both[i]) - m
		squares += d * d
	}
	half := normal975 * math.Sqrt(squares/max(1, n-1)/n)
	return Mean{m, m - half, m + half}
}
