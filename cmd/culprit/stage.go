package main

import (
	"bytes"
	"encoding/json"
	"fmt"

	"github.com/spf13/pflag"

	"culprit/cases/modelcar"
	"culprit/engine"
)

var stageCommand = &command{
	name:    "stage",
	summary: "make the readings of a car with faults, from a physical model",
	usage:   "stage [OPTIONS] --fault FAULT[=SIZE]…",
	about: `
Prints a job as rank takes it, with what is really wrong in its truth, which
rank does not look at. A size is a severity from 0 to 1 or a physical size, such
as 2mm; without one it is drawn. --fault any draws a fault by how common it is,
--fault none leaves the car sound. The same options give the same job on every
machine.
--hide keeps the truth back; the job's note has a ticket that --reveal tells it
by. A ticket keeps nothing from whoever is determined to read it.
--sweep tells how each reading moves with the size of a fault. --class N DIR
writes practice cases into a new folder, with a key for the trainer.`,
	flags: func(flags *pflag.FlagSet) func(*stdio, []string) error {
		var o stageOptions
		o.packOptions.add(flags)
		flags.StringArrayVar(&o.faults, "fault", nil, "put this `FAULT[=SIZE]` into the car (repeatable)")
		flags.StringVar(&o.vehicle, "vehicle", modelcar.Designs[0].ID, "stage this `VEHICLE` of the pack")
		flags.Uint64Var(&o.seed, "seed", 1, "draw the car, the errors of the meters and what is not told from this `NUMBER`")
		flags.StringArrayVar(&o.with, "with", nil, "measure the car in this `STATE`: "+withWords()+" (repeatable)")
		flags.StringVar(&o.checks, "checks", "", "give the readings of these `CHECKS`: first-five (the default; a class is told the complaint too), all, or a list with commas")
		flags.IntVar(&o.count, "count", 0, "print `N` jobs, one a line, with seeds that go on from --seed")
		flags.BoolVar(&o.hide, "hide", false, "keep the truth back and give a ticket")
		flags.StringVar(&o.reveal, "reveal", "", "tell the truth behind this `TICKET`")
		flags.StringVar(&o.sweep, "sweep", "", "show how readings move while a fault grows: `FAULT=A..B`")
		flags.StringVar(&o.svg, "svg", "", "with --sweep, draw it into this `FILE` too")
		flags.IntVar(&o.class, "class", 0, "write `N` practice cases into the folder given")
		return func(s *stdio, args []string) error {
			if flags.Changed("class") && o.class == 0 {
				o.class = -1 // none is no number of cases, and not the absence of one
			}
			if flags.Changed("count") && o.count == 0 {
				o.count = -1
			}
			return o.run(s, args)
		}
	},
}

type stageOptions struct {
	packOptions
	faults  []string
	vehicle string
	seed    uint64
	with    []string
	checks  string
	count   int
	hide    bool
	reveal  string
	sweep   string
	svg     string
	class   int
}

func stageError(hint, format string, args ...any) usageError {
	return usageError{fmt.Sprintf(format, args...), hint, "stage"}
}

func (o *stageOptions) run(s *stdio, args []string) error {
	if err := o.checkTogether(args); err != nil {
		return err
	}
	if o.checks == "" {
		o.checks = routine
		if o.class > 0 {
			o.checks += ",ask-the-customer"
		}
	}
	if o.reveal != "" {
		return reveal(s, o.reveal)
	}
	b, err := o.stagehand()
	if err != nil {
		return err
	}
	switch {
	case o.class > 0:
		return b.writeClass(s, o, args[0])
	case o.sweep != "":
		return b.sweep(s, o)
	}
	return b.print(s, o)
}

// checkTogether refuses options that do not go together.
func (o *stageOptions) checkTogether(args []string) error {
	switch {
	case o.class < 0 || o.class > 999:
		return stageError("", "--class takes a number from 1 to 999")
	case o.count < 0 || o.count > 1_000_000:
		return stageError("", "--count takes a number from 1 to 1000000")
	case o.class > 0 && len(args) != 1:
		return stageError("such as culprit stage --class 12 my-class", "--class takes one new folder to write into")
	case o.class > 0 && (len(o.faults) > 0 || o.hide || o.count > 0):
		return stageError("", "--class chooses the faults and hides them by itself")
	case o.class == 0 && len(args) > 0:
		return stageError("faults are named with --fault", "stage takes no word such as %q", args[0])
	case o.reveal != "" && (len(o.faults) > 0 || o.class > 0 || o.sweep != ""):
		return stageError("", "--reveal takes nothing else")
	case o.svg != "" && o.sweep == "":
		return stageError("", "--svg draws what --sweep shows")
	case o.sweep != "" && (o.hide || o.count > 0 || o.class > 0):
		return stageError("", "--sweep goes with neither --hide, --count nor --class")
	case o.reveal == "" && o.class == 0 && o.sweep == "" && len(o.faults) == 0:
		return stageError("name a fault with --fault, let one be drawn with --fault any, or leave the car sound with --fault none", "no fault is named")
	}
	return nil
}

// print writes one job, or several one a line.
func (b *stagehand) print(s *stdio, o *stageOptions) error {
	for i := range max(1, o.count) {
		it, err := b.draw(o.seed+uint64(i), o.faults)
		if err != nil {
			return err
		}
		text, err := b.job(it, o.hide)
		if err != nil {
			return err
		}
		if o.count > 0 {
			var line bytes.Buffer
			if err := json.Compact(&line, text); err != nil {
				return err
			}
			line.WriteByte('\n')
			text = line.Bytes()
		}
		if _, err := s.out.Write(text); err != nil {
			return err
		}
	}
	return nil
}

// stageable opens the pack, which must be the one that the model car is of.
func (o *stageOptions) stageable() (*engine.Pack, error) {
	pack, err := o.open()
	if err != nil {
		return nil, err
	}
	if o.pack != engine.DefaultPack {
		return nil, stageError("there is a model car for "+engine.DefaultPack+" only", "jobs of the pack %q cannot be staged", o.pack)
	}
	return pack, nil
}
