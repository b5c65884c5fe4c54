package main

import (
	"fmt"
	"slices"

	"github.com/spf13/pflag"

	"culprit/engine"
)

// packOptions choose the rules; several commands share them.
type packOptions struct {
	pack string
	also []string
}

func (o *packOptions) add(flags *pflag.FlagSet) {
	flags.StringVar(&o.pack, "pack", engine.DefaultPack, "reason with this shipped `PACK`, or the pack in this folder")
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
	flags.StringVar(&o.vehicle, "vehicle", "", "take the figures of this `VEHICLE` of the pack")
	o.packOptions.add(flags)
	flags.StringArrayVar(&o.repaired, "repaired", nil, "the repair of this `FAULT` was done before the words were read (repeatable)")
}

// read reads the job of the arguments.
func (o *jobOptions) read(s *stdio, pack *engine.Pack, args []string) (*engine.Job, error) {
	job, err := readJob(s, pack, args, o.repaired)
	if err == nil && o.vehicle != "" {
		job.UseVehicle(o.vehicle, "--vehicle")
	}
	return job, err
}

// formatFlag is the option that says what the output is for.
func formatFlag(flags *pflag.FlagSet) *string {
	return flags.String("format", "text", "the `FORMAT`: text for a person, json for a program")
}

func checkFormat(format, command string) (string, error) {
	if format != "text" && format != "json" {
		return "", usageError{fmt.Sprintf("--format is text or json, not %q", format), "", command}
	}
	return format, nil
}

// known refuses a name given with a command's option that is not among those known.
func known(command, option, what, name string, names []string) error {
	if slices.Contains(names, name) {
		return nil
	}
	return usageError{fmt.Sprintf("%s: %s %q", option, what, name), nearestName(name, names, ""), command}
}

// nearestName is the hint for a wrong name: the one that it is most likely a slip of, or
// what else there is to say.
func nearestName(name string, names []string, otherwise string) string {
	if near := engine.Nearest(name, names); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return otherwise
}
