package engine

import (
	"errors"
	"fmt"
	"io"

	"culprit/engine/proof"
	"culprit/engine/source"
)

// Finding is something in a pack that has to be mended, or excused with a reason.
type Finding struct {
	Kind     string `json:"kind"`     // permanent id; see [FindingKinds]
	Severity string `json:"severity"` // "error": the pack does not load; else "warning"
	File     string `json:"file"`
	Line     int    `json:"line"`   // from 1; 0 is the file or folder as a whole
	Column   int    `json:"column"` // from 1, in characters
	Width    int    `json:"width"`  // in characters
	Text     string `json:"text"`
	Hint     string `json:"hint,omitempty"` // how to mend it
	Also     *Place `json:"also,omitempty"` // the other place that it is about

	problem source.Problem
}

// Place is a place in a file.
type Place struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
}

// FindingKind tells of a kind of finding: why it matters, with an example and the same
// example mended.
type FindingKind struct {
	ID    string `json:"id"`
	Title string `json:"title"`
	Why   string `json:"why"`
	Bad   string `json:"bad"`
	Good  string `json:"good"`
}

// Proofread gives everything that is to be mended in a pack with what is added to it, in the
// order of the files; at most maxFindings. Where the pack does not load, these are the errors of loading
// and nothing else. The error says that a folder is not there.
func Proofread(from Sources) ([]Finding, error) {
	p, err := Open(from)
	if problems, ok := errors.AsType[Problems](err); ok {
		var findings []Finding
		for _, problem := range problems[:min(len(problems), maxFindings)] {
			kind := proof.Refused
			if problem.Pos.Line == 0 {
				kind = proof.Unreadable
			}
			findings = append(findings, newFinding(kind, "error", problem))
		}
		return findings, nil
	}
	if err != nil {
		return nil, err
	}
	var findings []Finding
	for _, f := range proof.Read(p.rules) {
		if len(findings) == maxFindings {
			break
		}
		findings = append(findings, newFinding(f.Kind, "warning", f.Problem))
	}
	return findings, nil
}

// maxFindings is more than anybody mends before asking again.
const maxFindings = 1000

func newFinding(kind, severity string, p source.Problem) Finding {
	f := Finding{
		Kind: kind, Severity: severity, Line: p.Pos.Line, Column: p.Pos.Column, Width: max(1, p.Width),
		Text: p.Text, Hint: p.Hint, problem: p,
	}
	if p.Pos.File != nil {
		f.File = p.Pos.File.Name
	}
	if p.Other != nil {
		f.Also = &Place{p.Other.File.Name, p.Other.Line, p.Other.Column}
	}
	return f
}

// Unread reports whether the finding is that something could not be read at all.
func (f Finding) Unread() bool { return f.Kind == proof.Unreadable }

// WriteFindings writes findings for a person, each with its line, a mark under the spot and its kind,
// fifty at most and the rest counted.
func WriteFindings(w io.Writer, findings []Finding) error {
	var problems source.Problems
	for _, f := range findings {
		p := f.problem
		p.Text = fmt.Sprintf("%s [%s]", p.Text, f.Kind)
		problems = append(problems, p)
	}
	return problems.Format(w)
}

// FindingKinds lists all kinds of finding.
func FindingKinds() []FindingKind {
	var all []FindingKind
	for _, k := range proof.Kinds() {
		all = append(all, FindingKind(k))
	}
	return all
}
