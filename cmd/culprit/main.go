// Command culprit ranks the faults that could explain the readings of one car.
//
// Each command is one file here; none of them reasons. They turn arguments into
// calls of package engine and its plain structs into text or JSON.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/pflag"

	"culprit/engine"
)

// Exit statuses, each with one meaning.
const (
	exitDone       = 0
	exitNotInOrder = 1 // the thing asked about is not in order
	exitBadInput   = 2 // bad usage, or input that cannot be taken

	// As a shell tells them of programs that these signals end.
	exitInterrupted = 130 // SIGINT, and SIGTERM likewise
	exitClosedPipe  = 141 // SIGPIPE: whoever read the results has gone
)

// command is one subcommand.
type command struct {
	name    string
	summary string // one line for the list of commands
	usage   string // the line after "culprit"
	about   string // what it does, at length
	flags   func(*pflag.FlagSet) func(s *stdio, args []string) error
}

// commands in the order of the help text.
var commands = []*command{rankCommand, nextCommand, interviewCommand, streamCommand, sheetCommand, serveCommand, showCommand, proofreadCommand, rehearseCommand, stageCommand}

func main() {
	os.Exit(run(system(), os.Args[1:]))
}

// run is the whole program with its surroundings given.
func run(s *stdio, args []string) int {
	status := dispatch(s, args)
	switch err := s.flush(); {
	case isClosedPipe(err):
		return exitClosedPipe
	case err != nil && (status == exitDone || status == exitNotInOrder):
		return s.fail(err)
	}
	return status
}

func dispatch(s *stdio, args []string) int {
	if len(args) == 0 {
		fmt.Fprint(s.err, overview())
		return exitBadInput
	}
	switch args[0] {
	case "help", "-h", "--help":
		return help(s, args[1:])
	case "--version", "version":
		fmt.Fprintln(s.out, "culprit", version())
		return exitDone
	}
	c := find(args[0])
	if c == nil {
		return s.fail(usageError{fmt.Sprintf("there is no command %q", args[0]), nearestName(args[0], names(), ""), ""})
	}
	flags := pflag.NewFlagSet(c.name, pflag.ContinueOnError)
	flags.SetOutput(io.Discard)
	flags.SortFlags = false
	action := c.flags(flags)
	if err := flags.Parse(args[1:]); err != nil {
		if errors.Is(err, pflag.ErrHelp) {
			fmt.Fprint(s.out, c.help())
			return exitDone
		}
		return s.fail(flagError(c, flags, err))
	}
	if err := action(s, flags.Args()); err != nil {
		return s.fail(err)
	}
	return exitDone
}

func find(name string) *command {
	for _, c := range commands {
		if c.name == name {
			return c
		}
	}
	return nil
}

func names() []string {
	var all []string
	for _, c := range commands {
		all = append(all, c.name)
	}
	return all
}

// flagError adds the nearest known option to what the parser says.
func flagError(c *command, flags *pflag.FlagSet, err error) usageError {
	u := usageError{text: err.Error(), see: c.name}
	var unknown *pflag.NotExistError
	if errors.As(err, &unknown) {
		var known []string
		flags.VisitAll(func(f *pflag.Flag) { known = append(known, f.Name) })
		u.text = fmt.Sprintf("there is no option %q", strings.TrimSuffix("--"+unknown.GetSpecifiedName(), "="))
		if near := engine.Nearest(unknown.GetSpecifiedName(), known); near != "" {
			u.hint = fmt.Sprintf("did you mean --%s?", near)
		}
	}
	return u
}
