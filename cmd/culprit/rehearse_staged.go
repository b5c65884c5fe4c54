package main

import (
	"context"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/pflag"

	"culprit/cases/score"
	"culprit/engine"
)

// stagedOptions are those of rehearse --staged.
type stagedOptions struct {
	asked   bool
	staged  int
	checks  string
	equal   bool
	planner bool
	svg     string
}

func (o *stagedOptions) add(flags *pflag.FlagSet) {
	flags.IntVar(&o.staged, "staged", 0, "score the ranking on `N` cars of the model car, which knows nothing of the rules")
	flags.StringVar(&o.checks, "checks", string(score.First), "with --staged, the `CHECKS` made: first-five, all, or settle, which is the five and what settles the fault")
	flags.BoolVar(&o.equal, "equal", false, "with --staged, every fault equally often, not by how common it is")
	flags.BoolVar(&o.planner, "planner", false, "with --staged, what finding out takes with the planner and with the fixed routine")
	flags.StringVar(&o.svg, "svg", "", "with --staged, draw how far probabilities hold into this `FILE`")
}

// check refuses what does not go together; other says that something else was asked for.
func (o *stagedOptions) check(faults string, other bool) error {
	refuse := func(hint, format string, args ...any) error {
		return usageError{fmt.Sprintf(format, args...), hint, "rehearse"}
	}
	words := []string{string(score.First), string(score.All), string(score.Settle)}
	switch {
	case !o.asked && (o.checks != string(score.First) || o.equal || o.planner || o.svg != ""):
		return refuse("", "--checks, --equal, --planner and --svg go with --staged")
	case !o.asked:
		return nil
	case other:
		return refuse("leave out the files, --cover, --apart, --jobs, --ahead, --certain and --fail-under", "--staged runs no cases")
	case o.staged < 2 || o.staged > mostJobs:
		return refuse("", "--staged takes a number from 2 to %d, not %d", mostJobs, o.staged)
	case o.checks != words[0] && o.checks != words[1] && o.checks != words[2]:
		return refuse(near(o.checks, words), "--checks takes first-five, all or settle, not %q", o.checks)
	case faults != string(score.One) && faults != string(score.Two) && faults != string(score.More):
		return refuse("", "with --staged, --faults takes one, two or more, not %q", faults)
	case o.equal && faults != string(score.One):
		return refuse("", "--equal goes with one fault a car")
	case o.planner && (o.checks != words[0] || o.svg != ""):
		return refuse("", "--planner chooses the checks, and draws nothing")
	}
	return nil
}

// scored is the JSON form.
type scored struct {
	Version int          `json:"version"`
	Score   *score.Table `json:"score,omitempty"`
	Work    *score.Work  `json:"work,omitempty"`
}

// scoredVersion is the version of the JSON form.
const scoredVersion = 1

func (o *stagedOptions) run(s *stdio, pack *engine.Pack, jobs *jobsOptions, format string) error {
	ask := score.Options{Jobs: o.staged, Seed: jobs.seed, Checks: score.Checks(o.checks), Faults: score.Faults(jobs.faults), Equal: o.equal}
	out := scored{Version: scoredVersion}
	var err error
	if o.planner {
		out.Work, err = score.Ways(context.Background(), pack, ask)
	} else {
		out.Score, err = score.Rules(context.Background(), pack, ask)
	}
	if err != nil {
		return err
	}
	if o.svg != "" {
		if err := os.WriteFile(o.svg, []byte(reliability(out.Score)), 0o644); err != nil {
			return err
		}
	}
	switch {
	case format == "json":
		return writeJSON(s.out, out)
	case o.planner:
		renderWork(s, out.Work)
	default:
		renderScore(s, out.Score)
	}
	return nil
}

// stagedInWords tells which cars a score is of.
func stagedInWords(faults score.Faults, equal bool) string {
	switch {
	case equal:
		return "one fault, each equally often"
	case faults == score.Two:
		return "two faults at once"
	case faults == score.More:
		return "one fault or more, as common as the pack says"
	}
	return "one fault, as common as the pack says"
}

var checksInWords = map[score.Checks]string{
	score.First:  "after the first five checks",
	score.All:    "after all checks",
	score.Settle: "after the first five checks and what settles the fault",
}

// mostConfused is how many confusions are told to a person.
const mostConfused = 8

func renderScore(s *stdio, t *score.Table) {
	p := s.page()
	p.line("", 0, fmt.Sprintf("%s, %d staged cars, seed %d: %s; %s", t.Pack, t.Jobs, t.Seed, stagedInWords(t.Faults, t.Equal), checksInWords[t.Checks]))
	p.blank()
	many := t.Faults != score.One
	row := func(label string, x score.Share, expected float64) {
		line := fmt.Sprintf("%-53s%6.1f %%  %5.1f-%.1f", label, 100*x.Share, 100*x.From, 100*x.To)
		if expected > 0 {
			line = fmt.Sprintf("%-75s%5.1f", line, 100*expected)
		}
		fmt.Fprintln(s.out, line)
	}
	e := t.Expected
	if e == nil {
		e = &score.Expected{}
	} else {
		fmt.Fprintf(s.out, "%80s\n", "rules expect")
	}
	if many {
		row("a fault that is there leads", t.Leads, e.Leads)
		row("  or one that no reading in hand tells from it", t.LeadsAlike, 0)
		row("all that are there are among the first four", t.All, e.All)
	} else {
		row("the fault that is there leads", t.Leads, e.Leads)
		row("  or one that no reading in hand tells from it", t.LeadsAlike, e.LeadsAlike)
		row("the fault that is there is among the first three", t.Three, e.Three)
		row("  or one that no reading in hand tells from it", t.ThreeAlike, e.ThreeAlike)
	}
	number := func(label string, x float64) { fmt.Fprintf(s.out, "%-53s%7.3f\n", label, x) }
	number("calibration error, given as many faults as there are", t.Calibration.Expected)
	number("  given only that there is a fault", t.Any)
	number("  as rank prints it", t.Raw)
	number("Brier score of a car", t.Brier)
	number("log score of a car, nats", t.LogLoss)
	if len(t.Confused) == 0 {
		return
	}
	of := map[string]int{}
	for _, f := range t.ByFault {
		of[f.Fault] = f.Leads.Of
	}
	p.blank()
	fmt.Fprintln(s.out, "misled most often, the readings telling the two apart")
	for i, c := range t.Confused {
		if i == mostConfused || c.Told == 0 {
			break
		}
		fmt.Fprintf(s.out, "%5d of %4d  %s\n               taken for %s, as with seed %d\n", c.Told, of[c.Truth], c.Truth, c.Led, c.Seed)
	}
}

func renderWork(s *stdio, w *score.Work) {
	p := s.page()
	p.line("", 0, fmt.Sprintf("%s, %d staged cars, seed %d: %s", w.Pack, w.Jobs, w.Seed, stagedInWords(w.Faults, w.Equal)))
	fmt.Fprintf(s.out, "%-16s%12s%13s%13s%13s%13s\n", "", "minutes", "checks", "right leads", "proven", "proven wrong")
	for _, x := range w.Ways {
		line := fmt.Sprintf("%-16s%12s%13s%13s%13s%13s", x.Label, plusMinus(x.Minutes), plusMinus(x.Checks), percent(x.Right.Share), percent(x.Proven.Share), percent(x.Wrongly.Share))
		fmt.Fprintln(s.out, strings.TrimRight(line, " "))
	}
	p.blank()
	p.line("", 0, fmt.Sprintf("The planner takes %.0f±%.0f %% less than the routine, on the same cars. Minutes are of checks, until a fault is proven or no further check pays.",
		100*w.Saved.Mean, 50*(w.Saved.To-w.Saved.From)))
}

func plusMinus(m score.Mean) string { return fmt.Sprintf("%.1f±%.1f", m.Mean, (m.To-m.From)/2) }
