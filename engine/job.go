package engine

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
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
	// Readings by id. A zero Value is a reading that was not taken.
	Readings map[string]Value

	// places says where things stand, by path: the key of a reading at its
	// path, the value at its path with "=" behind.
	places map[string]place
}

// Figures are a car's figures for one reading, each as text with or without a
// unit ("75 psi", "10"); "" is not given. Either From and To (or one of them),
// or Reference and Within.
type Figures struct {
	From, To, Reference, Within string
}

// place is where a part of a job stands in the text it came from.
type place struct {
	pos   source.Pos
	width int
}

// Problems is a list of what is wrong in a file, a job or a pack, with places.
// It is an error; Format writes it with excerpts and carets.
type Problems = source.Problems

// problem reports something about the part of the job at a path; with "="
// behind it, about the value there.
func (j *Job) problem(into *Problems, path, hint, format string, args ...any) {
	at := j.places[path]
	path = strings.TrimSuffix(path, "=")
	*into = append(*into, source.Problem{
		Pos: at.pos, Width: max(1, at.width),
		Text: path + ": " + fmt.Sprintf(format, args...), Hint: hint,
	})
}

// values resolves a job against the pack's readings: all that is wrong with it
// at once, or the values to reason from.
func (p *Pack) values(j *Job, into *truth.Values) error {
	var problems Problems
	if j.Vehicle != "" {
		v := p.rules.Vehicle(j.Vehicle)
		if v == nil {
			j.problem(&problems, "vehicle", p.nearVehicle(j.Vehicle), "there is no vehicle %q in this pack", j.Vehicle)
		} else {
			for _, s := range v.Specs {
				into.SetSpec(s.Reading, s.Spec)
			}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(j.Spec)) {
		p.setFigures(j, id, into, &problems)
	}
	for _, id := range slices.Sorted(maps.Keys(j.Readings)) {
		path := "readings." + id
		r := p.rules.Reading(id)
		if r == nil {
			j.problem(&problems, path, p.nearReading(id), "there is no reading %q", id)
			continue
		}
		v := j.Readings[id]
		if !v.Taken() {
			continue
		}
		if err := v.set(r, into); err != nil {
			j.problem(&problems, path+"=", err.hint, "%s", err.text)
		}
	}
	slices.SortStableFunc(problems, func(a, b source.Problem) int {
		return cmp.Or(cmp.Compare(a.Pos.Line, b.Pos.Line), cmp.Compare(a.Pos.Column, b.Pos.Column))
	})
	return problems.Err()
}

func (p *Pack) setFigures(j *Job, id string, into *truth.Values, problems *Problems) {
	path := "spec." + id
	r := p.rules.Reading(id)
	if r == nil {
		j.problem(problems, path, p.nearReading(id), "there is no reading %q", id)
		return
	}
	figures, bad := j.Spec[id].parse()
	for _, f := range bad {
		j.problem(problems, path+"."+f.Field, f.Hint, "%s", f.Text)
	}
	if len(bad) > 0 {
		return
	}
	spec, errs := r.Spec(figures)
	for _, e := range errs {
		at := path
		if e.Field != "" {
			at += "." + e.Field
		}
		j.problem(problems, at, e.Hint, "%s", e.Text)
	}
	if len(errs) == 0 {
		into.SetSpec(r.Index, spec)
	}
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
	if n := source.Nearest(name, names); n != "" {
		return fmt.Sprintf("did you mean %q?", n)
	}
	return ""
}

// Place tells where a part of a job stands, so that what is wrong with it is
// reported there: the path "vehicle", "spec.ID" or "readings.ID", with "=" behind
// for the value and not its name.
func (j *Job) Place(path string, at source.Pos, width int) {
	if j.places == nil {
		j.places = map[string]place{}
	}
	j.places[path] = place{at, width}
}

// Nearest is the known name that a wrong one is most likely a slip of, or "".
func Nearest(name string, known []string) string { return source.Nearest(name, known) }
