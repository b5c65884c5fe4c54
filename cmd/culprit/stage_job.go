package main

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"culprit/cases/modelcar"
	"culprit/engine"
)

// stagehand makes jobs of the model car for a pack.
type stagehand struct {
	pack     *engine.Pack
	vehicle  string
	states   []int               // of --with
	readings []string            // that the checks yield and the model has
	common   []modelcar.Weighted // faults by how common the pack has them
}

// routine is the word for the checks of the routine.
const routine = "first-five"

// firstFive are they: prepare, timing, idle, mixture, gas.
var firstFive = []string{"set-up-list", "timing", "idle-and-duty", "current-at-idle", "gases-at-idle"}

// staged is a car with what was drawn for it.
type staged struct {
	seed    uint64
	vehicle string
	states  []int
	faults  []modelcar.Fault
	car     *modelcar.Car
}

func (o *stageOptions) stagehand() (*stagehand, error) {
	pack, err := o.stageable()
	if err != nil {
		return nil, err
	}
	b := &stagehand{pack: pack, vehicle: o.vehicle}
	var cars []string
	for _, d := range modelcar.Designs {
		cars = append(cars, d.ID)
	}
	if !slices.Contains(cars, o.vehicle) {
		hint := near(o.vehicle, cars)
		if hint == "" {
			hint = "there are " + strings.Join(cars, " and ")
		}
		return nil, stageError(hint, "--vehicle: there is no model car %q", o.vehicle)
	}
	for _, word := range o.with {
		i, err := stateIndex(word)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(b.states, i) {
			b.states = append(b.states, i)
		}
	}
	slices.Sort(b.states)
	if b.readings, err = yielded(pack, o.checks); err != nil {
		return nil, err
	}
	b.common, err = commonFaults(pack)
	return b, err
}

// yielded are the readings of a list of checks that the model gives, in the order of the pack. Whether somebody
// has just turned the mixture screw is known with any of them: it is asked before anything is measured.
func yielded(pack *engine.Pack, list string) ([]string, error) {
	words := strings.Split(list, ",")
	wanted := map[string]bool{"current_just_set": true}
	outlines := pack.CheckOutlines()
	var checks []string
	for _, c := range outlines {
		checks = append(checks, c.Check)
	}
	var names []string
	for _, word := range words {
		switch word = strings.TrimSpace(word); word {
		case routine:
			names = append(names, firstFive...)
		case "all":
			names = append(names, checks...)
		default:
			if !slices.Contains(checks, word) {
				return nil, stageError(near(word, append(checks, routine, "all")), "--checks: there is no check %q", word)
			}
			names = append(names, word)
		}
	}
	for _, c := range outlines {
		if slices.Contains(names, c.Check) {
			for _, r := range c.Yields {
				wanted[r] = true
			}
		}
	}
	had := modelcar.ReadingIDs()
	var out []string
	for _, card := range pack.List() {
		if card.Kind == "reading" && wanted[card.ID] && slices.Contains(had, card.ID) {
			out = append(out, card.ID)
		}
	}
	return out, nil
}

// commonFaults are the faults that can be staged with what the pack has for a prior of each.
func commonFaults(pack *engine.Pack) ([]modelcar.Weighted, error) {
	verdict, err := pack.Diagnose(context.Background(), &engine.Job{Readings: map[string]engine.Value{}}, engine.Options{})
	if err != nil {
		return nil, err
	}
	prior := map[string]float64{}
	for _, f := range verdict.Faults {
		prior[f.Fault] = f.Prior
	}
	var out []modelcar.Weighted
	for _, k := range modelcar.FaultKinds {
		if p := prior[k.ID]; p > 0 {
			out = append(out, modelcar.Weighted{Word: k.ID, Weight: p})
		}
	}
	return out, nil
}

// draw stages one car.
func (b *stagehand) draw(seed uint64, words []string) (*staged, error) {
	faults, err := b.faultsFor(seed, words)
	if err != nil {
		return nil, err
	}
	return stageCar(&staged{seed: seed, vehicle: b.vehicle, states: b.states, faults: faults}, false)
}

// stageCar makes the car of what was drawn.
func stageCar(it *staged, exact bool) (*staged, error) {
	options := modelcar.Options{Vehicle: it.vehicle, Exact: exact}
	for _, i := range it.states {
		states[i].set(&options)
	}
	var err error
	it.car, err = modelcar.Draw(it.seed, it.faults, options)
	return it, err
}

// truth is what is really wrong, as a job has it.
type truth struct {
	Faults []truthFault `json:"faults"`
	Seed   uint64       `json:"seed"`
}

type truthFault struct {
	Fault    string  `json:"fault"`
	Severity float64 `json:"severity"`
	Size     string  `json:"size,omitempty"`
}

func (it *staged) truth() truth {
	t := truth{Faults: []truthFault{}, Seed: it.seed}
	for _, f := range it.faults {
		k, _ := modelcar.Kind(f.ID)
		each := truthFault{Fault: f.ID, Severity: f.Severity}
		if k.Unit != "" {
			each.Size = physical(k, f.Severity)
		}
		t.Faults = append(t.Faults, each)
	}
	return t
}

// job writes the car as a job.
func (b *stagehand) job(it *staged, hide bool) ([]byte, error) {
	name := fmt.Sprintf("Staged %d", it.seed)
	if hide {
		return b.write(name, "What is wrong: culprit stage --reveal "+ticket(it), it, b.readings, nil)
	}
	told := it.truth()
	return b.write(name, "", it, b.readings, &told)
}

// write gives a job as the pack writes it, having read it as rank does.
func (b *stagehand) write(name, note string, it *staged, readings []string, told *truth) ([]byte, error) {
	values, err := it.car.Readings(readings)
	if err != nil {
		return nil, err
	}
	text, err := json.Marshal(struct {
		Name     string                    `json:"name"`
		Note     string                    `json:"note,omitempty"`
		Vehicle  string                    `json:"vehicle"`
		Readings map[string]modelcar.Value `json:"readings"`
		Truth    *truth                    `json:"truth,omitempty"`
	}{name, note, it.vehicle, values, told})
	if err != nil {
		return nil, err
	}
	job, err := b.pack.ParseJob(name, text)
	if err != nil {
		return nil, err
	}
	return b.pack.WriteJob(job)
}
