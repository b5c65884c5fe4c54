// Package cases holds jobs with known answers, and runs them against a pack.
//
// A case says what a bench would show for a car with a known fault, and what
// the rules must then make of it: which faults, at which rank, at least how
// probable; which must not lead; which points of the set-up list must be
// reported. [Load], [LoadPaths] and [Shipped] read case files, [Case.Run] judges
// one, [Case.Explain] says why one failed, and [Coverage] what all of them tried.
//
// The folder's own YAML files are the shipped cases; they are in [FS].
package cases

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"culprit/engine"
	"culprit/engine/source"
)

// FS holds the shipped case files and example jobs.
//
//go:embed *.yaml *.json starting-and-charging
var FS embed.FS

// Case is one job with what must come out of it.
type Case struct {
	ID         string
	At         source.Pos
	Job        *engine.Job
	Expect     []Expected
	NotLeading []Name
	NotMet     []Name
	Because    string
}

// Name is an id and where it stands.
type Name struct {
	ID string
	At source.Spot
}

// Expected is a fault that must be found. Rank 0 leaves the rank open.
type Expected struct {
	Fault   Name
	Rank    int
	AtLeast float64
}

// Load reads the case files (*.yaml) of a folder, in the order of their names.
// The error is a [source.Problems] with everything that is wrong in them.
func Load(folder fs.FS) ([]*Case, error) { return load(folder, "") }

// load puts a prefix before the names of the files in messages.
func load(folder fs.FS, prefix string) ([]*Case, error) {
	names, err := fs.Glob(folder, "*.yaml")
	if err != nil {
		return nil, err
	}
	var r reader
	for _, name := range names {
		text, err := fs.ReadFile(folder, name)
		if err != nil {
			return nil, err
		}
		r.add(path.Join(prefix, name), text)
	}
	return r.done()
}

// Result is what came out of a case.
type Result struct {
	Verdict *engine.Verdict // nil where the job was refused
	// Failures says what was expected and did not come, with its place; empty
	// means that the case passes.
	Failures source.Problems
}

// Run judges a case. What the pack refuses is a failure too, and so is a fault
// that it has not.
func (c *Case) Run(ctx context.Context, p *engine.Pack) Result {
	r := c.unknown(p)
	var why []string
	if len(r.Failures) == 0 {
		for _, e := range c.Expect {
			why = append(why, e.Fault.ID)
		}
	}
	v, err := p.Diagnose(ctx, c.Job, engine.Options{Why: why})
	if err != nil {
		if ps, ok := errors.AsType[source.Problems](err); ok {
			r.Failures = append(r.Failures, ps...)
		} else {
			r.Failures = append(r.Failures, source.Problem{Pos: c.At, Text: err.Error()})
		}
	}
	if len(r.Failures) > 0 {
		r.Failures.Sort()
		return r
	}
	r.Verdict = v
	for _, e := range c.Expect {
		r.judge(e)
	}
	for _, n := range c.NotLeading {
		if v.Faults[0].Fault == n.ID {
			r.fail(n, "%q leads with %.3f, and must not", n.ID, v.Faults[0].Probability)
		}
	}
	for _, n := range c.NotMet {
		if !slices.Contains(p.SetUpPoints(), n.ID) {
			r.fail(n, "%q is not on the set-up list", n.ID)
			r.Failures[len(r.Failures)-1].Hint = "on it are " + strings.Join(p.SetUpPoints(), ", ")
			continue
		}
		reported := slices.ContainsFunc(v.SetUp, func(s engine.SetUp) bool { return s.Reading == n.ID && s.Known })
		if !reported {
			r.fail(n, "the set-up point %q was not reported as not met", n.ID)
		}
	}
	return r
}

// unknown reports the faults and set-up points that the case names and the pack has not.
func (c *Case) unknown(p *engine.Pack) (r Result) {
	named := slices.Clone(c.NotLeading)
	for _, e := range c.Expect {
		named = append(named, e.Fault)
	}
	faults := p.Faults()
	for _, n := range named {
		if !slices.Contains(faults, n.ID) {
			r.failUnknown(n, "fault", faults)
		}
	}
	for _, n := range c.NotMet {
		if !p.HasReading(n.ID) {
			r.failUnknown(n, "reading", p.SetUpPoints())
		}
	}
	return r
}

func (r *Result) failUnknown(n Name, kind string, known []string) {
	r.fail(n, "there is no %s %q", kind, n.ID)
	if near := engine.Nearest(n.ID, known); near != "" {
		r.Failures[len(r.Failures)-1].Hint = fmt.Sprintf("did you mean %q?", near)
	}
}

func (r *Result) fail(at Name, format string, args ...any) {
	pos, width := at.At.At(0, len(at.ID))
	r.Failures = append(r.Failures, source.Problem{Pos: pos, Width: width, Text: fmt.Sprintf(format, args...)})
}

// judge checks one expected fault.
func (r *Result) judge(e Expected) {
	faults := r.Verdict.Faults
	at := slices.IndexFunc(faults, func(f engine.Fault) bool { return f.Fault == e.Fault.ID }) // Run has made sure that it is there
	p := faults[at].Probability
	rank := rank(faults, p)
	switch {
	case e.Rank > 0 && rank > e.Rank:
		r.fail(e.Fault, "%q ranks %d with %.3f, not %d; above it: %s", e.Fault.ID, rank, p, e.Rank, leaders(faults[:rank-1]))
	case p < e.AtLeast:
		r.fail(e.Fault, "%q has probability %.3f, less than %v", e.Fault.ID, p, e.AtLeast)
	}
}

func leaders(faults []engine.Fault) string {
	var out []string
	for _, f := range faults[:min(len(faults), 4)] {
		out = append(out, fmt.Sprintf("%s %.3f", f.Fault, f.Probability))
	}
	return strings.Join(out, ", ")
}
