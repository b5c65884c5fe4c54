package strategies

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sync/atomic"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/stat"

	"culprit/engine"
)

func open(t testing.TB, name string) *engine.Pack {
	t.Helper()
	p, err := engine.Open(engine.Sources{Pack: name})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func compare(t testing.TB, name string, o Options) *Table {
	t.Helper()
	table, err := Compare(context.Background(), open(t, name), o)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// TestPlannerBeatsHabits: on the same cars the planner takes less than each habit,
// beyond chance; and finding out takes at least 30 % less than with the fixed routine.
func TestPlannerBeatsHabits(t *testing.T) {
	for _, x := range []struct {
		pack   string
		jobs   int
		habits []string
	}{
		{"starting-and-charging", 300, []string{"routine", "probable", "cheapest", "random"}},
		{"continuous-injection", 16, []string{"routine", "random"}}, // the planner takes some tenths of a second for a car
	} {
		table := compare(t, x.pack, Options{Jobs: x.jobs, Seed: 1, Only: x.habits})
		for _, r := range table.Rows[1:] {
			if r.More.From <= 0 {
				t.Errorf("%s: %s takes %.1f min more than the planner, %.1f to %.1f", x.pack, r.ID, r.More.Mean, r.More.From, r.More.To)
			}
			if r.ID == "routine" && r.SavedDiagnosis.Mean < 0.3 {
				t.Errorf("%s: the planner saves %.2f of finding out, less than 0.3", x.pack, r.SavedDiagnosis.Mean)
			}
		}
	}
}

// TestSameSeedSameTable: whatever the order in which cars are worked off.
func TestSameSeedSameTable(t *testing.T) {
	o := Options{Jobs: 40, Seed: 5, Draw: engine.DrawTwo}
	first := compare(t, "starting-and-charging", o)
	if diff := cmp.Diff(first, compare(t, "starting-and-charging", o)); diff != "" {
		t.Errorf("the same seed gives another table:\n%s", diff)
	}
	o.Seed = 6
	if cmp.Equal(first.Rows, compare(t, "starting-and-charging", o).Rows) {
		t.Error("another seed gives the same table")
	}
}

// TestRules of the comparison, held by watching every move: nobody repairs what is not
// proven or makes a check twice, the routine makes its checks before any other, and no
// job takes less than whoever knows what is wrong.
func TestRules(t *testing.T) {
	pack := open(t, "starting-and-charging")
	settles := map[string]string{}
	for _, f := range mustFaults(t, pack) {
		settles[f.ID] = f.Settle
	}
	fixed := Routine(pack.Name(), pack.Simulate())
	jobs := make(chan string, 10000)
	var watched atomic.Int32
	o := Options{Jobs: 60, Seed: 2, Draw: engine.DrawAny}
	o.Trace = func(strategy string, car int, faults []string, moves []engine.SimMove, tally engine.SimTally) {
		watched.Add(1)
		made := map[string]bool{}
		for _, m := range moves {
			what := fmt.Sprintf("%s, car %d with %v: %v in %v", strategy, car, faults, m, moves)
			switch m.Do {
			case engine.DoRepair:
				if s := settles[m.ID]; s != "" && !made[s] {
					jobs <- what + ": not proven"
				}
			case engine.DoCheck:
				if made[m.ID] {
					jobs <- what + ": made twice"
				}
				made[m.ID] = true
				if strategy == "routine" && !slices.Contains(fixed, m.ID) {
					jobs <- what + ": not in the routine"
				}
			}
		}
		if tally.Diagnosis() < 0 {
			jobs <- fmt.Sprintf("%s, car %d: less than whoever knows takes: %+v", strategy, car, tally)
		}
	}
	if _, err := Compare(context.Background(), pack, o); err != nil {
		t.Fatal(err)
	}
	close(jobs)
	for wrong := range jobs {
		t.Error(wrong)
	}
	if n := int(watched.Load()); n == 0 || n%o.Jobs != 0 {
		t.Errorf("%d jobs were watched, %d cars", n, o.Jobs)
	}
}

func mustFaults(t *testing.T, pack *engine.Pack) []engine.SimFault {
	t.Helper()
	s := pack.Simulate()
	all, err := s.Start(s.CarWith([]int{0}, rand.New(rand.NewPCG(1, 1)))).Faults()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// TestRoutinesNameChecks: every check of a routine exists, once.
func TestRoutinesNameChecks(t *testing.T) {
	for name, fixed := range routines {
		all := open(t, name).Simulate().Checks()
		for i, id := range fixed {
			if !slices.Contains(all, id) {
				t.Errorf("%s has no check %q beside the opening", name, id)
			}
			if slices.Contains(fixed[:i], id) {
				t.Errorf("%s: %q stands in the routine twice", name, id)
			}
		}
	}
	if got := Routine("a-pack-of-ones-own", open(t, "starting-and-charging").Simulate()); len(got) == 0 {
		t.Error("a pack without a routine has none")
	}
}

func TestNoSuchStrategy(t *testing.T) {
	if _, err := Compare(context.Background(), open(t, "starting-and-charging"), Options{Jobs: 2, Only: []string{"luck"}}); err == nil {
		t.Error("there is no strategy luck, and it is taken")
	}
}

// TestOutsideMean holds the average and its interval to gonum.
func TestOutsideMean(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	x := make([]float64, 50)
	for i := range x {
		x[i] = r.ExpFloat64()
	}
	m, sd := stat.MeanStdDev(x, nil)
	half := 1.96 * stat.StdErr(sd, float64(len(x))) // 1.96: the usual rounding
	got := mean(x)
	if !(math.Abs(got.Mean-m) <= 1e-12) || !(math.Abs(got.To-m-half) <= 1e-4) || !(math.Abs(m-half-got.From) <= 1e-4) {
		t.Errorf("mean %+v, gonum %v ± %v", got, m, half)
	}
}

// TestOutsideSavedAgainstBootstrap holds the interval of a ratio to the percentiles of
// 4000 samples of the pairs with replacement (Efron and Tibshirani 1993, from memory).
func TestOutsideSavedAgainstBootstrap(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1))
	const n, samples = 300, 4000
	x, y := make([]float64, n), make([]float64, n)
	for i := range x {
		y[i] = 20 + 30*r.ExpFloat64()
		x[i] = 0.6*y[i] + 10*r.ExpFloat64()
	}
	var ratios []float64
	for range samples {
		sx, sy := 0.0, 0.0
		for range n {
			k := r.IntN(n)
			sx, sy = sx+x[k], sy+y[k]
		}
		ratios = append(ratios, 1-sx/sy)
	}
	slices.Sort(ratios)
	from, to := stat.Quantile(0.025, stat.Empirical, ratios, nil), stat.Quantile(0.975, stat.Empirical, ratios, nil)
	got := saved(x, y)
	if by := 0.1 * (to - from); !(math.Abs(got.From-from) <= by) || !(math.Abs(got.To-to) <= by) {
		t.Errorf("saved %+v, bootstrap from %v to %v", got, from, to)
	}
}
