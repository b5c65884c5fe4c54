package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"strings"

	"github.com/spf13/pflag"

	"culprit/engine"
)

var interviewCommand = &command{
	name:    "interview",
	summary: "ask for the readings in turn, those worth most first",
	usage:   "interview [OPTIONS] [JOB.json | --resume JOB.json]",
	about: `
Asks for the car, the complaint and the set-up list, then for the readings of
the check that is worth most, until a fault is settled or no check pays; then
for the repair, and for what the repair could have moved; and prints a record of
the job.

An answer may carry a unit. Enter passes a question over. The other answers:
  ?      how to measure it, and what can hurt
  back   take the last answer back, as often as wanted
  skip   pass over what is left of this check
  again  ask for what was passed over
  why    the ranking and the reasons, as rank tells them
  next   the whole advice, as next tells it
  stop   stop here; the job is kept
READING=VALUE at any question gives readings that were not asked for.

The job is kept in a file after every answer: JOB.json, which must not exist
yet, else job-DATE-NUMBER.json in this folder. rank and next read it, and
--resume goes on with it. Answers may come from a pipe, one a line.`,
	flags: func(flags *pflag.FlagSet) func(*stdio, []string) error {
		var o interviewOptions
		flags.StringVar(&o.vehicle, "vehicle", "", "take the figures of this `VEHICLE` of the pack")
		o.packOptions.add(flags)
		flags.StringArrayVar(&o.without, "without", nil, "ask for no check that needs this `TOOL` (repeatable)")
		flags.StringVar(&o.resume, "resume", "", "go on with the job in this `FILE`, and keep it there")
		return o.run
	},
}

type interviewOptions struct {
	packOptions
	vehicle string
	without []string
	resume  string
}

func (o *interviewOptions) run(s *stdio, args []string) error {
	switch {
	case len(args) > 1:
		return usageError{fmt.Sprintf("one job at a time, not %q and %q", args[0], args[1]), "", "interview"}
	case len(args) == 1 && o.resume != "":
		return usageError{fmt.Sprintf("the job is kept in %q, which is gone on with, and not in %q", o.resume, args[0]), "", "interview"}
	}
	pack, err := o.open()
	if err != nil {
		return err
	}
	file, err := openJobFile(append(args, "")[0], o.resume)
	if err != nil {
		return err
	}
	defer file.close()
	job := &engine.Job{Readings: map[string]engine.Value{}}
	if o.resume != "" {
		name, text, err := readInput(s, o.resume)
		if err != nil {
			return err
		}
		if job, err = pack.ParseJob(name, text); err != nil {
			return err
		}
	}
	if o.vehicle != "" {
		job.UseVehicle(o.vehicle, "--vehicle")
	}
	iv, err := pack.Interview(context.Background(), job, engine.InterviewOptions{Without: o.without})
	if err != nil {
		return err
	}
	t := &talk{stdio: s, page: s.page(), pack: pack, iv: iv, file: file, lines: readLines(s.in), stop: make(chan os.Signal, 1)}
	signal.Notify(t.stop, os.Interrupt)
	defer signal.Stop(t.stop)
	return t.run()
}

// talk is an interview with somebody at a terminal, or at the other end of a pipe.
type talk struct {
	*stdio
	*page
	pack  *engine.Pack
	iv    *engine.Interview
	file  *jobFile
	lines <-chan line
	stop  chan os.Signal
	shown *engine.Step // the work whose heading was shown last
	// unsaved is why the job could not be kept the last time.
	unsaved error
}

func (t *talk) run() error {
	t.hello()
	for {
		q := t.iv.Question()
		if q.Ask == engine.AskNothing {
			if err := t.record(); err != nil {
				return err
			}
			return t.kept()
		}
		t.question(q)
		if err := t.flush(); err != nil {
			return err
		}
		select {
		case <-t.stop:
			t.blank()
			if err := t.kept(); err != nil {
				return err
			}
			return exitStatus(exitInterrupted)
		case l := <-t.lines:
			if l.end {
				if !t.piped {
					t.blank()
				}
				return t.kept()
			}
			if l.bad != "" {
				t.refuse(engine.Reply{Refused: l.bad})
				continue
			}
			if strings.EqualFold(strings.TrimSpace(l.text), "stop") {
				return t.kept()
			}
			if err := t.hear(q, strings.TrimSpace(l.text)); err != nil {
				return err
			}
		}
	}
}

// hear does what an answer says.
func (t *talk) hear(q *engine.Question, text string) error {
	ctx := context.Background()
	var reply engine.Reply
	var err error
	switch strings.ToLower(text) {
	case "?", "help":
		t.explain(q)
		return nil
	case "why":
		return t.why(ctx)
	case "next":
		return t.next(ctx)
	case "back":
		if !t.iv.Back() {
			reply.Refused = "there is no answer to take back"
		}
		t.shown = nil
	case "skip":
		reply, err = t.iv.PassOver(ctx)
	case "again":
		reply, err = t.iv.AskAgain(ctx)
	default:
		reply, err = t.iv.Answer(ctx, text)
	}
	if err != nil {
		return err
	}
	if reply.Refused != "" {
		t.refuse(reply)
		return nil
	}
	for _, n := range reply.Notes {
		t.line("", 2, n)
	}
	t.keep()
	return nil
}

func (t *talk) why(ctx context.Context) error {
	v, err := t.pack.Diagnose(ctx, t.iv.Job(), engine.Options{})
	if err != nil {
		return err
	}
	t.blank()
	renderVerdict(t.stdio, v, nil, 5, nil)
	t.shown = nil
	return nil
}

func (t *talk) next(ctx context.Context) error {
	n, err := t.iv.Next(ctx)
	if err != nil {
		return err
	}
	t.blank()
	renderNext(t.stdio, n, 6, "")
	t.shown = nil
	return nil
}

// keep saves the job. Where that fails it says so, and the next answer tries again.
func (t *talk) keep() {
	text, err := t.pack.WriteJob(t.iv.Job())
	if err == nil {
		err = t.file.save(text)
	}
	if err != nil && (t.unsaved == nil || t.unsaved.Error() != err.Error()) {
		t.flush()
		fmt.Fprintln(t.stdio.err, "culprit: not kept:", err)
	}
	t.unsaved = err
}

// kept says where the job is, and is an error where it is not.
func (t *talk) kept() error {
	if t.unsaved != nil {
		return fmt.Errorf("the last answers are not kept: %w", t.unsaved)
	}
	if !t.file.saved {
		t.line("", 0, "Nothing was answered, so nothing is kept.")
		return nil
	}
	text := fmt.Sprintf("Kept in %s.", t.file.path)
	if t.iv.Question().Ask != engine.AskNothing {
		text += " To go on: culprit interview --resume " + t.file.path
	}
	t.line("", 0, text)
	return nil
}
