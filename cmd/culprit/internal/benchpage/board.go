package benchpage

import (
	"context"
	"errors"
	"html/template"
	"slices"
	"strings"

	"culprit/cmd/culprit/internal/drawing"
	"culprit/engine"
)

// board is the page of a job.
type board struct {
	ID, Rev, Token string
	Set            int    // number of the set that is being taken
	SetLabel       string // "" where there is only one
	Title, Car     string
	Demo           bool
	Name, Note     string
	Vehicle        string
	Stands         engine.Job // the job as it is kept
	Vehicles       []choice
	Notice         string
	Said           string // what became of the last form
	Open           string // fault that is opened
	After          template.HTML
	Undo           bool // the last repair can be taken back: nothing was read after it
	Lead           string
	Unmet          []engine.SetUp
	Unknown        []engine.SetUp
	Failed         string // why there is no ranking
	Next           *nextView
	Groups         []group
	Faults, Others []faultRow
	NoFault        float64
	Unexplained    []string
	Repairs        []choice
	Refused        bool
	RepairWrong    string
	Found          string // where the repair was not taken
	CarWrong       string
	More           bool // the next check is to be asked for again
}

type choice struct {
	ID, Label string
	Chosen    bool
}

// group is a check with its fields.
type group struct {
	ID, Label               string
	Minutes                 string
	Taken, Of               int
	Open, Next              bool
	SetUp                   bool
	Needs                   string
	Do, Cautions            []string
	Fields                  []field
	Also                    []engine.Named
	JobID, Rev, Tok, OpenTo string
	Set                     int
}

// field is one reading.
type field struct {
	engine.FormField
	Value   string // what stands in it: what was typed, where that was refused
	Unit2   string // the unit that was chosen beside it
	Focus   bool
	Stand   *Stand
	Doubt   string
	Refused string
	Hint    string
	Unmet   string // what to do about a set-up point that is not met
}

// Trace tells whether the reading is one that is not typed.
func (f *field) Trace() bool { return f.Kind == "trace" }

// Limited is what is in order, "" where that is not known.
func (f *field) Limited() string {
	if f.Limits == nil {
		return ""
	}
	return f.Limits.Text
}

// Word tells how the field of a number takes what is typed.
func (f *field) Word() string {
	if f.Negative {
		return "text"
	}
	return "decimal"
}

// faultRow is a fault in the ranking.
type faultRow struct {
	ID, Label string
	Chance    float64
	Detail    template.HTML // where it is open
}

// mostRanked is how many faults are listed at once; the others fold. A judgement: the
// page is read at arm's length.
const mostRanked = 6

// asked is what a page of a job was asked for with.
type asked struct {
	open    string
	at      string // field to stand in
	in      string // check whose form was just sent
	said    string
	entry   *entry // a form that was refused in part
	skipped bool   // leave out what takes long: the advice, and all checks but that one
}

// board works out the page of a job.
func (s *Server) board(ctx context.Context, j *stored, a asked) (*board, error) {
	form, err := s.o.Pack.Form(j.job)
	if err != nil {
		return nil, err
	}
	sets := j.job.InSets()
	b := &board{ID: j.ID, Rev: j.Rev, Token: s.guard.token(), Set: len(sets), Title: j.job.Name, Name: j.job.Name, Note: j.job.Note, Stands: *j.job,
		Vehicle: j.job.Vehicle, Car: "no car chosen yet", Said: a.said, More: a.skipped}
	if b.Title == "" {
		b.Title = j.ID
	}
	if len(sets) > 1 {
		b.SetLabel = sets[len(sets)-1].Label
		last := sets[len(sets)-1]
		b.Undo = len(last.Repaired) > 0 && !slices.ContainsFunc(form.Checks, func(c engine.FormCheck) bool {
			return slices.ContainsFunc(c.Fields, func(f engine.FormField) bool { return f.Typed != "" })
		})
	}
	for _, c := range s.o.Pack.List() {
		if c.Kind == "vehicle" {
			b.Vehicles = append(b.Vehicles, choice{c.ID, c.Label, c.ID == j.job.Vehicle})
		}
	}
	if slices.Contains(s.o.Pack.Faults(), a.open) {
		b.Open = a.open
	}
	v, err := s.known.verdict(ctx, j, b.Open)
	if err != nil {
		if ctx.Err() != nil {
			return nil, err
		}
		b.Failed = said(err)
		v = &engine.Verdict{}
	} else if err := s.rank(b, j, v); err != nil {
		return nil, err
	}
	if !a.skipped && b.Failed == "" {
		n, err := s.known.next(ctx, j)
		if err != nil {
			if ctx.Err() != nil {
				return nil, err
			}
			b.Failed = said(err)
		} else {
			b.Next = s.next(n)
		}
	}
	s.groups(b, form, v, a)
	return b, nil
}

// said is an error of reasoning in a sentence of its own.
func said(err error) string {
	var wide *engine.TooWideError
	if errors.As(err, &wide) {
		return "These readings leave too much open to be worked out: " + wide.Error()
	}
	return "These readings give no ranking: " + reason(err)
}

// rank puts what the verdict says onto the board.
func (s *Server) rank(b *board, j *stored, v *engine.Verdict) error {
	if v.Vehicle != nil {
		b.Car, b.Demo = v.Vehicle.Label, v.Vehicle.Demo
	}
	b.Notice, b.NoFault = v.Notice, v.NoFault
	for _, x := range v.SetUp {
		if x.Known {
			b.Unmet = append(b.Unmet, x)
		} else {
			b.Unknown = append(b.Unknown, x)
		}
	}
	for i, f := range v.Faults {
		row := faultRow{ID: f.Fault, Label: f.Label, Chance: f.Probability}
		if f.Fault == b.Open {
			var err error
			if row.Detail, err = s.o.Paper.Fault(v, f.Fault); err != nil {
				return err
			}
		}
		if i < mostRanked {
			b.Faults = append(b.Faults, row)
		} else {
			b.Others = append(b.Others, row)
		}
		b.Repairs = append(b.Repairs, choice{ID: f.Fault, Label: f.Label})
	}
	for _, u := range v.Unexplained {
		text := u.Says
		if u.Status == engine.DoesNotHold {
			text = "expected, but not so: " + text
		}
		b.Unexplained = append(b.Unexplained, text)
	}
	speaks := slices.ContainsFunc(v.Rules, func(r engine.Rule) bool { return r.Status == engine.Holds || r.Status == engine.DoesNotHold })
	switch {
	case v.FollowUp != nil && v.FollowUp.InOrder:
		b.Lead = "In order after the repair"
	case !speaks || len(v.Faults) == 0:
		b.Lead = "No rule can speak yet"
	default:
		b.Lead = v.Faults[0].Label + " " + strings.ReplaceAll(drawing.Percent(v.Faults[0].Probability), " ", "\u00a0")
	}
	var err error
	b.After, err = s.o.Paper.After(j.job, v)
	return err
}

// groups puts the fields onto the board, with where each value stands.
func (s *Server) groups(b *board, form *engine.Form, v *engine.Verdict, a asked) {
	readings, doubts := map[string]*engine.Reading{}, map[string]string{}
	for i := range v.Readings {
		readings[v.Readings[i].Reading] = &v.Readings[i]
	}
	for _, d := range v.Doubtful {
		doubts[d.Reading] = d.Text
	}
	unmet := map[string]string{}
	for _, x := range b.Unmet {
		unmet[x.Reading] = x.Do
	}
	points := 0
	for _, c := range form.Checks {
		g := group{ID: c.Check.Check, Label: c.Label, Minutes: minutes(c.Minutes), Needs: strings.Join(c.Needs, ", "), Do: c.Do, Cautions: s.texts("caution", c.Cautions), Also: c.Also,
			JobID: b.ID, Rev: b.Rev, Tok: b.Token, Set: b.Set, OpenTo: b.Open}
		if g.ID == "" {
			g.ID, g.Label, g.Minutes = "other", "What no check in these rules yields", ""
		}
		if a.skipped && g.ID != a.in {
			continue // the script puts in place what was sent, and the rest with the advice
		}
		for _, ff := range c.Fields {
			f := field{FormField: ff, Value: ff.Typed, Doubt: doubts[ff.Reading], Unmet: unmet[ff.Reading], Focus: ff.Reading == a.at}
			if r := readings[ff.Reading]; r != nil && ff.Kind != "yes/no" {
				stand := s.o.Paper.Reading(r)
				f.Stand = &stand
			}
			if a.entry != nil {
				if x, is := a.entry.refused[ff.Reading]; is {
					f.Value, f.Unit2, f.Refused, f.Hint = x.typed, x.unit, x.why.Text, x.why.Hint
					f.Focus = !b.Refused
					b.Refused = true
				}
			}
			g.Of++
			if ff.Typed != "" {
				g.Taken++
			}
			if ff.SetUp != nil {
				points++
				g.SetUp = true
			}
			g.Open = g.Open || f.Focus
			g.Fields = append(g.Fields, f)
		}
		g.Next = b.Next != nil && b.Next.Check == g.ID
		g.Open = g.Open || g.Next || g.ID == a.in || g.SetUp && (len(b.Unknown) > 0 || len(b.Unmet) > 0)
		if g.Of > 0 {
			b.Groups = append(b.Groups, g)
		}
	}
}

// texts are the labels of things of a kind.
func (s *Server) texts(kind string, ids []string) []string {
	var out []string
	for _, id := range ids {
		out = append(out, s.labels[kind+" "+id])
	}
	return out
}
