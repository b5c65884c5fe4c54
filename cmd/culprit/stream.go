package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"syscall"
	"time"

	"github.com/spf13/pflag"

	"culprit/engine"
)

var streamCommand = &command{
	name:    "stream",
	summary: "answer many jobs: one JSON job a line in, one record a line out",
	usage:   "stream [OPTIONS] [FILE… | -]",
	about: `
Reads jobs as JSON, one a line, from files or standard input (-), and writes one
record of JSON a line, in the same order. A line that cannot be answered has an
error record in its place, and the rest goes on. Empty lines are passed over.
It works on all cores and in little memory, however long the input is, and reads
no faster than its own output is taken.

At the end it tells on standard error what was done. Exit status: 1 where a line
could not be answered, 130 where it was interrupted, once the lines in hand were
finished. culprit show --schema brief describes the records; docs/json.md, too.`,
	flags: func(flags *pflag.FlagSet) func(*stdio, []string) error {
		var o streamOptions
		flags.BoolVar(&o.brief, "brief", false, "leading faults, their probabilities and warnings; this is the default")
		flags.BoolVar(&o.full, "full", false, "whole verdicts, as rank --format json, each on one line")
		flags.BoolVar(&o.next, "next", false, "add what to do next, which takes far longer than the rest")
		flags.BoolVar(&o.failFast, "fail-fast", false, "stop after the first line that cannot be answered")
		flags.IntVar(&o.most, "most", 5, "tell the `N` leading faults")
		flags.StringVar(&o.vehicle, "vehicle", "", "take the figures of this `VEHICLE` of the pack, for all jobs")
		flags.IntVar(&o.maxLine, "max-line", engine.DefaultMaxLine, "refuse a line of more `BYTES` than this")
		o.packOptions.add(flags)
		return o.run
	},
}

type streamOptions struct {
	packOptions
	brief, full, next, failFast bool
	most, maxLine               int
	vehicle                     string
}

func (o *streamOptions) run(s *stdio, args []string) error {
	if err := o.check(s, args); err != nil {
		return err
	}
	pack, err := o.open()
	if err != nil {
		return err
	}
	if o.vehicle != "" {
		job := &engine.Job{}
		job.UseVehicle(o.vehicle, "--vehicle")
		if err := pack.Check(job); err != nil {
			return err
		}
	}
	if len(args) == 0 {
		args = []string{"-"}
	}
	r := &streamRun{s: s, pack: pack, began: time.Now()}
	stop, interrupted := onInterrupt()
	defer stop()
	for _, file := range args {
		options := engine.StreamOptions{Full: o.full, Next: o.next, FailFast: o.failFast, Most: o.most, Vehicle: o.vehicle, MaxLine: o.maxLine, Stop: interrupted}
		if len(args) > 1 {
			options.File = file
		}
		err := r.stream(file, options)
		if isClosedPipe(err) {
			return err // nobody is left to tell anything
		}
		if err != nil {
			r.summarize("")
			return err
		}
		if isClosed(interrupted) {
			r.summarize("interrupted: ")
			return exitStatus(exitInterrupted)
		}
		if o.failFast && r.done.Errors > 0 {
			break
		}
	}
	r.summarize("")
	if r.done.Errors > 0 {
		return exitStatus(exitNotInOrder)
	}
	return nil
}

// check refuses options and arguments that make no sense, before anything is read.
func (o *streamOptions) check(s *stdio, args []string) error {
	switch {
	case o.most < 1:
		return usageError{"--most takes a number from 1", "", "stream"}
	case o.brief && o.full:
		return usageError{"--brief and --full exclude each other", "", "stream"}
	case o.maxLine < 1 || o.maxLine > engine.MostMaxLine:
		return usageError{fmt.Sprintf("--max-line takes a number of bytes from 1 to %d", engine.MostMaxLine), "", "stream"}
	case len(args) == 0 && !s.piped:
		return usageError{"no jobs were given", "for example: culprit stream jobs.jsonl", "stream"}
	}
	for i, file := range args {
		if slices.Contains(args[:i], file) {
			return usageError{fmt.Sprintf("%q is given twice", file), "", "stream"}
		}
		if file == "-" {
			continue
		}
		info, err := os.Stat(file)
		if err != nil {
			return err
		}
		if info.IsDir() {
			return usageError{fmt.Sprintf("%q is a folder", file), "", "stream"}
		}
	}
	return nil
}

// streamRun is one run over some inputs.
type streamRun struct {
	s     *stdio
	pack  *engine.Pack
	began time.Time
	done  engine.Summary
	shown time.Time // when progress was told last
}

// stream goes through one input.
func (r *streamRun) stream(file string, o engine.StreamOptions) error {
	in := r.s.in
	if file != "-" {
		f, err := openUnless(o.Stop, file)
		if f == nil {
			return err
		}
		defer f.Close()
		in = f
	}
	before := r.done
	if r.s.progress {
		o.Progress = func(now engine.Summary) {
			now.Add(before)
			r.progress(now)
		}
	}
	// Each piece goes out at once, for whoever waits for the answer to a line.
	sum, err := r.pack.Stream(context.Background(), in, eager{r.s}, o)
	r.done.Add(sum)
	return err
}

// openUnless opens a file; nil without an error where it was stopped before it was there: nothing
// else ends the wait for whoever is to write into a named pipe.
func openUnless(stop <-chan struct{}, name string) (*os.File, error) {
	type opened struct {
		file *os.File
		err  error
	}
	done := make(chan opened, 1)
	go func() {
		f, err := os.Open(name)
		done <- opened{f, err}
	}()
	select {
	case o := <-done:
		return o.file, o.err
	case <-stop:
		return nil, nil
	}
}

// eager is standard output without delay.
type eager struct{ s *stdio }

func (e eager) Write(p []byte) (int, error) {
	n, err := e.s.out.Write(p)
	if err == nil {
		err = e.s.flush()
	}
	return n, err
}

// progress tells how far it is, on one line that is written over.
func (r *streamRun) progress(now engine.Summary) {
	const every = 200 * time.Millisecond
	if time.Since(r.shown) < every {
		return
	}
	r.shown = time.Now()
	fmt.Fprintf(r.s.err, "\r%s%s", r.told(now), eraseRest)
}

const eraseRest = "\x1b[K" // ECMA-48, EL

// summarize tells what was done.
func (r *streamRun) summarize(how string) {
	if r.s.progress {
		io.WriteString(r.s.err, "\r"+eraseRest)
	}
	fmt.Fprintf(r.s.err, "culprit: %s%s\n", how, r.told(r.done))
}

// told is what was done, for a person.
func (r *streamRun) told(now engine.Summary) string {
	took := time.Since(r.began).Seconds()
	text := fmt.Sprintf("%s, %s, %.2f s, %.0f jobs a second", plural(now.Jobs, "job"), plural(now.Errors, "error"), took, float64(now.Jobs)/max(took, 1e-9))
	if now.Blank > 0 {
		text += fmt.Sprintf("; %s passed over", plural(now.Blank, "empty line"))
	}
	return text
}

// onInterrupt gives a channel that the first interrupt closes; the second ends the
// program at once. stop gives signals back their usual meaning.
func onInterrupt() (stop func(), interrupted <-chan struct{}) {
	signals, closed, over := make(chan os.Signal, 2), make(chan struct{}), make(chan struct{})
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	go func() {
		select {
		case <-signals:
			close(closed)
		case <-over:
			return
		}
		select {
		case <-signals:
			os.Exit(exitInterrupted)
		case <-over:
		}
	}()
	return func() {
		signal.Stop(signals)
		close(over)
	}, closed
}

func isClosed(c <-chan struct{}) bool {
	select {
	case <-c:
		return true
	default:
		return false
	}
}
