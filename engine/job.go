package engine

import (
	"fmt"
	"strings"

	"culprit/engine/rulefile"
	"culprit/engine/source"
	"culprit/engine/truth"
)

// Job is the readings of one car and what is known of the car.
type Job struct {
	Name    string // what the workshop calls the job; free text
	Note    string // free text
	Vehicle string // id of a vehicle of the pack; "" for none
	// Spec has the figures from the manual in hand, by reading; they win over
	// the vehicle's.
	Spec map[string]Figures
	// Readings by id, of a job with one set of them. A zero Value is a reading
	// that was not taken.
	Readings map[string]Value
	// Sets are the sets of readings of a job that was gone on with, in the order
	// in which they were taken; Readings is empty then. [Job.InSets] gives either
	// form.
	Sets []JobSet

	// file and tree are the JSON that the job came from, if any.
	file *source.File
	tree tree
	// places says where things stand that came from elsewhere, by path.
	places map[string]place
}

// Figures are a car's figures for one reading, each as text with or without a
// unit ("75 psi", "10"); "" is not given. Either From and To (or one of them),
// or Reference and Within.
type Figures struct {
	From, To, Reference, Within string
}

// Problems is a list of what is wrong in a file, a job or a pack, with places.
// It is an error; Format writes it with excerpts and carets.
type Problems = source.Problems

// checker collects what a pack finds wrong with a job.
type checker struct {
	job *Job
	mistakes
}

// problem reports something about the part of the job at a path; with "="
// behind it, about the value there.
func (c *checker) problem(path, hint, format string, args ...any) {
	if c.stop() {
		return
	}
	at, width := c.job.where(path)
	text := strings.TrimSuffix(path, "=") + ": " + fmt.Sprintf(format, args...)
	c.add(source.Problem{Pos: at, Width: width, Text: text, Hint: hint})
}

func (p *Pack) setFigures(c *checker, id string, into *truth.Values) {
	path := "spec." + id
	r := p.rules.Reading(id)
	if r == nil {
		c.problem(path, p.nearReading(id), "there is no reading %q", id)
		return
	}
	figures, bad := c.job.Spec[id].parse()
	for _, f := range bad {
		c.problem(path+"."+f.Field+"=", f.Hint, "%s", f.Text)
	}
	if len(bad) > 0 {
		return
	}
	spec, errs := r.Spec(figures)
	for _, e := range errs {
		at := path
		if e.Field != "" {
			at += "." + e.Field + "="
		}
		c.problem(at, e.Hint, "%s", e.Text)
	}
	if len(errs) == 0 {
		into.SetSpec(r.Index, spec)
	}
}

// HasReading tells whether the pack has a reading of that id.
func (p *Pack) HasReading(id string) bool { return p.rules.Reading(id) != nil }

// SetUpPoints lists the ids of the readings that the set-up list is made of, in the
// pack's own order.
func (p *Pack) SetUpPoints() []string {
	var ids []string
	for _, r := range p.rules.Readings {
		if r.SetUp != nil {
			ids = append(ids, r.ID)
		}
	}
	return ids
}

func (p *Pack) nearReading(id string) string {
	return near(id, p.rules.Readings, func(r *rulefile.Reading) string { return r.ID })
}

func (p *Pack) nearVehicle(id string) string {
	return near(id, p.rules.Vehicles, func(v *rulefile.Vehicle) string { return v.ID })
}

// near is the hint for an unknown name among things.
func near[T any](name string, things []T, id func(T) string) string {
	names := make([]string, len(things))
	for i, t := range things {
		names[i] = id(t)
	}
	return nearest(name, names)
}

// nearest is the hint for an unknown name among known ones.
func nearest(name string, known []string) string {
	if n := source.Nearest(name, known); n != "" {
		return fmt.Sprintf("did you mean %q?", n)
	}
	return ""
}

// Nearest is the known name that a wrong one is most likely a slip of, or "".
func Nearest(name string, known []string) string { return source.Nearest(name, known) }
