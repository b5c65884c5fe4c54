package score

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"culprit/cases/modelcar"
	"culprit/engine"
	"culprit/engine/exhaust"
)

// BenchmarkForest tells how far any ranking could get on the first five checks, as far as a learner shows it: a forest of random
// trees, grown on staged cars and tried on others, knows every habit of the model car, how severe its faults are, and how many
// there are in a car. No rules of the trade know that. What it reaches is no upper bound either, only a mark that is reached.
//
//	go test -run '^$' -bench Forest -benchtime 1x ./cases/score
func BenchmarkForest(b *testing.B) {
	const grown, tried, trees = 40_000, 5000, 80
	for _, faults := range []Faults{One, Two} {
		b.Run(string(faults), func(b *testing.B) {
			for b.Loop() {
				s, err := newStager(context.Background(), open(b, engine.DefaultPack))
				if err != nil {
					b.Fatal(err)
				}
				known := s.seen(b, &Options{Jobs: grown, Seed: 3_000_001, Faults: faults})
				other := s.seen(b, &Options{Jobs: tried, Seed: 1, Faults: faults})
				votes, err := each(trees, func(i int) ([][]float64, error) {
					g := grower{cars: known, random: rand.New(rand.NewPCG(uint64(i), 1)), kinds: len(s.common)}
					root := g.grow(g.random.Perm(len(known)))
					var out [][]float64
					for _, c := range other {
						out = append(out, root.ask(c.x))
					}
					return out, nil
				})
				if err != nil {
					b.Fatal(err)
				}
				leads, three, four := 0, 0, 0
				for i, c := range other {
					sum := make([]float64, len(s.common))
					order := make([]int, len(sum))
					for k := range sum {
						order[k] = k
						for _, v := range votes {
							sum[k] += v[i][k]
						}
					}
					slices.SortStableFunc(order, func(a, b int) int {
						if sum[a] > sum[b] {
							return -1
						}
						return 1
					})
					within := func(n int) (count int) {
						for _, k := range c.faults {
							if slices.Contains(order[:n], k) {
								count++
							}
						}
						return count
					}
					leads += min(1, within(1))
					three += min(1, within(3))
					if within(firstFew) == len(c.faults) {
						four++
					}
				}
				for unit, n := range map[string]int{"%leads": leads, "%three": three, "%all-in-four": four} {
					b.ReportMetric(100*float64(n)/tried, unit)
				}
			}
		})
	}
}

// seenCar is what a learner sees of a car, and what it is to learn.
type seenCar struct {
	x      []float64
	faults []int
}

func (s *stager) seen(b *testing.B, o *Options) []seenCar {
	b.Helper()
	ids := []string{"idle_speed", "valve_duty", "timing_idle", "regulator_current", "regulator_swing", "co", "co2", "o2", "hc"}
	all, err := each(o.Jobs, func(i int) (seenCar, error) {
		car, truth, err := s.draw(o, i)
		if err != nil {
			return seenCar{}, err
		}
		values, err := car.Readings(ids)
		if err != nil {
			return seenCar{}, err
		}
		var c seenCar
		for _, id := range ids {
			c.x = append(c.x, values[id].Number)
		}
		g := exhaust.Gas{CO: c.x[5], CO2: c.x[6], O2: c.x[7], HC: c.x[8]}
		lambda, err := exhaust.Lambda(g, exhaust.Petrol)
		if err != nil {
			lambda = 0 // not to be worked out, which tells something, too
		}
		c.x = append(c.x, lambda, g.O2-9e-4*g.HC, g.CO+g.CO2, g.CO-g.O2)
		for _, f := range truth {
			c.faults = append(c.faults, slices.IndexFunc(s.common, func(w modelcar.Weighted) bool { return w.Word == f }))
		}
		return c, nil
	})
	if err != nil {
		b.Fatal(err)
	}
	return all
}

// branch is a tree: it asks whether x[of] is under a cut, or holds how often each fault was there.
type branch struct {
	of          int
	cut         float64
	under, over *branch
	share       []float64 // of a leaf
}

func (t *branch) ask(x []float64) []float64 {
	for t.share == nil {
		if x[t.of] < t.cut {
			t = t.under
		} else {
			t = t.over
		}
	}
	return t.share
}

// grower grows trees whose cuts are the best of some drawn at random by Gini's measure, summed over the faults (Geurts, Ernst and
// Wehenkel 2006, "Extremely randomized trees"; from memory).
type grower struct {
	cars   []seenCar
	random *rand.Rand
	kinds  int
}

const (
	leastLeaf = 4
	cutsDrawn = 24
)

func (g *grower) grow(in []int) *branch {
	total := g.count(in)
	best, is := 0.0, &branch{of: -1}
	for _, n := range total {
		best += n * n / float64(len(in)) * (1 + 1e-9)
	}
	for range cutsDrawn {
		of := g.random.IntN(len(g.cars[0].x))
		cut := g.cars[in[g.random.IntN(len(in))]].x[of]
		under := make([]float64, g.kinds)
		n := 0.0
		for _, i := range in {
			if g.cars[i].x[of] < cut {
				n++
				for _, k := range g.cars[i].faults {
					under[k]++
				}
			}
		}
		rest := float64(len(in)) - n
		if n < leastLeaf || rest < leastLeaf {
			continue
		}
		gain := 0.0
		for k, u := range under {
			gain += u*u/n + (total[k]-u)*(total[k]-u)/rest
		}
		if gain > best {
			best, is.of, is.cut = gain, of, cut
		}
	}
	if is.of < 0 {
		for k := range total {
			total[k] /= float64(len(in))
		}
		is.share = total
		return is
	}
	var under, over []int
	for _, i := range in {
		if g.cars[i].x[is.of] < is.cut {
			under = append(under, i)
		} else {
			over = append(over, i)
		}
	}
	is.under, is.over = g.grow(under), g.grow(over)
	return is
}

func (g *grower) count(in []int) []float64 {
	out := make([]float64, g.kinds)
	for _, i := range in {
		for _, k := range g.cars[i].faults {
			out[k]++
		}
	}
	return out
}
