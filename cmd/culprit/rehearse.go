package main

import (
	"context"
	"fmt"

	"github.com/spf13/pflag"

	"culprit/cases"
	"culprit/engine"
)

var rehearseCommand = &command{
	name:    "rehearse",
	summary: "run cases with known answers, and tell what they never tried",
	usage:   "rehearse [OPTIONS] [FILE|DIR…]",
	about: `
Runs the cases in case files and folders, without one those that come with the
pack, which are named "shipped" beside others; and says of each whether it
passes; of one that fails also what ranked where and which rules and readings
made it so. --cover tells what no case shows: where files are named or rules
added, of what you wrote yourself. --apart runs no case: it tells which faults
of the pack no check could tell apart, and which check separates two best.
--jobs runs no case either: it draws cars from the pack's numbers and tells what
whole jobs on them take with the planner, with a fixed routine and with simple
habits. --staged scores the ranking on cars of a physical model. Exit status: 0
all passed, 1 some failed, or no case was run, or less was seen than
--fail-under asks for, 2 something could not be read.`,
	flags: func(flags *pflag.FlagSet) func(*stdio, []string) error {
		var o rehearseOptions
		o.packOptions.add(flags)
		o.format = formatFlag(flags)
		flags.BoolVar(&o.cover, "cover", false, "list what no case shows, and why")
		flags.BoolVar(&o.all, "all", false, "with --cover, list also what the pack itself defines")
		flags.Float64Var(&o.failUnder, "fail-under", 0, "fail where less than this `PERCENT` of the outcomes was seen")
		flags.BoolVar(&o.apart, "apart", false, "tell which faults could be told apart at all, and by which check")
		o.jobs.add(flags)
		o.staged.add(flags)
		return func(s *stdio, args []string) error {
			o.jobs.asked = flags.Changed("jobs")
			o.staged.asked = flags.Changed("staged")
			o.floor = flags.Changed("fail-under")
			return o.run(s, args)
		}
	},
}

type rehearseOptions struct {
	packOptions
	format    *string
	cover     bool
	all       bool
	failUnder float64
	floor     bool // --fail-under was given
	only      bool // tell only the gaps of what the user wrote
	apart     bool
	jobs      jobsOptions
	staged    stagedOptions
}

// rehearsal is the JSON form of a run.
type rehearsal struct {
	Version  int             `json:"version"`
	Pack     string          `json:"pack"`
	Passed   int             `json:"passed"`
	Failed   int             `json:"failed"`
	Cases    []rehearsed     `json:"cases"`
	Coverage *cases.Coverage `json:"coverage"`
}

// rehearsed is one case of a run.
type rehearsed struct {
	Case        string             `json:"case"`
	File        string             `json:"file"`
	Line        int                `json:"line"`
	Column      int                `json:"column"`
	Passed      bool               `json:"passed"`
	Because     string             `json:"because"`
	Failures    []failure          `json:"failures"`
	Explanation *cases.Explanation `json:"explanation,omitempty"`

	result cases.Result
}

type failure struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Text   string `json:"text"`
	Hint   string `json:"hint,omitempty"`
}

// rehearsalVersion is the version of the JSON form.
const rehearsalVersion = 1

func (o *rehearseOptions) run(s *stdio, args []string) error {
	format, err := checkFormat(*o.format, "rehearse")
	if err != nil {
		return err
	}
	if !(o.failUnder >= 0 && o.failUnder <= 100) {
		return usageError{"--fail-under takes a percentage from 0 to 100", "", "rehearse"}
	}
	if o.all && !o.cover {
		return usageError{"--all is for --cover", "", "rehearse"}
	}
	if o.apart && (len(args) > 0 || o.cover || o.floor) {
		return usageError{"--apart runs no cases", "leave out the files, --cover and --fail-under", "rehearse"}
	}
	other := len(args) > 0 || o.cover || o.floor || o.apart
	if err := o.staged.check(o.jobs.faults, other || o.jobs.asked || o.jobs.otherOnly()); err != nil {
		return err
	}
	if err := o.jobs.check(other, o.staged.asked); err != nil {
		return err
	}
	pack, err := o.open()
	if err != nil {
		return err
	}
	if o.jobs.asked {
		return o.jobs.run(s, pack, format)
	}
	if o.staged.asked {
		return o.staged.run(s, pack, &o.jobs, format)
	}
	if o.apart {
		return tellApart(s, pack, format)
	}
	o.only = !o.all && len(o.also) > 0
	var all []*cases.Case
	if len(args) > 0 {
		o.only = !o.all
		all, err = cases.LoadNamed(o.pack, args...)
	} else if all, err = cases.Shipped(o.pack); err != nil {
		err = fmt.Errorf("%w; name a case file or a folder", err)
	}
	if err != nil {
		return err
	}
	return o.rehearse(s, pack, all, format)
}

func (o *rehearseOptions) rehearse(s *stdio, pack *engine.Pack, all []*cases.Case, format string) error {
	out := rehearsal{Version: rehearsalVersion, Pack: pack.Name(), Cases: []rehearsed{}}
	counter := cases.NewCounter(pack)
	for _, c := range all {
		r := c.Run(context.Background(), pack)
		counter.Add(c.ID, r)
		x := describeRun(c, r)
		if x.Passed {
			out.Passed++
		} else {
			out.Failed++
		}
		if format == "json" {
			out.Cases = append(out.Cases, x)
			continue
		}
		renderRun(s, x)
		if err := s.flush(); err != nil {
			return err
		}
	}
	out.Coverage = counter.Coverage()
	if format == "json" {
		if err := writeJSON(s.out, out); err != nil {
			return err
		}
	} else {
		o.summary(s.page(), &out)
	}
	if out.Passed == 0 || out.Failed > 0 || out.Coverage.Percent < o.failUnder {
		return exitStatus(exitNotInOrder)
	}
	return nil
}

func describeRun(c *cases.Case, r cases.Result) rehearsed {
	x := rehearsed{
		Case: c.ID, File: c.At.File.Name, Line: c.At.Line, Column: c.At.Column, Because: c.Because,
		Passed: len(r.Failures) == 0, Failures: []failure{}, Explanation: c.Explain(r), result: r,
	}
	for _, p := range r.Failures {
		f := failure{Line: p.Pos.Line, Column: p.Pos.Column, Text: p.Text, Hint: p.Hint}
		if p.Pos.File != nil {
			f.File = p.Pos.File.Name
		}
		x.Failures = append(x.Failures, f)
	}
	return x
}
