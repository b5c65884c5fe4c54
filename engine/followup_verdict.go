package engine

// FollowUp is what became of a job after a repair: the last set of readings beside
// what was known before it.
type FollowUp struct {
	Sets     []string   `json:"sets"`     // labels in order; the last set is the one that is ranked
	Repaired []Repaired `json:"repaired"` // in the order in which they were done

	// InOrder says that every setting that was ever read is known and within its
	// limits now, that nothing is odd, and that no odd result of before is left
	// without an answer.
	InOrder  bool     `json:"in_order"`
	Out      []string `json:"out"`       // readings that are outside their limits now
	StillOdd []Odd    `json:"still_odd"` // rules that hold now
	Cleared  []Odd    `json:"cleared"`   // rules that held before and do not hold any more
	Open     []Odd    `json:"open"`      // rules that held before and cannot tell now, or do not apply

	Changes []Change `json:"changes"` // readings of the last set that had been taken before

	// CarriedOver are readings of earlier sets that count as they were, since no
	// repair could have moved them; NotAgain are those that one could have moved,
	// and that do not count until they are taken again.
	CarriedOver []Carried  `json:"carried_over"`
	NotAgain    []NotAgain `json:"not_measured_again"`
}

// Outcome is what the readings say of a repair.
type Outcome string

// Removed: an odd reading that the fault explains has changed. NotConfirmed: none
// of them was taken again, so that only the repair itself says that the fault is
// gone. NoChange: all of them that were taken again are as they were, so the fault
// is not out.
const (
	Removed      Outcome = "removed"
	NotConfirmed Outcome = "not confirmed"
	NoChange     Outcome = "no change"
)

// Repaired is a repair that was done.
type Repaired struct {
	Fault   string  `json:"fault"`
	Label   string  `json:"label"`
	Set     string  `json:"set"` // the first set that was taken after it
	Found   string  `json:"found,omitempty"`
	Outcome Outcome `json:"outcome"`
	// Changed and Same are the odd readings that the fault explains and that were
	// taken again: those that changed, and those that are as they were.
	Changed []string `json:"changed"`
	Same    []string `json:"same"`
}

// Odd is a rule that points at something wrong.
type Odd struct {
	Rule     string   `json:"rule"`
	Says     string   `json:"says"`
	Readings []string `json:"readings"`      // that it asks for
	New      bool     `json:"new,omitempty"` // it did not hold before
}

// Change is a reading before and now.
type Change struct {
	Reading string `json:"reading"`
	Label   string `json:"label"`
	Since   string `json:"since"` // the set that before is of
	Before  string `json:"before"`
	After   string `json:"after"`

	// Of numbers: the values, and the standard uncertainty of their difference.
	BeforeValue *float64 `json:"before_value,omitempty"`
	AfterValue  *float64 `json:"after_value,omitempty"`
	Uncertainty *float64 `json:"standard_uncertainty,omitempty"`
	// Changed says that the difference is more than the uncertainty explains.
	Changed bool `json:"changed"`

	Limits *Limits `json:"limits,omitempty"`
	WasIn  *Graded `json:"was_in_limits,omitempty"`
	NowIn  *Graded `json:"in_limits,omitempty"`

	// Expected is which way the repair should have moved it, "up" or "down"; left
	// out where that is not known.
	Expected string `json:"expected,omitempty"`
	// Unrelated says that it changed although no repair since could have moved it.
	Unrelated bool `json:"unrelated,omitempty"`
}

// Carried is a reading of an earlier set that still counts.
type Carried struct {
	Reading string `json:"reading"`
	Label   string `json:"label"`
	Set     string `json:"set"`
}

// NotAgain is a reading that a repair could have moved and that was not taken
// since.
type NotAgain struct {
	Reading string   `json:"reading"`
	Label   string   `json:"label"`
	Before  string   `json:"before"`            // what it was
	Faults  []string `json:"faults"`            // whose repair could have moved it
	WasOdd  bool     `json:"was_odd,omitempty"` // it was outside its limits, or an odd result rests on it
	Check   *Check   `json:"check,omitempty"`   // the quickest that yields it
}
