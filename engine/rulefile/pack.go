package rulefile

import (
	"culprit/engine/quantity"
	"culprit/engine/source"
	"culprit/engine/truth"
)

// A Pack is everything that its rule files say, checked. Each slice is in the order of the files (folders as
// given to Load, files by name) and of the text in them; Index is the place in its slice.
type Pack struct {
	About      About
	Readings   []*Reading
	Conditions []*Condition
	Faults     []*Fault
	Rules      []*Rule
	Checks     []*Check
	Cautions   []*Caution
	Vehicles   []*Vehicle

	Preparations []*Preparation

	// Alternatives are the groups of rules that exclude each other, in the order of their first rules.
	Alternatives []*Alternatives

	// Scope is what expressions are compiled in; the index of a reading is the same there as here. Readings with From
	// are derived in it.
	Scope *truth.Scope

	readings   map[string]*Reading
	conditions map[string]*Condition
	faults     map[string]*Fault
	rules      map[string]*Rule
	checks     map[string]*Check
	cautions   map[string]*Caution
	vehicles   map[string]*Vehicle

	preparations map[string]*Preparation
}

// Reading gives the reading with that id, or nil.
func (p *Pack) Reading(id string) *Reading { return p.readings[id] }

// ReadingOf is Reading for an id in bytes, of which it makes no copy.
func (p *Pack) ReadingOf(id []byte) *Reading { return p.readings[string(id)] }

// Condition gives the condition with that id, or nil.
func (p *Pack) Condition(id string) *Condition { return p.conditions[id] }

// Fault gives the fault with that id, or nil.
func (p *Pack) Fault(id string) *Fault { return p.faults[id] }

// Rule gives the rule with that id, or nil.
func (p *Pack) Rule(id string) *Rule { return p.rules[id] }

// Check gives the check with that id, or nil.
func (p *Pack) Check(id string) *Check { return p.checks[id] }

// Preparation gives the preparation with that id, or nil.
func (p *Pack) Preparation(id string) *Preparation { return p.preparations[id] }

// Caution gives the caution with that id, or nil.
func (p *Pack) Caution(id string) *Caution { return p.cautions[id] }

// Vehicle gives the vehicle with that id, or nil.
func (p *Pack) Vehicle(id string) *Vehicle { return p.vehicles[id] }

// About is what a pack says of itself. The zero value is a pack that says nothing.
type About struct {
	Label  string
	Doc    string
	Notice string
	At     source.Pos // Line 0 where there is none

	LastResort *LastResort // nil when not given
}

// A LastResort is what is done when every repair in the list was tried in vain.
type LastResort struct {
	At      source.Pos
	Label   string
	Minutes float64
	Do      string
}

// A Reading is something that is measured, seen or worked out.
type Reading struct {
	ID    string
	Index int
	At    source.Pos

	Label string
	Doc   string
	How   string // how to measure it
	Kind  truth.Kind
	Unit  quantity.Unit // of numbers and traces

	Plausible *truth.Range    // in Unit; an end that was not given is infinite; nil when not given at all
	Accuracy  quantity.Limits // Within in Unit; zero when not given
	Among     []string        // the words of a choice

	From     *truth.Expr // how it is worked out where a job does not give it; nil for the others
	FromText string
	FromAt   source.Spot

	Assume *bool  // what a yes/no reading is taken to be where a job does not say
	SetUp  *SetUp // nil unless it is part of the set-up list

	Excuses []Excuse
}

// SetUp says how a yes/no reading has to be before the others count, what to do when it is not, and how many minutes that
// takes (0 when it was not said).
type SetUp struct {
	MustBe  bool
	Do      string
	Minutes float64
	Stays   bool // it cannot be put right on the spot
}

// A Condition is a state of affairs in the engine, between faults and readings. At most one of its states is on.
type Condition struct {
	ID     string
	Index  int
	At     source.Pos
	Label  string
	Doc    string
	States []State

	Excuses []Excuse
}

// State gives the index of the state with that id, or -1.
func (c *Condition) State(id string) int {
	for i, s := range c.States {
		if s.ID == id {
			return i
		}
	}
	return -1
}

// A State is one way for a condition to be.
type State struct {
	ID       string
	At       source.Pos
	Label    string
	OfItself float64 // probability without any of the faults, 0 (included) to 1 (excluded)

	OfItselfAt source.Pos // Line 0 where it is not given
}

// A Fault is a cause that can be repaired.
type Fault struct {
	ID        string
	Index     int
	At        source.Pos
	Label     string
	Doc       string
	Per1000   float64 // above 0, below 1000
	Per1000At source.Pos
	Brings    []Link
	Settle    *Check  // nil when no check settles it
	Repair    *Repair // nil when not given
	Excuses   []Excuse
}

// A Link says how often a fault brings a state of a condition.
type Link struct {
	At        source.Pos
	Condition *Condition
	State     int     // index in Condition.States
	Strength  float64 // probability of the state when only this fault is present; not below the state's OfItself
	Given     *truth.Expr
	GivenText string // "" when it always acts
	GivenAt   source.Spot

	StrengthAt source.Pos
}

// A Repair is what ends a fault.
type Repair struct {
	Minutes  float64
	Do       string
	Needs    []string
	Cautions []*Caution
}

// A Rule is something that can be said of the readings, and what it points at.
type Rule struct {
	ID      string
	Index   int
	At      source.Pos
	Says    string
	Because string // "" when not given
	Doc     string

	Given     *truth.Expr // nil when the rule always applies
	GivenText string
	GivenAt   source.Spot
	When      *truth.Expr
	WhenText  string
	WhenAt    source.Spot

	// Both is (given) and (when) as one expression, because the two may share readings; it is When where there is no Given.
	Both *truth.Expr

	Shows        []Shown
	Otherwise    float64       // probability that it holds when nothing it shows is so; below 1
	OtherwiseAt  source.Pos    // Line 0 where it is not given
	Alternatives *Alternatives // the group it belongs to, or nil
	Excuses      []Excuse
}

// Shown is one state or one fault that a rule points at.
type Shown struct {
	At         source.Pos
	Condition  *Condition // nil when it is a fault
	State      int
	Fault      *Fault // nil when it is a state
	Strength   float64
	StrengthAt source.Pos
}

// Alternatives are rules of which at most one can hold. All of them show states of one condition, and have the same Given.
type Alternatives struct {
	Name      string
	Condition *Condition
	Rules     []*Rule
}

// A Check is something that can be done to learn more.
type Check struct {
	ID      string
	Index   int
	At      source.Pos
	Label   string
	Doc     string
	Yields  []int    // indexes of readings
	Minutes float64  // with all that Prepare names
	Prepare []int    // indexes of preparations, in the order in which they are made; together not longer than Minutes
	Do      []string // steps, after the preparations
	Excuses []Excuse

	// Needs and Cautions are the check's own, then those of its preparations; each stands there once.
	Needs    []string
	Cautions []*Caution
}

// A Preparation is something that several checks need and that is done once for all of them.
type Preparation struct {
	ID       string
	Index    int
	At       source.Pos
	Label    string
	Doc      string
	Minutes  float64
	Needs    []string
	Do       []string // steps
	Cautions []*Caution
	Excuses  []Excuse
}

// A Caution is a danger and how to keep out of it.
type Caution struct {
	ID    string
	Index int
	At    source.Pos
	Text  string
}

// A Vehicle is a car with its figures.
type Vehicle struct {
	ID     string
	Index  int
	At     source.Pos
	Label  string
	Doc    string
	Demo   bool   // invented, for demonstration
	Source string // where the figures come from
	Specs  []VehicleSpec

	Excuses []Excuse
}

// A VehicleSpec is what a vehicle says of one reading.
type VehicleSpec struct {
	Reading int // index
	At      source.Pos
	Spec    truth.Spec
	Source  string // of this figure; "" where the vehicle's holds
}

// Spec gives the figures for the reading with that index, if the vehicle has any.
func (v *Vehicle) Spec(reading int) (truth.Spec, bool) {
	for _, s := range v.Specs {
		if s.Reading == reading {
			return s.Spec, true
		}
	}
	return truth.Spec{}, false
}
