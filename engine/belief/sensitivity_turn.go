package belief

import (
	"errors"
	"math"
	"slices"
)

// Sways is how the order of the faults hangs on each number.
type Sways struct {
	Lead, RunnerUp int       // RunnerUp is -1 where there is only one fault
	Faults         []float64 // by fault: P(present | evidence)
	Numbers        []Sway    // in the order of [Sensitivity.Numbers]
}

// Sway is what one number does while all others stay as they are stated.
type Sway struct {
	Number    Number
	Value     float64 // as it stands
	Low, High float64 // its range, see [Model.Range]
	// ByLead is the derivative of the leading fault's posterior probability, and
	// ByGap that of its distance to the runner-up's.
	ByLead, ByGap float64
	// Idle says that the number changes nothing wherever it stands: the
	// derivatives of every fault's probability together with the evidence are
	// exactly 0.
	Idle bool
	// Down and Up are the nearest values below and above at which another fault
	// takes the lead; nil where none does inside the range.
	Down, Up *Turn
}

// Turn is a value of a number at which the lead changes.
type Turn struct {
	Value float64
	Leads int // the fault that leads beyond it
}

// Move returns how far a turn is away, as the change of the number's log odds
// (natural). It is infinite from or to 0 and 1.
func (s *Sway) Move(t *Turn) float64 {
	if t.Value == s.Value {
		return 0
	}
	return math.Abs(logit(t.Value) - logit(s.Value))
}

// Nearest returns the turn that takes the smaller move, or nil.
func (s *Sway) Nearest() *Turn {
	if s.Down == nil || s.Up != nil && s.Move(s.Up) < s.Move(s.Down) {
		return s.Up
	}
	return s.Down
}

func logit(p float64) float64 { return math.Log(p) - math.Log1p(-p) }

// Sways works out what each number does to the order of the faults. The lead is
// the most probable fault, the first of equals.
//
// Where P(fault, evidence) is linear in the number for every fault, a turn is the
// crossing of two straight lines, exactly. Else (leaks that several causes
// include, and findings whose chance may have to be kept from falling below 0)
// the exact posterior is worked out at steps through the range, and the turn is
// found between two; a lead that changes there and back within a step is missed.
//
// Errors are as for [Network.Posterior], and ErrImpossible where there is no
// fault.
func (s *Sensitivity) Sways(e Evidence) (*Sways, error) {
	var post Posterior
	if err := s.n.Posterior(e, &post); err != nil {
		return nil, err
	}
	if len(post.Faults) == 0 {
		return nil, ErrImpossible
	}
	out := &Sways{RunnerUp: -1, Faults: post.Faults}
	for f, p := range post.Faults {
		if p > post.Faults[out.Lead] {
			out.Lead = f
		}
	}
	for f, p := range post.Faults {
		if f != out.Lead && (out.RunnerUp < 0 || p > post.Faults[out.RunnerUp]) {
			out.RunnerUp = f
		}
	}
	all, _, err := s.Gradient(e)
	if err != nil {
		return nil, err
	}
	impossible := false                         // some fault is, as the numbers stand
	with := make([][]float64, len(post.Faults)) // by fault: derivatives of ln P(fault, evidence)
	for f := range with {
		with[f], err = s.given(e, f, true)
		if errors.Is(err, ErrImpossible) {
			impossible = true
		} else if err != nil {
			return nil, err
		}
	}
	slope := make([]float64, len(with)) // of P(fault, evidence)/P(evidence)
	for i, x := range s.numbers {
		a := Sway{Number: x, Value: s.m.Value(x)}
		a.Low, a.High = s.m.Range(x)
		for f := range with {
			slope[f] = 0
			if with[f] != nil {
				slope[f] = post.Faults[f] * with[f][i]
			}
		}
		linear := s.linear(x)
		if impossible && linear {
			if err := s.revive(&a, e, out, post.LogEvidence, slope); err != nil {
				return nil, err
			}
		}
		a.ByLead = slope[out.Lead] - post.Faults[out.Lead]*all[i]
		a.ByGap = a.ByLead
		if r := out.RunnerUp; r >= 0 {
			a.ByGap -= slope[r] - post.Faults[r]*all[i]
		}
		a.Idle = all[i] == 0 && (linear || !e.bearsOn(x) && !impossible)
		for f := range slope {
			a.Idle = a.Idle && slope[f] == 0
		}
		switch {
		case a.Idle:
		case linear:
			out.cross(&a, slope)
		default:
			if err := s.search(&a, e, out.Lead); err != nil {
				return nil, err
			}
		}
		out.Numbers = append(out.Numbers, a)
	}
	return out, nil
}

// bearsOn tells whether the evidence asks for a number of a finding. Such a number
// may do nothing where it stands, because a chance is kept at 0, and yet something
// elsewhere.
func (e *Evidence) bearsOn(x Number) bool {
	if x.Kind < OutcomeLeak {
		return false
	}
	return slices.ContainsFunc(e.Seen, func(s Seen) bool {
		return s.Finding == x.Of && slices.Min(s.Likelihood) != slices.Max(s.Likelihood)
	})
}

// atEnd is how near to the end of a range a crossing counts as the end itself.
const atEnd = 1e-12

// sameSlope is the share of two slopes below which their difference is rounding.
const sameSlope = 1e-12

// revive finds the slopes of faults that are impossible as a number stands, and
// need not be where it stands elsewhere: a straight line is known by two points.
func (s *Sensitivity) revive(a *Sway, e Evidence, o *Sways, log float64, slope []float64) error {
	v := a.Low + (a.High-a.Low)/2
	if v == a.Value {
		v = a.Low + (a.High-a.Low)/4
	}
	if v == a.Value {
		return nil // the range is one point
	}
	n, err := New(s.m.With(a.Number, v))
	if err != nil {
		return err
	}
	var post Posterior
	if err := n.Posterior(e, &post); errors.Is(err, ErrImpossible) {
		return nil // so it is everywhere between, and no fault is possible there
	} else if err != nil {
		return err
	}
	for f, p := range o.Faults {
		if p == 0 {
			slope[f] = post.Faults[f] * math.Exp(post.LogEvidence-log) / (v - a.Value)
		}
	}
	return nil
}

// cross finds the turns of a number that all P(fault, evidence) are linear in.
func (o *Sways) cross(a *Sway, slope []float64) {
	lead := slope[o.Lead]
	for f, p := range o.Faults {
		nears := slope[f] - lead
		if f == o.Lead || math.Abs(nears) <= sameSlope*(math.Abs(slope[f])+math.Abs(lead)) {
			continue
		}
		at := a.Value + (o.Faults[o.Lead]-p)/nears
		switch {
		case !(at-a.Low > atEnd && a.High-at > atEnd): // equal at the very end
		case nears > 0 && (a.Up == nil || at < a.Up.Value):
			a.Up = &Turn{at, f}
		case nears < 0 && (a.Down == nil || at > a.Down.Value):
			a.Down = &Turn{at, f}
		}
	}
}

// linear tells whether P(fault, evidence) is linear in a number over its range.
func (s *Sensitivity) linear(x Number) bool {
	switch x.Kind {
	case PriorNumber, LinkStrength:
		return true
	case StateLeak:
		return len(s.n.into.of(s.n.first[x.Of]+int32(x.Part))) <= 1
	}
	outcomes := s.m.Findings[x.Of].Outcomes
	if len(outcomes) > 1 {
		return true
	}
	f := &s.n.findings[x.Of]
	if x.Kind == OutcomeLeak {
		return len(f.shown)+len(f.faults) <= 1
	}
	if len(f.shown) <= 1 {
		return true
	}
	low, high := s.m.Range(x)
	for _, end := range []float64{low, high} {
		m := s.m.With(x, end)
		if f := s.n.newFinding(m.Findings[x.Of].Outcomes); f.clamps {
			return false
		}
	}
	return true
}
