package main

import (
	"context"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/pflag"

	"culprit/cases/strategies"
	"culprit/engine"
)

// jobsOptions are those of rehearse --jobs.
type jobsOptions struct {
	asked   bool
	jobs    int
	seed    uint64
	faults  string
	certain float64
	ahead   bool
}

// mostJobs bounds what --jobs takes; their tallies are kept in memory.
const mostJobs = 1_000_000

func (o *jobsOptions) add(flags *pflag.FlagSet) {
	flags.IntVar(&o.jobs, "jobs", 0, "simulate `N` whole jobs with each way of choosing checks")
	flags.Uint64Var(&o.seed, "seed", 1, "of the chance in --jobs: the same `NUMBER`, the same cars")
	flags.StringVar(&o.faults, "faults", "one", "`HOW` many a simulated car has: one, two, more, weighed or all")
	flags.Float64Var(&o.certain, "certain", strategies.Certain, "the `PROBABILITY` at which habits turn to a fault, in --jobs")
	flags.BoolVar(&o.ahead, "ahead", false, "with --jobs, also the planner that looks one check further ahead (slow)")
}

// otherOnly tells whether something was asked for that goes with --jobs and not with --staged.
func (o *jobsOptions) otherOnly() bool { return o.ahead || o.certain != strategies.Certain }

// check refuses what does not go together; other says that something else was asked for, staged that --staged was,
// which takes --seed and --faults too.
func (o *jobsOptions) check(other, staged bool) error {
	_, known := engine.Draws[o.faults]
	switch {
	case staged:
		return nil
	case !known && o.faults != "all":
		return usageError{fmt.Sprintf("--faults takes one, two, more, weighed or all, not %q", o.faults), nearestName(o.faults, drawWords, ""), "rehearse"}
	case !o.asked && (o.ahead || o.faults != "one" || o.seed != 1 || o.certain != strategies.Certain):
		return usageError{"--seed and --faults go with --jobs or --staged, --certain and --ahead with --jobs", "", "rehearse"}
	case !o.asked:
		return nil
	case !(o.certain >= 0.5 && o.certain <= 1):
		return usageError{fmt.Sprintf("--certain takes a probability from 0.5 to 1, not %g", o.certain), "", "rehearse"}
	case other:
		return usageError{"--jobs runs no cases", "leave out the files, --cover, --apart and --fail-under", "rehearse"}
	case o.jobs < 2 || o.jobs > mostJobs:
		return usageError{fmt.Sprintf("--jobs takes a number from 2 to %d, not %d", mostJobs, o.jobs), "", "rehearse"}
	}
	return nil
}

// drawWords are what --faults takes, in the order in which all are run.
var drawWords = []string{"one", "two", "more", "weighed", "all"}

// comparison is the JSON form.
type comparison struct {
	Version int                 `json:"version"`
	Tables  []*strategies.Table `json:"tables"`
}

// comparisonVersion is the version of the JSON form.
const comparisonVersion = 1

func (o *jobsOptions) run(s *stdio, pack *engine.Pack, format string) error {
	words := []string{o.faults}
	if o.faults == "all" {
		words = drawWords[:len(drawWords)-1]
	}
	var only []string
	if o.ahead {
		for _, x := range strategies.All() {
			only = append(only, x.ID)
		}
	}
	out := comparison{Version: comparisonVersion}
	for i, word := range words {
		t, err := strategies.Compare(context.Background(), pack, strategies.Options{Jobs: o.jobs, Seed: o.seed, Draw: engine.Draws[word], Certain: o.certain, Only: only})
		if err != nil {
			return err
		}
		out.Tables = append(out.Tables, t)
		if format == "json" {
			continue
		}
		if i > 0 {
			s.page().blank()
		}
		renderTable(s, t)
		if err := s.flush(); err != nil {
			return err
		}
	}
	if format == "json" {
		return writeJSON(s.out, out)
	}
	p := s.page()
	p.blank()
	p.line("", 0, "Minutes of a job, on the average; in finding out, those above what it takes whoever knows from the start what is wrong. "+
		"Saved is what the planner saves of them, on the same cars, with its 95 % confidence interval. "+
		"The cars obey the rules, so this tells what the order of checks is worth, and not whether the rules are right.")
	return nil
}

// renderTable writes a table for a person, at most 80 columns wide.
func renderTable(s *stdio, t *strategies.Table) {
	p := s.page()
	p.line("", 0, fmt.Sprintf("%s, %d jobs, seed %d: %s", t.Pack, t.Jobs, t.Seed, t.Draw))
	const row = "%-25s%6s%9s%7s%8s%7s%9s%9s\n"
	fmt.Fprintf(s.out, row, "", "all", "finding", "", "wasted", "last", "saved", "in find-")
	fmt.Fprintf(s.out, row, "", "min", "out min", "checks", "repairs", "resort", "of all", "ing out")
	for i := range t.Rows {
		r := &t.Rows[i]
		saved, finding := "", ""
		if i > 0 {
			saved, finding = savedShare(r.Saved), savedShare(r.SavedDiagnosis)
		}
		line := fmt.Sprintf(row, r.Label, fmt.Sprintf("%.0f", r.Minutes.Mean), fmt.Sprintf("%.0f", r.Diagnosis.Mean),
			fmt.Sprintf("%.1f", r.Checks.Mean), fmt.Sprintf("%.2f", r.Wasted.Mean), percent(r.LastResort.Mean), saved, finding)
		fmt.Fprintln(s.out, strings.TrimRight(line, " \n"))
	}
}

// savedShare writes a share of minutes in per cent with half the width of its interval.
func savedShare(m strategies.Mean) string {
	return fmt.Sprintf("%.0f±%.0f %%", math.Round(100*m.Mean)+0, math.Ceil(50*(m.To-m.From)))
}
