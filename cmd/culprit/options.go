package main

import (
	"fmt"

	"github.com/spf13/pflag"

	"culprit/engine"
)

// packOptions choose the rules; several commands share them.
type packOptions struct {
	pack string
	also []string
}

func (o *packOptions) add(flags *pflag.FlagSet) {
	flags.StringVar(&o.pack, "pack", engine.DefaultPack, "reason with this shipped pack, or the pack in this folder")
	flags.StringArrayVar(&o.also, "add", nil, "join the rules in this `FOLDER` to the pack (repeatable)")
}

func (o *packOptions) open() (*engine.Pack, error) {
	return engine.Open(engine.Sources{Pack: o.pack, Add: o.also})
}

// jobOptions choose the rules and the car; commands that take a job share them.
type jobOptions struct {
	packOptions
	vehicle  string
	repaired []string
}

func (o *jobOptions) add(flags *pflag.FlagSet) {
	flags.StringVar(&o.vehicle, "vehicle", "", "take the figures of this vehicle of the pack")
	o.packOptions.add(flags)
	flags.StringArrayVar(&o.repaired, "repaired", nil, "the repair of this `FAULT` was done before the words were read (repeatable)")
}

// read opens the pack and reads the job of the arguments.
func (o *jobOptions) read(s *stdio, args []string) (*engine.Pack, *engine.Job, error) {
	pack, err := o.open()
	if err != nil {
		return nil, nil, err
	}
	job, err := readJob(s, pack, args, o.repaired)
	if err != nil {
		return nil, nil, err
	}
	if o.vehicle != "" {
		job.UseVehicle(o.vehicle, "--vehicle")
	}
	return pack, job, nil
}

// formatFlag is the option that says what the output is for.
func formatFlag(flags *pflag.FlagSet) *string {
	return flags.String("format", "text", "text for a person, json for a program")
}

func checkFormat(format, command string) (string, error) {
	if format != "text" && format != "json" {
		return "", usageError{fmt.Sprintf("--format is text or json, not %q", format), "", command}
	}
	return format, nil
}
