// Package proof reads a checked pack as a careful trainer would, and tells what
// loads and is still wrong or wasted: a rule that can never hold, two
// alternatives that hold together, a check that yields nothing used.
//
// Start with [Read]. Each [Finding] has a place, a kind with a permanent id, and how
// to mend it; [Kinds] tells of every kind what it means, with examples. A finding
// is left out where the thing it is about excuses its kind with a reason.
//
// The package does not load packs and does not reason about cars: what loading
// refuses is reported by engine/rulefile.
package proof

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"culprit/engine/rulefile"
	"culprit/engine/source"
)

// Finding is one thing to mend.
type Finding struct {
	Kind string // id of a Kind
	source.Problem
}

// Read gives all findings that are not excused, sorted by file, line and column.
func Read(p *rulefile.Pack) []Finding {
	r := &reader{pack: p, used: map[*rulefile.Excuse]bool{}}
	r.expressions()
	r.alternatives()
	r.repeats()
	r.qualifiers()
	r.connections()
	r.readings()
	r.jobs()
	r.words()
	r.unfigured()
	r.cautions()
	r.idleExcuses()
	r.sort()
	return r.findings
}

type reader struct {
	pack     *rulefile.Pack
	findings []Finding
	used     map[*rulefile.Excuse]bool
}

// excuses are those of the things that a finding is about.
type excuses [][]rulefile.Excuse

// add reports a finding unless one of the things that it is about excuses it.
func (r *reader) add(kind string, about excuses, p source.Problem) {
	excused := false
	for _, list := range about {
		for i := range list {
			if list[i].Finding == kind {
				r.used[&list[i]] = true
				excused = true
			}
		}
	}
	if !excused {
		r.findings = append(r.findings, Finding{kind, p})
	}
}

// at is a problem with an id that stands at a place.
func at(pos source.Pos, id, format string, args ...any) source.Problem {
	return source.Problem{Pos: pos, Width: len(id), Text: fmt.Sprintf(format, args...)}
}

// whole is a problem with an expression as it stands.
func whole(s source.Spot, text, format string, args ...any) source.Problem {
	return within(s, 0, len(text), format, args...)
}

func within(s source.Spot, offset, width int, format string, args ...any) source.Problem {
	pos, columns := s.At(offset, width)
	return source.Problem{Pos: pos, Width: columns, Text: fmt.Sprintf(format, args...)}
}

func (r *reader) sort() {
	slices.SortStableFunc(r.findings, func(a, b Finding) int {
		return cmp.Or(
			strings.Compare(a.Pos.File.Name, b.Pos.File.Name),
			cmp.Compare(a.Pos.Line, b.Pos.Line),
			cmp.Compare(a.Pos.Column, b.Pos.Column),
			strings.Compare(a.Kind, b.Kind),
		)
	})
}

// idleExcuses reports the excuses that excuse nothing.
func (r *reader) idleExcuses() {
	p := r.pack
	for _, t := range p.Readings {
		r.idle(t.Excuses)
	}
	for _, t := range p.Conditions {
		r.idle(t.Excuses)
	}
	for _, t := range p.Faults {
		r.idle(t.Excuses)
	}
	for _, t := range p.Rules {
		r.idle(t.Excuses)
	}
	for _, t := range p.Checks {
		r.idle(t.Excuses)
	}
	for _, t := range p.Preparations {
		r.idle(t.Excuses)
	}
	for _, t := range p.Vehicles {
		r.idle(t.Excuses)
	}
}

func (r *reader) idle(list []rulefile.Excuse) {
	for i := range list {
		e := &list[i]
		if r.used[e] {
			continue
		}
		problem := whole(e.At, e.Finding, "the excuse for %q excuses nothing", e.Finding)
		problem.Hint = "take the excuse away"
		if _, ok := Explain(e.Finding); !ok {
			if near := source.Nearest(e.Finding, IDs()); near != "" {
				problem.Hint = fmt.Sprintf("did you mean %q?", near)
			}
		}
		r.add("idle-excuse", nil, problem)
	}
}
