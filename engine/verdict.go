package engine

// VerdictVersion is the version of the verdict's JSON form. It changes when
// something is taken out or changes its meaning, not when something is added.
const VerdictVersion = 1

// Verdict is everything that the rules make of one job. It is a plain struct:
// text, JSON and HTML are drawn from it. Probabilities are exact posteriors,
// weights of evidence are in decibans.
type Verdict struct {
	Version int    `json:"version"`
	Pack    string `json:"pack"`
	Notice  string `json:"notice,omitempty"`
	Name    string `json:"name,omitempty"`
	Vehicle *Car   `json:"vehicle,omitempty"`

	// SetUp lists what had to be so before the readings count and is not, or
	// is not known to be. Assumed lists what was taken for granted.
	SetUp   []SetUp   `json:"set_up"`
	Assumed []Assumed `json:"assumed"`

	Readings []Reading `json:"readings"`
	Doubtful []Doubt   `json:"doubtful"` // readings that are hardly possible

	// Faults are all faults of the pack, the most probable first; the leading
	// ones carry their explanation.
	Faults []Fault `json:"faults"`
	// NoFault is the probability that none of these faults is present.
	NoFault float64 `json:"no_fault"`
	// Together are the most probable exact sets of up to three faults.
	Together []Set `json:"together"`

	Conditions []Condition `json:"conditions"`
	Rules      []Rule      `json:"rules"`

	// Waiting are rules whose question would be answered yes, but which do not
	// count because a point of the set-up list is not known.
	Waiting []Waiting `json:"waiting"`

	// Unexplained is what the most probable set of faults does not account for.
	Unexplained []Unexplained `json:"unexplained"`
	Conflict    Conflict      `json:"conflict"`

	// Missing lists readings that rules wait for, Figures the specifications
	// to look up; those that most rules wait for first.
	Missing []Missing `json:"missing"`
	Figures []Missing `json:"figures"`

	// FollowUp compares the sets of readings of a job that has several; the rest
	// of the verdict is about the last.
	FollowUp *FollowUp `json:"follow_up,omitempty"`

	Cautions []Caution `json:"cautions"`

	// LogEvidence is the natural logarithm of the probability of all that was
	// seen, LiveStates how many condition states were undecided at once.
	LogEvidence float64 `json:"log_evidence"`
	LiveStates  int     `json:"live_states"`
}

// Car is the vehicle whose figures were used.
type Car struct {
	ID     string `json:"id"`
	Label  string `json:"label"`
	Demo   bool   `json:"demo,omitempty"`
	Source string `json:"source,omitempty"`
}

// SetUp is a point of the set-up list that is not in order.
type SetUp struct {
	Reading string `json:"reading"`
	Label   string `json:"label"`
	MustBe  bool   `json:"must_be"`
	Known   bool   `json:"known"` // false: nobody said
	Do      string `json:"do"`
}

// Assumed is a yes/no reading that was taken for granted.
type Assumed struct {
	Reading string `json:"reading"`
	Label   string `json:"label"`
	Is      bool   `json:"is"`
}

// Reading is a reading that the job gives, or that was derived from it.
type Reading struct {
	Reading string `json:"reading"`
	Label   string `json:"label"`
	Kind    string `json:"kind"`
	Unit    string `json:"unit,omitempty"`
	Derived bool   `json:"derived,omitempty"`

	Value       *float64 `json:"value,omitempty"`                // of numbers
	Uncertainty *float64 `json:"standard_uncertainty,omitempty"` // of numbers
	Probability *float64 `json:"probability,omitempty"`          // of yes/no: that it is so
	Word        string   `json:"word,omitempty"`                 // of choices
	Text        string   `json:"text"`                           // for a person

	Limits *Limits `json:"limits,omitempty"`    // from the specification
	InSpec *Graded `json:"in_limits,omitempty"` // probability of lying inside
}

// Limits are the figures of a specification in the reading's unit.
type Limits struct {
	From      *float64 `json:"from,omitempty"`
	To        *float64 `json:"to,omitempty"`
	Reference *float64 `json:"reference,omitempty"`
	Text      string   `json:"text"`
}

// Graded is a truth as an interval of probability.
type Graded struct {
	Least float64 `json:"least"`
	Most  float64 `json:"most"`
}

// Doubt is a reading outside what is plausible.
type Doubt struct {
	Reading string `json:"reading"`
	Text    string `json:"text"`
}

// Fault is a fault with its posterior.
type Fault struct {
	Fault       string  `json:"fault"`
	Label       string  `json:"label"`
	Probability float64 `json:"probability"`
	Prior       float64 `json:"prior"`
	// LogOdds are natural; null when infinite.
	LogOdds *float64 `json:"log_odds"`

	// Detail is there for the leading faults and those asked for.
	Detail *Detail `json:"detail,omitempty"`
}

// Detail explains one fault.
type Detail struct {
	For     []Evidence `json:"for"`     // the weightiest first
	Against []Evidence `json:"against"` // the weightiest first
	// Fits are rules that hold as the fault would have it, but that weigh
	// little by themselves because other rules tell the same.
	Fits   []Fit   `json:"fits"`
	Settle *Check  `json:"settle,omitempty"`
	Repair *Repair `json:"repair,omitempty"`
}

// Fit is a rule that fits a fault.
type Fit struct {
	Rule string `json:"rule"`
	Says string `json:"says"`
}

// Evidence is what one rule, or a group of rules that exclude each other, says
// for or against a fault.
type Evidence struct {
	Rule     string   `json:"rule"`
	Says     string   `json:"says"`
	Status   Status   `json:"status"`
	Truth    float64  `json:"truth"`
	Decibans *float64 `json:"decibans"` // null when infinite
	Because  string   `json:"because,omitempty"`
	Chains   []Chain  `json:"chains"`
	Asks     []Asked  `json:"asks"`
}

// Chain is one way from the fault to the rule: through a condition's state, or
// straight where Condition is empty.
type Chain struct {
	Condition  string  `json:"condition,omitempty"`
	State      string  `json:"state,omitempty"`
	StateLabel string  `json:"state_label,omitempty"`
	Brings     float64 `json:"brings,omitempty"` // how often the fault brings the state, as things are
	Shows      float64 `json:"shows"`            // how often the rule then holds
	Otherwise  float64 `json:"otherwise"`        // how often it holds anyway
}

// Asked is one question of a rule with its answer.
type Asked struct {
	Text     string   `json:"text"`
	Negated  bool     `json:"negated,omitempty"`
	Readings []string `json:"readings"`
	Value    string   `json:"value"`            // for a person; "not taken" where unknown
	Limit    string   `json:"limit,omitempty"`  // for a person
	Number   *float64 `json:"number,omitempty"` // of comparisons of numbers
	From     *float64 `json:"from,omitempty"`
	To       *float64 `json:"to,omitempty"`
	Truth    Graded   `json:"truth"`
}

// Set is a set of faults, exactly these being present.
type Set struct {
	Faults      []string `json:"faults"`
	Probability float64  `json:"probability"`
}

// Condition is a condition with the posterior of its states.
type Condition struct {
	Condition string  `json:"condition"`
	Label     string  `json:"label"`
	States    []State `json:"states"`
}

// State is one state of a condition.
type State struct {
	State       string  `json:"state"`
	Label       string  `json:"label"`
	Probability float64 `json:"probability"`
}

// Rule is a rule and how it stands to the job.
type Rule struct {
	Rule   string  `json:"rule"`
	Says   string  `json:"says"`
	Status Status  `json:"status"`
	Given  Graded  `json:"given"`
	Truth  *Graded `json:"truth,omitempty"` // given and when together
	Lacks  []Lack  `json:"lacks,omitempty"`
}

// Lack is a reading or a figure that a rule waits for.
type Lack struct {
	Reading string `json:"reading"`
	Figure  bool   `json:"figure,omitempty"` // its specification, not itself
	Reason  string `json:"reason,omitempty"`
}

// Waiting is a rule that would hold, and what it waits for.
type Waiting struct {
	Rule  string `json:"rule"`
	Says  string `json:"says"`
	Lacks []Lack `json:"lacks"`
}

// Unexplained is a finding that the best explanation would not lead to expect.
type Unexplained struct {
	Rule      string  `json:"rule"`
	Says      string  `json:"says"`
	Status    Status  `json:"status"`
	Predicted float64 `json:"predicted"` // how often it holds given the best explanation
}

// Conflict is Jensen's measure over the findings: the natural logarithm of the
// product of their probabilities over the probability of all. Above zero they
// contradict each other under the rules, unless a rare fault explains them.
type Conflict struct {
	Measure   float64 `json:"measure"`
	TakeAgain []Again `json:"take_again"`
}

// Again is a reading worth taking again: without it the measure is Without.
type Again struct {
	Reading string  `json:"reading"`
	Label   string  `json:"label"`
	Without float64 `json:"without"`
}

// Missing is a reading or figure that rules wait for.
type Missing struct {
	Reading string   `json:"reading"`
	Label   string   `json:"label"`
	Rules   []string `json:"rules"`
	Reason  string   `json:"reason,omitempty"` // why what was given does not do; "" where nothing was
}

// Check is a check as the pack describes it.
type Check struct {
	Check    string     `json:"check"`
	Label    string     `json:"label"`
	Minutes  float64    `json:"minutes"`
	Yields   []string   `json:"yields"`
	Prepare  []Prepared `json:"prepare,omitempty"`
	Needs    []string   `json:"needs,omitempty"`
	Do       []string   `json:"do,omitempty"`
	Cautions []string   `json:"cautions,omitempty"`
}

// Repair is what ends a fault.
type Repair struct {
	Do       string   `json:"do"`
	Minutes  float64  `json:"minutes"`
	Needs    []string `json:"needs,omitempty"`
	Cautions []string `json:"cautions,omitempty"`
}

// Caution is a danger of the checks and repairs that the verdict names.
type Caution struct {
	Caution string `json:"caution"`
	Text    string `json:"text"`
}
