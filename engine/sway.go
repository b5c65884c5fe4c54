package engine

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"culprit/engine/belief"
	"culprit/engine/source"
)

// Sways is what each number of the rule files does to the lead of one job, while
// all other numbers stay as they are typed.
type Sways struct {
	Version  int       `json:"version"`
	Pack     string    `json:"pack"`
	Lead     Standing  `json:"lead"`
	RunnerUp *Standing `json:"runner_up"` // null where the pack has one fault only
	// Numbers are all of the pack: those whose turn takes the smallest move first,
	// then those that no turn is reached with, then the idle ones.
	Numbers []NumberSway `json:"numbers"`
}

// SwaysVersion is the version of the JSON form of [Sways].
const SwaysVersion = 1

// Standing is a fault and how probable it is.
type Standing struct {
	Fault       string  `json:"fault"`
	Label       string  `json:"label"`
	Probability float64 `json:"probability"`
}

// Effect is what moving a number can do to the lead.
type Effect string

// A number turns the lead somewhere in its range, or does not however far it is
// moved, or changes nothing at all for this job.
const (
	Turns Effect = "turns"
	Keeps Effect = "keeps"
	Idle  Effect = "idle"
)

// NumberSway is one number of a rule file. Value and range are as the file has
// them: per 1000 cars for per_1000, else from 0 to 1.
type NumberSway struct {
	// Owner is the id of the fault, condition or rule that states the number under
	// Key: per_1000, how_often, of_itself, shows or otherwise. Target is the state
	// ("condition.state") or fault that it is about, "" for per_1000 and otherwise.
	Owner  string `json:"owner"`
	Key    string `json:"key"`
	Target string `json:"target,omitempty"`
	Given  string `json:"given,omitempty"` // of a how_often

	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`

	Value  float64 `json:"value"`
	Least  float64 `json:"least"` // the range that the other numbers leave it
	Most   float64 `json:"most"`
	Effect Effect  `json:"effect"`
	// ByLead is the derivative of the leading fault's probability by the number,
	// and ByGap that of its distance to the runner-up.
	ByLead float64 `json:"by_lead"`
	ByGap  float64 `json:"by_gap"`
	// Down and Up are the nearest values below and above at which another fault
	// takes the lead, null where none does.
	Down *TurnAt `json:"down"`
	Up   *TurnAt `json:"up"`
}

// TurnAt is a value of a number beyond which another fault leads.
type TurnAt struct {
	Value float64 `json:"value"`
	Leads string  `json:"leads"` // the fault
	// Decibans is the move as the change of the number's own odds: 10 makes them
	// ten times as large or as small. Null for a move from 0 or 1.
	Decibans *float64 `json:"decibans"`
}

// Nearest is the turn that takes the smaller move, or nil.
func (n *NumberSway) Nearest() *TurnAt {
	if n.Down == nil || n.Up != nil && top(n.Up.Decibans) < top(n.Down.Decibans) {
		return n.Up
	}
	return n.Down
}

// Sway works out how far each number of the rules must move, alone, before
// another fault leads the ranking of a job. Strengths include otherwise and
// of_itself and stay as they are typed when these move; each number keeps within
// what the rule files may say. Errors are as for [Pack.Diagnose].
func (p *Pack) Sway(ctx context.Context, j *Job) (*Sways, error) {
	return ask(ctx, p, j, func(s *session) (*Sways, error) {
		if len(p.rules.Faults) == 0 {
			return nil, errors.New("the pack has no faults, so none leads")
		}
		sensitivity, err := belief.NewSensitivity(p.model)
		if err != nil {
			return nil, fmt.Errorf("the rules make no network: %w", err)
		}
		found, err := sensitivity.Sways(s.evidence)
		if err != nil {
			return nil, err
		}
		standing := func(f int) Standing {
			x := p.rules.Faults[f]
			return Standing{x.ID, x.Label, found.Faults[f]}
		}
		out := &Sways{Version: SwaysVersion, Pack: p.name, Lead: standing(found.Lead)}
		if found.RunnerUp >= 0 {
			r := standing(found.RunnerUp)
			out.RunnerUp = &r
		}
		for i := range found.Numbers {
			out.Numbers = append(out.Numbers, p.numberSway(&found.Numbers[i]))
		}
		slices.SortStableFunc(out.Numbers, func(a, b NumberSway) int {
			if c := cmp.Compare(order(a.Effect), order(b.Effect)); c != 0 || a.Effect != Turns {
				return c
			}
			return cmp.Compare(coarse(top(a.Nearest().Decibans)), coarse(top(b.Nearest().Decibans)))
		})
		return out, nil
	})
}

func order(e Effect) int { return slices.Index([]Effect{Turns, Keeps, Idle}, e) }

// numberSway puts a number of the network in the words of the rule files.
func (p *Pack) numberSway(a *belief.Sway) NumberSway {
	out := p.nameNumber(a.Number)
	per := 1.0
	if a.Number.Kind == belief.PriorNumber {
		per = 1000
	}
	out.Value, out.Least, out.Most = per*a.Value, per*a.Low, per*a.High
	out.ByLead, out.ByGap = a.ByLead/per, a.ByGap/per
	turn := func(t *belief.Turn) *TurnAt {
		if t == nil {
			return nil
		}
		return &TurnAt{per * t.Value, p.rules.Faults[t.Leads].ID, finite(10 / math.Ln10 * a.Move(t))}
	}
	out.Down, out.Up = turn(a.Down), turn(a.Up)
	switch {
	case a.Idle:
		out.Effect = Idle
	case out.Down == nil && out.Up == nil:
		out.Effect = Keeps
	default:
		out.Effect = Turns
	}
	return out
}

// nameNumber says where a number of the network stands in the rule files.
func (p *Pack) nameNumber(x belief.Number) NumberSway {
	var out NumberSway
	at := func(own, owners source.Pos) {
		if own.Line == 0 {
			own = owners // it is not typed: its owner could state it
		}
		if own.File != nil {
			out.File = own.File.Name
		}
		out.Line, out.Column = own.Line, own.Column
	}
	switch x.Kind {
	case belief.PriorNumber:
		f := p.rules.Faults[x.Of]
		out.Owner, out.Key = f.ID, "per_1000"
		at(f.Per1000At, f.At)
		return out
	case belief.StateLeak:
		c := p.rules.Conditions[x.Of]
		s := &c.States[x.Part]
		out.Owner, out.Key, out.Target = c.ID, "of_itself", c.ID+"."+s.ID
		at(s.OfItselfAt, s.At)
		return out
	case belief.LinkStrength:
		l := p.links[x.Of]
		out.Owner, out.Key, out.Given = l.fault.ID, "how_often", l.link.GivenText
		out.Target = l.link.Condition.ID + "." + l.link.Condition.States[l.link.State].ID
		at(l.link.StrengthAt, l.link.At)
		return out
	}
	r := p.findings[x.Of].rules[x.Part]
	out.Owner, out.Key = r.ID, "otherwise"
	at(r.OtherwiseAt, r.At)
	if x.Kind == belief.OutcomeLeak {
		return out
	}
	out.Key = "shows"
	k := 0
	for _, s := range r.Shows { // as outcome divides them
		if (s.Fault != nil) != (x.Kind == belief.FaultStrength) {
			continue
		}
		if k == x.Parent {
			if s.Fault != nil {
				out.Target = s.Fault.ID
			} else {
				out.Target = s.Condition.ID + "." + s.Condition.States[s.State].ID
			}
			at(s.StrengthAt, s.At)
		}
		k++
	}
	return out
}
