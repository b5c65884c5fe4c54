package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"unicode/utf8"

	"golang.org/x/term"

	"culprit/engine"
)

// Messages go to standard error, lower case and without a full stop, with
// "culprit: " in front; what the user typed stands in quotes, and a hint has a
// line of its own. Standard output carries results only.

// stdio is the program's surroundings.
type stdio struct {
	in     io.Reader
	out    io.Writer
	err    io.Writer
	flush  func() error
	piped  bool // input comes from a pipe or file, not from a person
	colour bool // results go to a terminal that shows bold and dim
	width  int  // columns of the terminal; 80 where there is none
	// progress can be told: messages go to a terminal, and results do not.
	progress bool
}

func system() *stdio {
	heedClosedPipes()
	out := bufio.NewWriter(os.Stdout)
	s := &stdio{in: os.Stdin, out: out, err: os.Stderr, flush: out.Flush, width: 80}
	s.progress = term.IsTerminal(int(os.Stderr.Fd())) && !term.IsTerminal(int(os.Stdout.Fd()))
	s.piped = !term.IsTerminal(int(os.Stdin.Fd()))
	if w, _, err := term.GetSize(int(os.Stdout.Fd())); err == nil && w > 0 {
		s.width = w
		_, plain := os.LookupEnv("NO_COLOR")
		s.colour = !plain && os.Getenv("TERM") != "dumb"
	}
	if w, err := strconv.Atoi(os.Getenv("COLUMNS")); err == nil && w > 0 {
		s.width = w
	}
	s.width = min(max(s.width, 40), 200)
	return s
}

// heedClosedPipes lets a write to a pipe that nobody reads any more fail instead of
// ending the program on the spot, so that what is written elsewhere is not lost.
func heedClosedPipes() { signal.Notify(make(chan os.Signal, 1), syscall.SIGPIPE) }

// isClosedPipe tells whether a write failed because the reader has gone.
func isClosedPipe(err error) bool {
	return slices.ContainsFunc(closedPipes, func(gone syscall.Errno) bool { return errors.Is(err, gone) })
}

// usageError is a command called wrongly.
type usageError struct {
	text, hint string
	see        string // the command whose help tells more
}

func (e usageError) Error() string { return e.text }

// exitStatus ends a command whose results, on standard output, have said it all.
type exitStatus int

func (e exitStatus) Error() string { return fmt.Sprintf("exit status %d", int(e)) }

// fail prints an error and gives the exit status. That the reader of the results
// has gone is nothing to tell: it wanted no more.
func (s *stdio) fail(err error) int {
	if isClosedPipe(err) || isClosedPipe(s.flush()) {
		return exitClosedPipe
	}
	var problems engine.Problems
	var wide *engine.TooWideError
	var usage usageError
	var told exitStatus
	missing, isPath := err.(*fs.PathError) // itself, since what wraps one has more to say; told as a place, like those in files
	switch {
	case errors.As(err, &told):
		return int(told)
	case errors.As(err, &problems):
		problems.Format(s.err)
	case errors.As(err, &usage):
		fmt.Fprintln(s.err, "culprit:", usage.text)
		for _, line := range hintLines(usage.hint) {
			fmt.Fprintln(s.err, "    "+line)
		}
		if usage.see != "" {
			fmt.Fprintf(s.err, "    see culprit help %s\n", usage.see)
		}
	case errors.As(err, &wide):
		fmt.Fprintln(s.err, "culprit:", wide)
		s.tellStill(wide.Still)
	case errors.Is(err, syscall.EISDIR) && errors.As(err, &missing):
		fmt.Fprintf(s.err, "culprit: %s is a folder, and a file is wanted\n", missing.Path)
	case isPath:
		fmt.Fprintf(s.err, "culprit: %s: %v\n", missing.Path, missing.Err)
	default:
		fmt.Fprintln(s.err, "culprit:", err)
	}
	return exitBadInput
}

// hintLines breaks a hint so that it fits a terminal of 80 columns behind its
// indentation; one that fits stays as it is.
func hintLines(hint string) []string {
	switch {
	case hint == "":
		return nil
	case utf8.RuneCountInString(hint) <= 76:
		return []string{hint}
	}
	return wrap(hint, 76)
}

// tellStill tells what is exact although not everything is.
func (s *stdio) tellStill(still engine.Still) {
	const most = 6
	var exact []string
	for _, f := range still.Faults {
		exact = append(exact, fmt.Sprintf("%s %s", f.Fault, percent(f.Probability)))
	}
	for _, part := range []struct {
		what string
		list []string
	}{{"exact all the same", exact}, {"not known", still.NotKnown}} {
		if n := len(part.list); n > most {
			part.list = append(slices.Clone(part.list[:most]), fmt.Sprintf("%d more", n-most))
		}
		if len(part.list) > 0 {
			fmt.Fprintf(s.err, "    %s: %s\n", part.what, strings.Join(part.list, ", "))
		}
	}
}
