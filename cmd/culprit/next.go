package main

import (
	"context"

	"github.com/spf13/pflag"

	"culprit/engine"
)

var nextCommand = &command{
	name:    "next",
	summary: "tell which check to make next and what it is expected to save",
	usage:   "next [OPTIONS] [JOB.json | -] [READING=VALUE…]",
	about: `
Takes a job as rank does. Tells the check that is expected to save most minutes
of repairing in the dark, its own minutes taken off: what it takes, what has to
be done first, what it may say and what would lead then. Where no check pays it
says so, and in which order to repair.`,
	flags: func(flags *pflag.FlagSet) func(*stdio, []string) error {
		var o nextOptions
		o.jobOptions.add(flags)
		flags.StringArrayVar(&o.without, "without", nil, "offer no check that needs this `TOOL` (repeatable)")
		flags.IntVar(&o.most, "most", 6, "list `N` checks")
		flags.StringVar(&o.about, "about", "", "tell of this `CHECK` instead of the one worth most")
		o.format = formatFlag(flags)
		return o.run
	},
}

type nextOptions struct {
	jobOptions
	format  *string
	without []string
	most    int
	about   string
}

func (o *nextOptions) run(s *stdio, args []string) error {
	if o.most < 1 {
		return usageError{"--most takes a number from 1", "", "next"}
	}
	format, err := checkFormat(*o.format, "next")
	if err != nil {
		return err
	}
	pack, err := o.open()
	if err != nil {
		return err
	}
	if err := o.checkNames(pack); err != nil {
		return err
	}
	job, err := o.read(s, pack, args)
	if err != nil {
		return err
	}
	next, err := pack.Next(context.Background(), job, engine.NextOptions{Without: o.without, Most: o.most, About: o.about})
	if err != nil {
		return err
	}
	if format == "json" {
		return writeJSON(s.out, next)
	}
	renderNext(s, next, o.most, o.about)
	return nil
}

// checkNames refuses tools and checks that the pack does not know.
func (o *nextOptions) checkNames(pack *engine.Pack) error {
	for _, t := range o.without {
		if err := known("next", "--without", "no check of this pack needs a tool", t, pack.Tools()); err != nil {
			return err
		}
	}
	if o.about == "" {
		return nil
	}
	var checks []string
	for _, c := range pack.CheckOutlines() {
		checks = append(checks, c.Check)
	}
	return known("next", "--about", "there is no check", o.about, checks)
}
