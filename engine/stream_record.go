package engine

import (
	"errors"
	"strings"

	"culprit/engine/belief"
)

// The versions of the JSON forms of [Brief] and [ErrorRecord]; each changes when
// something is taken out or changes its meaning, not when something is added.
const (
	BriefVersion = 1
	ErrorVersion = 1
)

// Brief is the short form of a verdict, for programs that ask of many jobs.
type Brief struct {
	Version int    `json:"version"`
	File    string `json:"file,omitempty"` // of a stream: the input
	Line    int    `json:"line,omitempty"` // of a stream: the line, from 1
	Name    string `json:"name,omitempty"`

	Faults  []Likely `json:"faults"` // the leading ones, the most probable first
	NoFault float64  `json:"no_fault"`

	Warnings []Warning `json:"warnings"`
	Next     *Advised  `json:"next,omitempty"` // where it was asked for
}

// Likely is a fault with its probability.
type Likely struct {
	Fault       string  `json:"fault"`
	Probability float64 `json:"probability"`
}

// Warning is a reason to be careful with an answer.
type Warning struct {
	Kind     string   `json:"kind"`
	Readings []string `json:"readings"`          // ids of those that it is about
	Measure  *float64 `json:"measure,omitempty"` // of a conflict; see [Conflict]
}

// The kinds of warning, in the order in which they are listed, each at most once.
const (
	WarnSetUp    = "set-up"   // set-up points that are known not to be met, so rules do not count
	WarnWaiting  = "waiting"  // set-up points of which nobody spoke, and for which rules wait that would hold
	WarnDoubtful = "doubtful" // readings that are hardly possible, or not what others make of them
	WarnConflict = "conflict" // the findings contradict each other; the verdict tells which readings to take again
)

// Advised is what to do next, in short; the whole is in [Next].
type Advised struct {
	Do      string   `json:"do"`                      // as in Next
	Check   string   `json:"check,omitempty"`         // the check that is worth most, where one decides anything
	Minutes *float64 `json:"minutes,omitempty"`       // that it takes, as things are
	Saves   *float64 `json:"saves_minutes,omitempty"` // on the average, with the best check after it
	Fault   string   `json:"fault,omitempty"`         // whose repair comes first, where Do is "repair"
}

// FullRecord is a whole verdict of a stream.
type FullRecord struct {
	File string `json:"file,omitempty"`
	Line int    `json:"line"`
	*Verdict
	Next *Next `json:"next,omitempty"`
}

// ErrorRecord stands in the place of a line that could not be answered.
type ErrorRecord struct {
	Version int       `json:"version"`
	File    string    `json:"file,omitempty"`
	Line    int       `json:"line"`
	Name    string    `json:"name,omitempty"` // of the job, where the line is one
	Error   LineError `json:"error"`
}

// LineError is why a line could not be answered.
type LineError struct {
	Kind     string        `json:"kind"`
	Problems []LineProblem `json:"problems"`       // at least one, in the order of the line
	More     int           `json:"more,omitempty"` // problems that are not listed
	Still    *Still        `json:"still,omitempty"`
}

// The kinds of error.
const (
	LineBroken     = "broken"     // it is no job: no JSON, or not of the form of a job
	LineTooLong    = "too long"   // it has more bytes than allowed
	LineRefused    = "refused"    // it is a job, but not one for this pack
	LineImpossible = "impossible" // by the rules the readings cannot occur together
	LineTooWide    = "too wide"   // the exact answer would take too much; Still has what does not
	LineProgram    = "program"    // the program failed
)

// LineProblem is one thing that is wrong with a line.
type LineProblem struct {
	Path    string `json:"path,omitempty"`   // in the JSON, where one thing there is meant
	Column  int    `json:"column,omitempty"` // in characters, from 1; left out for the line as a whole
	Message string `json:"message"`
	Hint    string `json:"hint,omitempty"`
}

// mostProblems is how many problems an error record lists.
const mostProblems = 20

// fill lists the problems of an error; tree is the JSON that they are about.
func (e *LineError) fill(err error, tree *tree) {
	var all Problems
	if !errors.As(err, &all) {
		e.Problems = []LineProblem{{Message: err.Error()}}
		return
	}
	e.More = max(0, len(all)-mostProblems)
	for _, p := range all[:len(all)-e.More] {
		out := LineProblem{Message: p.Text, Hint: p.Hint}
		if p.Pos.Line == 1 { // a line has no others
			out.Column = p.Pos.Column
			out.Path = tree.pathAt(p.Pos.Offset())
			if about, says, ok := strings.Cut(out.Message, ": "); ok && isWithin(out.Path, about) {
				out.Message = says
			}
		}
		e.Problems = append(e.Problems, out)
	}
}

// isWithin tells whether a path is that of a value or of something in it.
func isWithin(path, value string) bool {
	rest, ok := strings.CutPrefix(path, value)
	return ok && value != "" && (rest == "" || rest[0] == '.' || rest[0] == '[')
}

// lineError tells why a pack has no answer to a job.
func (p *Pack) lineError(err error, j *Job) LineError {
	e := LineError{Kind: LineRefused}
	var wide *TooWideError
	switch {
	case errors.Is(err, belief.ErrImpossible):
		e.Kind = LineImpossible
	case errors.As(err, &wide):
		e.Kind, e.Still = LineTooWide, &wide.Still
	}
	e.fill(err, &j.tree)
	return e
}
