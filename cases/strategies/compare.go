package strategies

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"

	"culprit/engine"
)

// Options say how much to simulate.
type Options struct {
	Jobs int         // cars
	Seed uint64      // of all chance: the same seed, the same table
	Draw engine.Draw // faults of a car
	// Certain is the probability at which the habits turn to proving and repairing a
	// fault; 0 for [Certain], 1 or more for never before its check has been made.
	Certain float64
	// Only are ids of strategies beside the planner; none for all but "ahead", which is slow.
	Only []string
	// Trace, if any, is called after each job with all that was done; in no order.
	Trace func(strategy string, car int, faults []string, moves []engine.SimMove, tally engine.SimTally)
}

// Table is a comparison on one pack with one way of drawing cars.
type Table struct {
	Pack string `json:"pack"`
	Draw string `json:"cars"`
	Jobs int    `json:"jobs"`
	Seed uint64 `json:"seed"`
	Rows []Row  `json:"strategies"`
}

// Row is what jobs took with one strategy, on the average. Minutes are of work.
type Row struct {
	ID    string `json:"id"`
	Label string `json:"label"`
	// Minutes are those of whole jobs; Diagnosis those above what a job takes
	// whoever knows from the start what is wrong.
	Minutes   Mean `json:"minutes"`
	Diagnosis Mean `json:"diagnosis_minutes"`
	Checks    Mean `json:"checks"`
	// Wasted are repairs of faults that were not there, a job.
	Wasted Mean `json:"wasted_repairs"`
	// LastResort is the share of jobs that ended with it.
	LastResort Mean `json:"last_resort"`
	// More are the minutes that the strategy takes more than the planner, on the same
	// cars. Saved is the share of its minutes that the planner saves, SavedDiagnosis that of
	// its diagnosis minutes. Zero for the planner itself.
	More           Mean `json:"minutes_over_planner"`
	Saved          Mean `json:"planner_saves"`
	SavedDiagnosis Mean `json:"planner_saves_of_diagnosis"`
}

// Compare runs every strategy on the same simulated cars. Errors are those of ctx,
// of the network, and a strategy that there is not.
func Compare(ctx context.Context, pack *engine.Pack, o Options) (*Table, error) {
	chosen, err := choose(o.Only)
	if err != nil {
		return nil, err
	}
	sim := pack.Simulate()
	t := &Table{Pack: pack.Name(), Draw: o.Draw.String(), Jobs: o.Jobs, Seed: o.Seed}
	fixed := Routine(pack.Name(), sim)
	tallies := make([][]engine.SimTally, len(chosen))
	for k := range tallies {
		tallies[k] = make([]engine.SimTally, o.Jobs)
	}
	errs := make([]error, o.Jobs)
	each(o.Jobs, func(i int) {
		car := sim.Car(o.Draw, rand.New(rand.NewPCG(o.Seed, 2*uint64(i))))
		for k := range chosen {
			if errs[i] != nil {
				return
			}
			w := &worker{ctx: ctx, job: sim.Start(car), random: rand.New(rand.NewPCG(o.Seed, 2*uint64(i)+1)), fixed: fixed, certain: cmp.Or(o.Certain, Certain)}
			var moves []engine.SimMove
			tallies[k][i], errs[i] = chosen[k].run(w, func(m engine.SimMove) { moves = append(moves, m) })
			if o.Trace != nil && errs[i] == nil {
				o.Trace(chosen[k].ID, i, car.Faults(), moves, tallies[k][i])
			}
		}
	})
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	for k := range chosen {
		t.Rows = append(t.Rows, row(&chosen[k], tallies[k], tallies[0]))
	}
	return t, nil
}

// choose picks strategies by id. The planner, which the others are held to, comes first always.
func choose(only []string) ([]Strategy, error) {
	all := All()
	if len(only) == 0 {
		return slices.DeleteFunc(all, func(s Strategy) bool { return s.planner && !s.quick }), nil
	}
	out := all[:1:1]
	for _, id := range only {
		found := false
		for k := range all {
			if all[k].ID == id {
				found = true
				if k > 0 {
					out = append(out, all[k])
				}
			}
		}
		if !found {
			return nil, fmt.Errorf("there is no strategy %q", id)
		}
	}
	return out, nil
}

// each runs a function for 0..n-1 on all cores.
func each(n int, do func(i int)) {
	var wait sync.WaitGroup
	next := make(chan int)
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for i := range next {
				do(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wait.Wait()
}

func row(s *Strategy, own, planner []engine.SimTally) Row {
	r := Row{ID: s.ID, Label: s.Label}
	of := func(what func(t *engine.SimTally) float64) Mean { return mean(numbers(own, what)) }
	minutes := func(t *engine.SimTally) float64 { return t.Minutes }
	diagnosis := (*engine.SimTally).Diagnosis
	r.Minutes, r.Diagnosis = of(minutes), of(diagnosis)
	r.Checks = of(func(t *engine.SimTally) float64 { return float64(t.Checks) })
	r.Wasted = of(func(t *engine.SimTally) float64 { return float64(t.Wasted) })
	r.LastResort = of(func(t *engine.SimTally) float64 {
		if t.LastResort {
			return 1
		}
		return 0
	})
	x, y := numbers(own, minutes), numbers(planner, minutes)
	r.More = mean(differences(x, y))
	r.Saved = saved(y, x)
	r.SavedDiagnosis = saved(numbers(planner, diagnosis), numbers(own, diagnosis))
	return r
}

func numbers(all []engine.SimTally, what func(t *engine.SimTally) float64) []float64 {
	out := make([]float64, len(all))
	for i := range all {
		out[i] = what(&all[i])
	}
	return out
}

func differences(x, y []float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = x[i] - y[i]
	}
	return out
}
