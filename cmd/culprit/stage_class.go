package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"culprit/cases/modelcar"
)

// A class is a folder of practice cases: jobs for the pupils, and for the trainer the same jobs with every reading that
// may be asked for, the truth, and a key.

// asFound are faults that come with a hose, which may be on when the car is measured.
var asFound = map[string]string{"crankcase-air": "breather", "fuel-in-oil": "breather", "purge-open": "purge"}

// writeClass writes n cases into a new folder, all or nothing.
func (b *stagehand) writeClass(s *stdio, o *stageOptions, dir string) error {
	if _, err := os.Lstat(dir); !errors.Is(err, fs.ErrNotExist) {
		if err != nil {
			return err
		}
		return stageError("take a folder that is not there yet", "there is something at %q already", dir)
	}
	stop, interrupted := onInterrupt() // which is to leave nothing behind
	defer stop()
	parent := filepath.Dir(filepath.Clean(dir))
	made, err := os.MkdirTemp(parent, ".stage-*")
	if err != nil {
		return fmt.Errorf("no folder can be made in %s: %w", parent, errors.Unwrap(err))
	}
	defer os.RemoveAll(made)
	all, err := yielded(b.pack, "all")
	if err != nil {
		return err
	}
	cars, err := b.classCars(o.class, o.seed, interrupted)
	if err != nil {
		return err
	}
	for _, sub := range []string{"pupils", "trainer"} {
		if err := os.Mkdir(filepath.Join(made, sub), 0o755); err != nil {
			return err
		}
	}
	for i, it := range cars {
		if isClosed(interrupted) {
			return exitStatus(exitInterrupted)
		}
		name := fmt.Sprintf("Car %d", i+1)
		file := fmt.Sprintf("car-%0*d.json", max(2, len(strconv.Itoa(len(cars)))), i+1)
		told := it.truth()
		for _, each := range []struct {
			sub      string
			readings []string
			truth    *truth
		}{{"pupils", b.readings, nil}, {"trainer", all, &told}} {
			text, err := b.write(name, "", it, each.readings, each.truth)
			if err != nil {
				return err
			}
			if err := os.WriteFile(filepath.Join(made, each.sub, file), text, 0o644); err != nil {
				return err
			}
		}
	}
	if err := os.WriteFile(filepath.Join(made, "pupils", "read-me.md"), []byte(b.pupilsSheet(len(cars))), 0o644); err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(made, "trainer", "key.md"), []byte(b.key(cars, o)), 0o644); err != nil {
		return err
	}
	if err := os.Chmod(made, 0o755); err != nil {
		return err
	}
	if err := os.Rename(made, dir); err != nil {
		return fmt.Errorf("the class cannot be put at %s: %w", dir, err)
	}
	p := s.page()
	p.line("", 0, fmt.Sprintf("%s: %d cars", dir, len(cars)))
	p.line("  pupils   ", 11, "the jobs without the truth, and read-me.md, which tells what may be asked for")
	p.line("  trainer  ", 11, "key.md, and the jobs with every reading that a pupil may ask for")
	return nil
}

// classCars draws a class: no fault twice before all have been, and as many faults as classCounts says.
func (b *stagehand) classCars(n int, seed uint64, interrupted <-chan struct{}) ([]*staged, error) {
	var order []string
	for round := uint64(0); len(order) < 2*n; round++ {
		order = append(order, modelcar.Choose(seed+round<<32, "class", len(b.common), b.common)...)
	}
	counts := classCounts(n, seed)
	var cars []*staged
	for i := range n {
		if isClosed(interrupted) {
			return nil, exitStatus(exitInterrupted)
		}
		it := &staged{seed: seed + uint64(i), vehicle: b.vehicle, states: slices.Clone(b.states)}
		for len(it.faults) < counts[i] {
			id := order[0]
			order = order[1:]
			if slices.ContainsFunc(it.faults, func(f modelcar.Fault) bool { return f.ID == id }) {
				continue
			}
			it.faults = append(it.faults, modelcar.Fault{ID: id, Severity: modelcar.Severity(it.seed, id)})
			if word, ok := asFound[id]; ok && modelcar.Severity(it.seed, "as found "+id) > 0.6 {
				k, err := stateIndex(word)
				if err != nil {
					return nil, err
				}
				if !slices.Contains(it.states, k) {
					it.states = append(it.states, k)
				}
			}
		}
		slices.Sort(it.states)
		if _, err := stageCar(it, false); err != nil {
			return nil, err
		}
		cars = append(cars, it)
	}
	return cars, nil
}

// key is what the trainer needs: what is wrong with each car, and the check that proves it.
func (b *stagehand) key(cars []*staged, o *stageOptions) string {
	var t strings.Builder
	fmt.Fprintf(&t, "# Key\n\nStaged from the model car, %s, seeds from %d. It follows no real car; see docs/model-car.md.\n\n", b.vehicle, o.seed)
	t.WriteString("| car | what is wrong | how much | proved by |\n|---|---|---|---|\n")
	for i, it := range cars {
		car := fmt.Sprintf("%d", i+1)
		if len(it.states) > 0 {
			var words []string
			for _, k := range it.states {
				words = append(words, states[k].word)
			}
			car += " (" + strings.Join(words, ", ") + ")"
		}
		if len(it.faults) == 0 {
			fmt.Fprintf(&t, "| %s | nothing | | |\n", car)
		}
		for _, f := range it.faults {
			k, _ := modelcar.Kind(f.ID)
			label, proof := b.about(f.ID)
			fmt.Fprintf(&t, "| %s | %s (%s) | %s | %s |\n", car, f.ID, label, howMuch(k, f.Severity), proof)
		}
	}
	t.WriteString("\nA word beside the number of a car says how it was measured: with the breather connected, say, or the purge hose on.\n" +
		"The jobs beside this key hold every reading that a pupil may ask for, and the truth.\n")
	return t.String()
}

// about is what the pack calls a fault, and the check that settles it.
func (b *stagehand) about(id string) (label, proof string) {
	cards, err := b.pack.Show(id)
	if err != nil {
		return id, ""
	}
	for _, c := range cards {
		if c.Kind != "fault" {
			continue
		}
		label = c.Label
		for _, l := range c.Links {
			if l.Relation == "is settled by" {
				proof = l.Text
			}
		}
	}
	return label, proof
}
