package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"regexp"

	"github.com/spf13/pflag"

	"culprit/engine"
)

var rankCommand = &command{
	name:    "rank",
	summary: "rank the faults of one job and explain why",
	usage:   "rank [OPTIONS] [JOB.json | -] [READING=VALUE…]",
	about: `
Takes the readings of one car as JSON from a file or standard input (-), as
READING=VALUE words, or both; words win. A value may carry a unit: co="1.9 %",
valve_duty="25.2 deg dwell4". Prints the faults that could explain them, the most
probable first, what speaks for and against, and what is missing.`,
	flags: func(flags *pflag.FlagSet) func(*stdio, []string) error {
		var o rankOptions
		flags.StringVar(&o.vehicle, "vehicle", "", "take the figures of this vehicle of the pack")
		o.packOptions.add(flags)
		o.format = formatFlag(flags)
		flags.IntVar(&o.most, "most", 5, "list this many of the leading faults")
		flags.StringArrayVar(&o.why, "why", nil, "explain this `FAULT` in full, wherever it ranks (repeatable)")
		return o.run
	},
}

type rankOptions struct {
	packOptions
	vehicle string
	format  *string
	most    int
	why     []string
}

func (o *rankOptions) run(s *stdio, args []string) error {
	if o.most < 1 {
		return usageError{"--most takes a number from 1", "", "rank"}
	}
	format, err := checkFormat(*o.format, "rank")
	if err != nil {
		return err
	}
	job, err := readJob(s, args)
	if err != nil {
		return err
	}
	if o.vehicle != "" {
		job.UseVehicle(o.vehicle, "--vehicle")
	}
	pack, err := o.open()
	if err != nil {
		return err
	}
	verdict, err := pack.Diagnose(context.Background(), job, engine.Options{Most: o.most, Why: o.why})
	if err != nil {
		return err
	}
	if format == "json" {
		return writeJSON(s.out, verdict)
	}
	renderVerdict(s, verdict, o.most, o.why)
	return nil
}

var wordPattern = regexp.MustCompile(`^[A-Za-z0-9_-]+=`)

// readJob makes the job of a file or standard input and of words.
func readJob(s *stdio, args []string) (*engine.Job, error) {
	var file string
	var words []string
	for _, a := range args {
		switch {
		case wordPattern.MatchString(a):
			words = append(words, a)
		case file != "":
			return nil, usageError{fmt.Sprintf("one job at a time, not %q and %q", file, a), "readings are written name=value", "rank"}
		default:
			file = a
		}
	}
	job := &engine.Job{}
	if file == "" && len(words) == 0 {
		if !s.piped {
			return nil, usageError{"no readings were given", "for example: culprit rank --vehicle brackenby-1800 engine_warm=yes valve_duty=15", "rank"}
		}
		file = "-"
	}
	if file != "" {
		name, text, err := readInput(s, file)
		if err != nil {
			return nil, err
		}
		if job, err = engine.ParseJob(name, text); err != nil {
			return nil, err
		}
	}
	return job, job.AddWords(words)
}

// readInput reads a file, or standard input where its name is "-". A little
// more than the largest job is read at most.
func readInput(s *stdio, file string) (name string, text []byte, err error) {
	in, name := s.in, "standard input"
	if file != "-" {
		f, err := os.Open(file)
		if err != nil {
			return "", nil, err
		}
		defer f.Close()
		in, name = f, file
	}
	text, err = io.ReadAll(io.LimitReader(in, engine.MaxJobBytes+1))
	if err != nil {
		return "", nil, fmt.Errorf("%s: %w", name, err)
	}
	return name, text, nil
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}
