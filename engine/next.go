package engine

import (
	"context"
	"fmt"
	"slices"

	"culprit/engine/advice"
	"culprit/engine/rulefile"
	"culprit/engine/source"
)

// NextVersion is the version of the JSON form of [Next].
const NextVersion = 1

// NextOptions say what to leave out of an advice, and how much to tell.
type NextOptions struct {
	Without []string // tools that the shop lacks: checks that need one are not offered
	Done    []string // ids of checks that count as made although not all they yield was taken
	Most    int      // for how many checks to tell what they may say; 0 means 3, less than 0 none
	About   string   // id of a check to tell of wherever it ranks; "" for none
	Quick   bool     // look no check further ahead
	OneCore bool     // where it is quick: leave the other cores to others
}

// What a Next says to do.
const (
	DoSetUp      = "set-up"      // settle the set-up list: rules wait for it
	DoCheck      = "check"       // make the first of Checks
	DoRepair     = "repair"      // go by the plan: no further check pays
	DoLastResort = "last-resort" // nothing else pays
	DoAgain      = "again"       // after a repair: take again what it could have moved
	DoNothing    = "nothing"     // after a repair: the car is in order
)

// Next is what to do next with a car, and what it is expected to save. Minutes
// are of work; savings are on the average, by the rules.
type Next struct {
	Version int    `json:"version"`
	Pack    string `json:"pack"`
	Notice  string `json:"notice,omitempty"`
	Name    string `json:"name,omitempty"`
	Vehicle *Car   `json:"vehicle,omitempty"`

	Do      string    `json:"do"` // "set-up", "check", "repair", "last-resort"; after a repair also "again" or "nothing"
	SetUp   []SetUp   `json:"set_up"`
	Waiting []Waiting `json:"waiting"` // rules that count as soon as the set-up list is known to be met

	// Faults are the leading ones, the most probable first. They and all below
	// are worked out as if the set-up points of which nobody said were met, and as if
	// those that are not met will be before anything else is read.
	Faults  []Leading `json:"faults"`
	NoFault float64   `json:"no_fault"`

	// Repair is the best order of repairing without another check. Perfect is
	// what repairing would take if it were known what is wrong. Both, and what
	// checks save, take it that few faults are to blame for what is odd.
	Repair  Plan    `json:"repair"`
	Perfect float64 `json:"perfect_minutes"`

	// Checks are those that would decide something, the one worth most first.
	Checks []NextCheck `json:"checks"`
	// Barred are checks that would decide something, for want of a tool.
	Barred   []Barred  `json:"barred"`
	Cautions []Caution `json:"cautions"`
	// FollowUp is what became of the job after a repair; nil where there was none.
	FollowUp *FollowUp `json:"follow_up,omitempty"`
}

// Leading is a fault with its probability.
type Leading struct {
	Fault       string  `json:"fault"`
	Label       string  `json:"label"`
	Probability float64 `json:"probability"`
}

// Plan is an order of repairing and what it is expected to take.
type Plan struct {
	Minutes    float64     `json:"minutes"`
	Steps      []PlanStep  `json:"steps"`
	LastResort *LastResort `json:"last_resort"` // null where it is not reached
}

// PlanStep is a check that settles faults, of which those found are repaired; or,
// where Check is null, a repair outright.
type PlanStep struct {
	Check       *Check    `json:"check"`
	Faults      []Leading `json:"faults"`
	Minutes     float64   `json:"minutes"`     // of the check as things stand by then, or of the repair
	Probability float64   `json:"probability"` // that it finds something, as things are
	Reached     float64   `json:"reached"`     // probability that it is needed
	Repairs     []Mending `json:"repairs"`
}

// Mending is the repair of a fault.
type Mending struct {
	Fault string `json:"fault"`
	Repair
}

// LastResort is what is done when no repair has helped.
type LastResort struct {
	Label       string  `json:"label"`
	Do          string  `json:"do,omitempty"`
	Minutes     float64 `json:"minutes"`
	Probability float64 `json:"probability"`
}

// NextCheck is a check and what it is worth.
type NextCheck struct {
	Check
	AsThingsAre float64 `json:"minutes_now"` // what it takes with what is prepared, and with what has to be done first
	First       []First `json:"first"`
	// Saves are the minutes saved on the average, less its own; AtMost is above
	// it where it may say too much to go through. WithNext is what is saved when
	// the best check after it, if any, is made too.
	Saves    float64  `json:"saves_minutes"`
	AtMost   float64  `json:"saves_at_most"`
	WithNext float64  `json:"saves_with_next"`
	Bits     float64  `json:"bits"` // of information on the leading fault
	Gives    []Gives  `json:"gives"`
	Settles  []string `json:"settles"` // ids of faults
	// Outcomes are what it may say, in a few parts, the most probable first; there
	// for the leading checks.
	Outcomes []Prospect `json:"outcomes,omitempty"`
}

// First is something to be done before a check, with its minutes.
type First struct {
	Do      string  `json:"do"`
	Minutes float64 `json:"minutes"`
	Reading string  `json:"reading,omitempty"` // the set-up point that it puts right
	Check   string  `json:"check,omitempty"`   // the check that finds out about set-up points
}

// Gives is a reading that a check yields.
type Gives struct {
	Reading string   `json:"reading"`
	Label   string   `json:"label"`
	Kind    string   `json:"kind"`
	Unit    string   `json:"unit,omitempty"`
	Among   []string `json:"among,omitempty"`
	Limits  *Limits  `json:"limits,omitempty"`
	How     string   `json:"how,omitempty"`
	Taken   bool     `json:"taken,omitempty"`
}

// Prospect is a part of what a check may say, and what then leads.
type Prospect struct {
	Probability float64   `json:"probability"`
	Says        []Said    `json:"says"`
	Faults      []Leading `json:"faults"`
	NoFault     float64   `json:"no_fault"`
}

// Said is a rule that holds, or does not.
type Said struct {
	Rule  string `json:"rule"`
	Says  string `json:"says"`
	Holds bool   `json:"holds"`
}

// Barred is a check that cannot be made.
type Barred struct {
	Check string   `json:"check"`
	Label string   `json:"label"`
	Needs []string `json:"needs"` // the tools that are lacking
}

// Next tells what to do next with a job's car: the check that is expected to save
// most minutes, or to repair. Errors are those of [Pack.Diagnose], and of tools or checks
// that the pack does not know.
func (p *Pack) Next(ctx context.Context, j *Job, o NextOptions) (*Next, error) {
	if err := p.checkNext(o); err != nil {
		return nil, err
	}
	return ask(ctx, p, j, func(s *session) (*Next, error) {
		v := &Verdict{}
		p.describeCar(v, j)
		p.describeSetUp(v, s)
		p.describeReadings(v, s)
		p.followUp(v, s)
		n := &Next{Version: NextVersion, Pack: p.name, Notice: p.rules.About.Notice, Name: j.Name, Vehicle: v.Vehicle,
			SetUp: v.SetUp, Waiting: []Waiting{}, Checks: []NextCheck{}, Barred: []Barred{}, FollowUp: v.FollowUp}
		b := p.moves(s, o)
		ahead := 0
		if o.Quick {
			ahead = -1
		}
		a, err := b.problem.Advise(ctx, advice.Options{Ahead: ahead, OneCore: o.OneCore})
		if err != nil {
			return nil, err
		}
		if err := b.describe(n, a, o); err != nil {
			return nil, err
		}
		return n, nil
	})
}

// checkNext refuses tools and checks that the pack does not know.
func (p *Pack) checkNext(o NextOptions) error {
	var problems Problems
	tools := p.Tools()
	for _, t := range o.Without {
		if !slices.Contains(tools, t) {
			problems = append(problems, source.Problem{Pos: source.NewFile("without", nil).Whole(),
				Text: fmt.Sprintf("no check of this pack needs a tool %q", t), Hint: nearest(t, tools)})
		}
	}
	check := func(option, id string) {
		if p.rules.Check(id) == nil {
			problems = append(problems, source.Problem{Pos: source.NewFile(option, nil).Whole(),
				Text: fmt.Sprintf("there is no check %q", id), Hint: near(id, p.rules.Checks, func(c *rulefile.Check) string { return c.ID })})
		}
	}
	for _, c := range o.Done {
		check("done", c)
	}
	if o.About != "" {
		check("about", o.About)
	}
	return problems.Err()
}

// Tools lists the tools that checks need, in alphabetical order.
func (p *Pack) Tools() []string {
	var all []string
	for _, c := range p.rules.Checks {
		all = append(all, c.Needs...)
	}
	slices.Sort(all)
	return slices.Compact(all)
}
