package score

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"

	"culprit/cases/modelcar"
	"culprit/engine"
)

// FirstFive are the checks of the routine: prepare, timing, idle, mixture, gas.
var FirstFive = []string{"set-up-list", "timing", "idle-and-duty", "current-at-idle", "gases-at-idle"}

// stager draws cars and gives their readings as jobs of a pack.
type stager struct {
	pack   *engine.Pack
	common []modelcar.Weighted // faults that can be staged, by how common the pack has them
	checks []string
	yields map[string][]string            // by check: the readings that the model gives
	takes  map[string]engine.CheckOutline // by check
	settle map[string]string              // by fault: the check
}

func newStager(ctx context.Context, pack *engine.Pack) (*stager, error) {
	s := &stager{pack: pack, yields: map[string][]string{}, takes: map[string]engine.CheckOutline{}, settle: map[string]string{}}
	v, err := pack.Diagnose(ctx, &engine.Job{}, engine.Options{Most: len(pack.Faults())})
	if err != nil {
		return nil, err
	}
	prior := map[string]float64{}
	for _, f := range v.Faults {
		prior[f.Fault] = f.Prior
		if f.Detail != nil && f.Detail.Settle != nil {
			s.settle[f.Fault] = f.Detail.Settle.Check
		}
	}
	for _, k := range modelcar.FaultKinds {
		if p := prior[k.ID]; p > 0 {
			s.common = append(s.common, modelcar.Weighted{Word: k.ID, Weight: p})
		}
	}
	had := modelcar.ReadingIDs()
	for _, c := range pack.CheckOutlines() {
		s.checks = append(s.checks, c.Check)
		s.takes[c.Check] = c
		for _, r := range c.Yields {
			if slices.Contains(had, r) {
				s.yields[c.Check] = append(s.yields[c.Check], r)
			}
		}
	}
	if missing := slices.ContainsFunc(FirstFive, func(c string) bool { return !slices.Contains(s.checks, c) }); missing || len(s.common) < 3 {
		return nil, fmt.Errorf("the model car is not of the pack %q", pack.Name())
	}
	return s, nil
}

// draw gives car i. With one fault, or two, it is the one that "culprit stage --fault any" makes with that seed, --fault
// being given once, or twice.
func (s *stager) draw(o *Options, i int) (*modelcar.Car, []string, error) {
	seed := o.Seed + uint64(i)
	var ids []string
	switch {
	case o.Equal:
		ids = []string{s.common[i%len(s.common)].Word}
	case o.Faults == Two:
		ids = modelcar.Choose(seed, "faults", 2, s.common)
	case o.Faults == More:
		for random := rand.New(rand.NewPCG(seed, 0)); len(ids) == 0; {
			for _, w := range s.common {
				if random.Float64() < w.Weight {
					ids = append(ids, w.Word)
				}
			}
		}
	default:
		ids = modelcar.Choose(seed, "faults", 1, s.common)
	}
	var faults []modelcar.Fault
	for _, id := range ids {
		faults = append(faults, modelcar.Fault{ID: id, Severity: modelcar.Severity(seed, id)})
	}
	car, err := modelcar.Draw(seed, faults, modelcar.Options{})
	return car, ids, err
}

// job is what checks of a car yield. Whether the screw was just set is asked before anything is measured.
func (s *stager) job(car *modelcar.Car, checks []string) (*engine.Job, error) {
	ids := []string{"current_just_set"}
	for _, c := range checks {
		for _, r := range s.yields[c] {
			if !slices.Contains(ids, r) {
				ids = append(ids, r)
			}
		}
	}
	values, err := car.Readings(ids)
	if err != nil {
		return nil, err
	}
	readings := make(map[string]engine.Value, len(values))
	for id, v := range values {
		readings[id] = value(v)
	}
	return &engine.Job{Vehicle: modelcar.Designs[0].ID, Readings: readings}, nil
}

func value(v modelcar.Value) engine.Value {
	switch v.Kind {
	case modelcar.YesNo:
		return engine.YesNo(v.Yes)
	case modelcar.Choice:
		return engine.Text(v.Word)
	case modelcar.Trace:
		return engine.Trace(fmt.Sprintf("%g ms", 1000*v.Every), v.Samples)
	}
	return engine.Number(v.Number)
}
