package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"github.com/spf13/pflag"

	"culprit/engine"
)

var sheetCommand = &command{
	name:    "sheet",
	summary: "write the job sheet of one or more jobs, to be printed or mailed",
	usage:   "sheet [OPTIONS] JOB.json… | -",
	about: `
Writes for each job one HTML file that needs nothing beside it: the car and the
complaint, the set-up list, the readings against their limits, the faults with
what speaks for and against them, the checks still worth making with their
cautions, what was repaired with before and after, and room to sign. It prints
on A4 and Letter.

Without --out the file lies in this folder and is called after the job:
cases/whistle-at-idle.json gives whistle-at-idle.html. --out FILE puts all jobs
into one file, each beginning on a page of its own; --out FOLDER a file each
into the folder; --out - writes to standard output. No file is replaced unless
--replace says so. --plain gives the same as text of 80 columns, to standard
output unless --out names a file or folder.`,
	flags: func(flags *pflag.FlagSet) func(*stdio, []string) error {
		var o sheetOptions
		flags.StringVar(&o.vehicle, "vehicle", "", "take the figures of this `VEHICLE` of the pack, whatever the job says")
		o.packOptions.add(flags)
		flags.StringVar(&o.out, "out", "", "write to this `FILE` or folder; - is standard output")
		flags.BoolVar(&o.plain, "plain", false, "write text instead of HTML")
		flags.BoolVar(&o.replace, "replace", false, "replace files that are there already")
		return o.run
	},
}

type sheetOptions struct {
	packOptions
	vehicle string
	out     string
	plain   bool
	replace bool
}

// mostSheets is how many jobs one run takes: what is written is made ready in memory.
const mostSheets = 1000

func (o *sheetOptions) run(s *stdio, args []string) error {
	switch {
	case len(args) == 0 && !s.piped:
		return usageError{"no job was given", "for example: culprit sheet cases/whistle-at-idle.json", "sheet"}
	case len(args) == 0:
		args = []string{"-"}
	case len(args) > mostSheets:
		return usageError{fmt.Sprintf("at most %d jobs at a time, not %d", mostSheets, len(args)), "", "sheet"}
	}
	to, err := o.destination(args)
	if err != nil {
		return err
	}
	pack, err := o.open()
	if err != nil {
		return err
	}
	// Every job is read before the first file is written: a mistake in the last
	// leaves nothing half done.
	sheets := make([]*sheet, len(args))
	for i, file := range args {
		if sheets[i], err = o.sheet(s, pack, file, fmt.Sprintf("job%d", i+1)); err != nil {
			return err
		}
	}
	return to.write(s, sheets, o.draw)
}

// sheet works out what the sheet of one job says; id is that of the job in its
// document.
func (o *sheetOptions) sheet(s *stdio, pack *engine.Pack, file, id string) (*sheet, error) {
	name, text, err := readInput(s, file)
	if err != nil {
		return nil, err
	}
	job, err := pack.ParseJob(name, text)
	if err != nil {
		return nil, err
	}
	if o.vehicle != "" {
		job.UseVehicle(o.vehicle, "--vehicle")
	}
	sheet, err := newSheet(context.Background(), pack, job, id)
	var wrong engine.Problems
	if err != nil && !errors.As(err, &wrong) {
		return nil, fmt.Errorf("%s: %w", name, err) // problems name their place themselves
	}
	return sheet, err
}

// draw makes one document of sheets.
func (o *sheetOptions) draw(sheets []*sheet) ([]byte, error) {
	var b bytes.Buffer
	if o.plain {
		plainSheets(&b, sheets)
		return b.Bytes(), nil
	}
	err := sheetDocument(&b, sheets)
	return b.Bytes(), err
}
