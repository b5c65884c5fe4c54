package strategies

import (
	"context"
	"math/rand/v2"
	"slices"

	"culprit/engine"
)

// Strategy chooses the next thing to do with a car.
type Strategy struct {
	ID    string
	Label string
	// check picks the next check; ok is false where it has none to make.
	check func(w *worker) (id string, ok bool, err error)
	// planner decides by itself when to repair and what.
	planner bool
	quick   bool // looks no check further ahead
}

// worker is one job in hand.
type worker struct {
	ctx    context.Context
	job    *engine.SimJob
	random *rand.Rand
	fixed  []string // the routine of the pack
	// certain is the probability at which a habit turns to a fault.
	certain float64
}

// No strategy repairs what has not been proven: the check that settles a fault,
// where there is one, is made before its repair. Certain is the probability at which every
// strategy but the planner turns to that, if [Options.Certain] says nothing else; Settled is
// the one at which it repairs once that check has been made. Judgements.
const (
	Certain = 0.9
	Settled = 0.5
)

// All are the strategies, the planner first. It looks no check further ahead,
// which takes many times less computing; the second is the one that does. The third makes
// the planner's checks and repairs as the habits do, so it shows what the order alone is worth.
func All() []Strategy {
	return []Strategy{
		{ID: "planner", Label: "planner", planner: true, quick: true},
		{ID: "ahead", Label: "planner, one check ahead", planner: true},
		{ID: "order", Label: "planner's order of checks", check: advised},
		{ID: "routine", Label: "fixed routine", check: routine},
		{ID: "probable", Label: "most probable fault first", check: probable},
		{ID: "cheapest", Label: "cheapest check first", check: cheapest},
		{ID: "random", Label: "any check", check: anyCheck},
	}
}

// advised is the check that the planner would make, if it would make one.
func advised(w *worker) (string, bool, error) {
	m, err := w.job.Advise(w.ctx, true)
	return m.ID, m.Do == engine.DoCheck, err
}

// routine is the first check of the routine that would decide something.
func routine(w *worker) (string, bool, error) {
	checks := w.job.Checks()
	for _, id := range w.fixed {
		if slices.ContainsFunc(checks, func(c engine.SimCheck) bool { return c.ID == id }) {
			return id, true, nil
		}
	}
	return "", false, nil
}

// probable is the check that settles the most probable fault of those whose check
// would decide something.
func probable(w *worker) (string, bool, error) {
	faults, err := w.job.Faults()
	if err != nil {
		return "", false, err
	}
	checks := w.job.Checks()
	id, most := "", 0.0
	for _, f := range faults {
		if f.Probability > most && slices.ContainsFunc(checks, func(c engine.SimCheck) bool { return c.ID == f.Settle }) {
			id, most = f.Settle, f.Probability
		}
	}
	return id, id != "", nil
}

// cheapest is the check that takes the fewest minutes as things are.
func cheapest(w *worker) (string, bool, error) {
	best := engine.SimCheck{}
	for _, c := range w.job.Checks() {
		if best.ID == "" || c.Minutes < best.Minutes {
			best = c
		}
	}
	return best.ID, best.ID != "", nil
}

func anyCheck(w *worker) (string, bool, error) {
	checks := w.job.Checks()
	if len(checks) == 0 {
		return "", false, nil
	}
	return checks[w.random.IntN(len(checks))].ID, true, nil
}

// next is what a strategy does next. All but the planner prove and repair a fault
// as soon as it is certain enough, and go by the planner's plan when they have no
// check left: what differs between them is the order of checks.
func (s *Strategy) next(w *worker) (engine.SimMove, error) {
	if s.planner {
		return w.job.Advise(w.ctx, s.quick)
	}
	faults, err := w.job.Faults()
	if err != nil {
		return engine.SimMove{}, err
	}
	if m, ok := clear(faults, w.certain); ok {
		return m, nil
	}
	id, ok, err := s.check(w)
	if err != nil {
		return engine.SimMove{}, err
	}
	if ok {
		return engine.SimMove{Do: engine.DoCheck, ID: id}, nil
	}
	return w.job.Plan()
}

// clear is to prove or to repair the fault that leads, if it is certain enough.
func clear(faults []engine.SimFault, certain float64) (engine.SimMove, bool) {
	lead := engine.SimFault{}
	for _, f := range faults {
		if f.Repairable && f.Probability > lead.Probability {
			lead = f
		}
	}
	proven := lead.Settled || lead.Settle == ""
	switch {
	case proven && lead.Probability >= Settled:
		return engine.SimMove{Do: engine.DoRepair, ID: lead.ID}, true
	case lead.Probability >= certain:
		return engine.SimMove{Do: engine.DoCheck, ID: lead.Settle}, true
	}
	return engine.SimMove{}, false
}

// run does a whole job. seen, if any, is called with every move.
func (s *Strategy) run(w *worker, seen func(engine.SimMove)) (engine.SimTally, error) {
	for !w.job.Over() {
		if err := w.ctx.Err(); err != nil {
			return engine.SimTally{}, err
		}
		m, err := s.next(w)
		if err != nil {
			return engine.SimTally{}, err
		}
		if seen != nil {
			seen(m)
		}
		if err := w.job.Do(m); err != nil {
			return engine.SimTally{}, err
		}
	}
	return w.job.Tally(), nil
}
