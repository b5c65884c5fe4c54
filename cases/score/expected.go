package score

import (
	"cmp"
	"context"
	"math"
	"math/bits"
	"slices"

	"culprit/engine"
)

// Expected is what the rules themselves expect of a ranking on the cars of a table, if they are right about these very
// readings: the shares that come of ranking by the posterior under the prior that the cars were drawn from, and of the
// truth being as probable as that posterior says. Nobody who believes the rules can rank better, so where a goal lies above
// this, no ranking reaches it by these rules and readings. Shares are 0 to 1.
type Expected struct {
	Leads      float64 `json:"leads"`
	LeadsAlike float64 `json:"leads_or_alike"`       // of cars with one fault
	Three      float64 `json:"among_three"`          // of cars with one fault
	ThreeAlike float64 `json:"among_three_or_alike"` // of cars with one fault
	All        float64 `json:"all_among_four"`       // of cars with two faults: by the best four
}

func (e *Expected) add(x *Expected, weight float64) {
	e.Leads += weight * x.Leads
	e.LeadsAlike += weight * x.LeadsAlike
	e.Three += weight * x.Three
	e.ThreeAlike += weight * x.ThreeAlike
	e.All += weight * x.All
}

// drawn is the posterior of the sets of faults that a car of these options can have, under the prior that it is drawn
// from.
type drawn struct {
	sets     []engine.Set
	marginal map[string]float64 // by fault: that it is there
	order    []string           // of the faults, the most probable first
}

// drawn works it out for cars with a fixed number of faults. The engine's sets have each fault by itself as often as
// the pack says; a car that is drawn with a fixed number has it as often as Choose gives it.
func (s *stager) drawn(ctx context.Context, o *Options, job *engine.Job) (*drawn, error) {
	size := 1
	if o.Faults == Two && !o.Equal {
		size = 2
	}
	sets, err := s.pack.Exactly(ctx, job, size)
	if err != nil {
		return nil, err
	}
	share := map[string]float64{}
	sum := 0.0
	for _, w := range s.common {
		sum += w.Weight
	}
	for _, w := range s.common {
		share[w.Word] = w.Weight / sum
	}
	d := &drawn{marginal: map[string]float64{}}
	total := 0.0
	for _, set := range sets {
		chance := 1.0 // of being drawn, against the odds that the engine counted; a constant factor drops out
		for _, f := range set.Faults {
			prior := share[f] * sum
			chance *= (1 - prior) / prior
			if !o.Equal {
				chance *= share[f]
			}
		}
		if size == 2 { // either is drawn first, the other from what is left
			a, b := share[set.Faults[0]], share[set.Faults[1]]
			chance *= 1/(1-a) + 1/(1-b)
		}
		set.Probability *= chance
		total += set.Probability
		d.sets = append(d.sets, set)
	}
	for i := range d.sets {
		d.sets[i].Probability /= total
		for _, f := range d.sets[i].Faults {
			d.marginal[f] += d.sets[i].Probability
		}
	}
	for f := range d.marginal {
		d.order = append(d.order, f)
	}
	slices.SortFunc(d.order, func(a, b string) int {
		return cmp.Or(cmp.Compare(d.marginal[b], d.marginal[a]), cmp.Compare(a, b))
	})
	return d, nil
}

// expect adds one car's part to what is expected.
func (s *stager) expect(ctx context.Context, job *engine.Job, d *drawn) (Expected, error) {
	e := Expected{Leads: d.marginal[d.order[0]]}
	if len(d.sets[0].Faults) > 1 {
		e.All = d.bestFew()
		return e, nil
	}
	fit, err := s.pack.Alone(ctx, job, d.order)
	if err != nil {
		return e, err
	}
	for k := range fit {
		p := d.marginal[d.order[k]]
		nearest := math.Inf(1)
		for first := range min(3, len(fit)) {
			nearest = min(nearest, apart(&fit[first], &fit[k]))
			if first == 0 && nearest < BareMention {
				e.LeadsAlike += p
			}
		}
		if k < 3 {
			e.Three += p
		}
		if nearest < BareMention {
			e.ThreeAlike += p
		}
	}
	return e, nil
}

// candidates are how many of the most probable faults the best few are sought among.
const candidates = 10

// bestFew is the probability that all that is wrong is among firstFew faults, chosen so that it is highest.
func (d *drawn) bestFew() float64 {
	among := d.order[:min(candidates, len(d.order))]
	within := make([]float64, 1<<len(among)) // by the faults of a set, as bits: its probability
	for _, set := range d.sets {
		bit := 0
		for _, f := range set.Faults {
			k := slices.Index(among, f)
			if k < 0 {
				bit = -1
				break
			}
			bit |= 1 << k
		}
		if bit > 0 {
			within[bit] += set.Probability
		}
	}
	best := 0.0
	for few := range within {
		if bits.OnesCount(uint(few)) != min(firstFew, len(among)) {
			continue
		}
		sum := 0.0
		for part := few; part > 0; part = (part - 1) & few { // every set that lies within the few
			sum += within[part]
		}
		best = max(best, sum)
	}
	return best
}
