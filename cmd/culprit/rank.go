package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"regexp"
	"sync"

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
valve_duty="25.2 deg dwell4". Prints the faults that could explain them, the
most probable first, what speaks for and against, what is missing, and what to
do next.

A job with several sets of readings ("sets": before a repair and after it) is
ranked by the last, and what changed is told first. --repaired FAULT begins a
new set for the words: the readings that were taken after that repair.`,
	flags: func(flags *pflag.FlagSet) func(*stdio, []string) error {
		var o rankOptions
		o.jobOptions.add(flags)
		o.format = formatFlag(flags)
		flags.IntVar(&o.most, "most", 5, "list the `N` leading faults")
		flags.StringArrayVar(&o.why, "why", nil, "explain this `FAULT` in full, wherever it ranks (repeatable)")
		flags.BoolVar(&o.next, "next", false, "with --format json: add what to do next, which takes longer to work out")
		return o.run
	},
}

type rankOptions struct {
	jobOptions
	format *string
	most   int
	why    []string
	next   bool
}

func (o *rankOptions) run(s *stdio, args []string) error {
	if o.most < 1 {
		return usageError{"--most takes a number from 1", "", "rank"}
	}
	format, err := checkFormat(*o.format, "rank")
	if err != nil {
		return err
	}
	pack, err := o.open()
	if err != nil {
		return err
	}
	if err := checkWhy(pack, o.why); err != nil {
		return err
	}
	job, err := o.read(s, pack, args)
	if err != nil {
		return err
	}
	verdict, err := pack.Diagnose(context.Background(), job, engine.Options{Most: o.most, Why: o.why})
	if err != nil {
		return err
	}
	var next *engine.Next
	if o.next || format == "text" {
		if next, err = pack.Next(context.Background(), job, engine.NextOptions{Most: 1}); err != nil {
			return err
		}
	}
	if format == "json" {
		return writeJSON(s.out, struct {
			*engine.Verdict
			Next *engine.Next `json:"next,omitempty"`
		}{verdict, next})
	}
	renderVerdict(s, verdict, next, o.most, o.why)
	return nil
}

// checkWhy refuses to explain what is no fault of the pack.
func checkWhy(pack *engine.Pack, why []string) error {
	for _, id := range why {
		if err := known("rank", "--why", "there is no fault", id, pack.Faults()); err != nil {
			return err
		}
	}
	return nil
}

var wordPattern = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[A-Za-z0-9_-]+=`) })

// readJob makes the job of a file or standard input and of words. Where repairs
// are named, the words are what was read after them.
func readJob(s *stdio, pack *engine.Pack, args, repaired []string) (*engine.Job, error) {
	var file string
	var words []string
	for _, a := range args {
		switch {
		case wordPattern().MatchString(a):
			words = append(words, a)
		case file != "":
			return nil, notTwoJobs(pack, file, a)
		default:
			file = a
		}
	}
	job := &engine.Job{}
	if file == "" && (len(words) == 0 || len(repaired) > 0) {
		if !s.piped {
			return nil, usageError{noReadings(repaired), "for example: culprit rank --vehicle brackenby-1800 engine_warm=yes valve_duty=15", "rank"}
		}
		file = "-"
	}
	if file != "" {
		name, text, err := readInput(s, file)
		if errors.Is(err, fs.ErrNotExist) && pack.HasReading(file) {
			return nil, usageError{fmt.Sprintf("there is no file %q, and a reading has a value", file), fmt.Sprintf("write %s=VALUE", file), "rank"}
		}
		if err != nil {
			return nil, err
		}
		if job, err = pack.ParseJob(name, text); err != nil {
			return nil, err
		}
	}
	if len(repaired) > 0 {
		job.AfterRepair(repaired, "--repaired")
	}
	return job, addWords(pack, job, words)
}

func noReadings(repaired []string) string {
	if len(repaired) > 0 {
		return "--repaired goes on with the readings of a job, and no job was given"
	}
	return "no readings were given"
}

// notTwoJobs tells what is wrong where two arguments look like files.
func notTwoJobs(pack *engine.Pack, a, b string) usageError {
	for _, id := range []string{a, b} {
		if pack.HasReading(id) {
			return usageError{fmt.Sprintf("the reading %q has no value", id), fmt.Sprintf("write %s=VALUE", id), "rank"}
		}
	}
	return usageError{fmt.Sprintf("one job at a time, not %q and %q", a, b), "readings are written name=value", "rank"}
}

// addWords puts words into a job; where they are no readings, what else the pack
// cannot take is told in the same go.
func addWords(pack *engine.Pack, job *engine.Job, words []string) error {
	err := job.AddWords(words)
	var wrong, more engine.Problems
	if !errors.As(err, &wrong) {
		return err
	}
	if errors.As(pack.Check(job), &more) {
		wrong = append(more, wrong...)
		wrong.Sort()
	}
	return wrong
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
