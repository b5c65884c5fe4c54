package belief

import (
	"errors"
	"fmt"
)

// Model is a network as its author states it. All indexes count from 0, all
// priors, leaks and strengths are probabilities.
type Model struct {
	Faults     []Fault
	Conditions []Condition
	Links      []Link
	Findings   []Finding
}

// Fault is an independent cause.
type Fault struct {
	Prior float64
}

// Condition has one state per leak; the leak is the probability that the state
// is caused when no fault is present.
type Condition struct {
	Leaks []float64
}

// Link says that the fault causes the state with probability Strength when it
// alone is present, the leak included: Strength is at least the state's leak.
// Several links from one fault to one state act independently of each other.
type Link struct {
	Fault, Condition, State int
	Strength                float64
}

// Finding is something that can be observed: one of its outcomes, or none of
// them.
type Finding struct {
	Outcomes []Outcome
}

// Outcome arises with probability Leak of itself.
type Outcome struct {
	Leak   float64
	States []Shown
	Faults []FromFault
}

// Shown says how often the outcome arises when the condition has this state,
// all else being absent.
type Shown struct {
	Condition, State int
	Strength         float64
}

// FromFault says how often the outcome arises when the fault is present, all
// else being absent. Strength is at least the outcome's leak.
type FromFault struct {
	Fault    int
	Strength float64
}

// Check returns nil or all that is wrong with the model, joined (see
// [errors.Join]): probabilities outside 0..1, indexes out of range, strengths
// below the leak that they include, the same parent twice in an outcome, and
// outcomes of one finding whose chances add up to more than 1. A leak of 1
// admits no strength but 1, since nothing can be said of what would undo it.
func (m *Model) Check() error {
	var errs []error
	bad := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	for i, f := range m.Faults {
		if !isProbability(f.Prior) {
			bad("fault %d: prior %v is not within 0..1", i, f.Prior)
		}
	}
	for c, cond := range m.Conditions {
		if len(cond.Leaks) == 0 {
			bad("condition %d: has no states", c)
		}
		for s, l := range cond.Leaks {
			if !isProbability(l) {
				bad("condition %d, state %d: leak %v is not within 0..1", c, s, l)
			}
		}
	}
	for k, l := range m.Links {
		where := fmt.Sprintf("link %d", k)
		if l.Fault < 0 || l.Fault >= len(m.Faults) {
			bad("%s: there is no fault %d, only %d", where, l.Fault, len(m.Faults))
		}
		if err := m.checkState(where, l.Condition, l.State); err != nil {
			errs = append(errs, err)
			continue
		}
		if err := checkStrength(where, l.Strength, m.Conditions[l.Condition].Leaks[l.State], true); err != nil {
			errs = append(errs, err)
		}
	}
	for f := range m.Findings {
		errs = append(errs, m.checkFinding(f)...)
	}
	return errors.Join(errs...)
}

func (m *Model) checkState(where string, condition, state int) error {
	if condition < 0 || condition >= len(m.Conditions) {
		return fmt.Errorf("%s: there is no condition %d, only %d", where, condition, len(m.Conditions))
	}
	if n := len(m.Conditions[condition].Leaks); state < 0 || state >= n {
		return fmt.Errorf("%s: condition %d has no state %d, only %d", where, condition, state, n)
	}
	return nil
}

// checkStrength checks a strength against the leak it includes; atLeast says
// that it may not lie below it.
func checkStrength(where string, strength, leak float64, atLeast bool) error {
	switch {
	case !isProbability(strength):
		return fmt.Errorf("%s: strength %v is not within 0..1", where, strength)
	case atLeast && strength < leak:
		return fmt.Errorf("%s: strength %v is below the leak %v that it includes", where, strength, leak)
	case leak == 1 && strength != 1:
		return fmt.Errorf("%s: strength %v under a leak of 1, which nothing can make rarer", where, strength)
	}
	return nil
}

func (m *Model) checkFinding(f int) []error {
	var errs []error
	bad := func(err error) {
		if err != nil {
			errs = append(errs, err)
		}
	}
	outcomes := m.Findings[f].Outcomes
	if len(outcomes) == 0 {
		bad(fmt.Errorf("finding %d: has no outcomes", f))
	}
	condition := -1 // the one that several outcomes may show
	for j, o := range outcomes {
		where := fmt.Sprintf("finding %d, outcome %d", f, j)
		if !isProbability(o.Leak) {
			bad(fmt.Errorf("%s: leak %v is not within 0..1", where, o.Leak))
			continue
		}
		for k, s := range o.States {
			if err := m.checkState(where, s.Condition, s.State); err != nil {
				bad(err)
				continue
			}
			bad(checkStrength(where, s.Strength, o.Leak, false))
			for _, before := range o.States[:k] {
				if before.Condition == s.Condition && before.State == s.State {
					bad(fmt.Errorf("%s: condition %d, state %d is shown twice", where, s.Condition, s.State))
				}
			}
			if len(outcomes) > 1 && condition >= 0 && condition != s.Condition {
				bad(fmt.Errorf("%s: several outcomes may show only one condition, not both %d and %d", where, condition, s.Condition))
			}
			condition = s.Condition
		}
		for k, p := range o.Faults {
			if p.Fault < 0 || p.Fault >= len(m.Faults) {
				bad(fmt.Errorf("%s: there is no fault %d, only %d", where, p.Fault, len(m.Faults)))
				continue
			}
			bad(checkStrength(where, p.Strength, o.Leak, true))
			for _, before := range o.Faults[:k] {
				if before.Fault == p.Fault {
					bad(fmt.Errorf("%s: fault %d is shown twice", where, p.Fault))
				}
			}
		}
		if len(outcomes) > 1 && len(o.Faults) > 0 {
			bad(fmt.Errorf("%s: several outcomes may not show faults", where))
		}
	}
	if len(outcomes) > 1 && len(errs) == 0 {
		errs = m.checkSums(f, condition)
	}
	return errs
}

// sumSlack lets chances that add up to 1 on paper do so in float64.
const sumSlack = 1e-9

// checkSums checks that the chances of all outcomes add up to at most 1 for
// every value of the condition (-1: the outcomes show none).
func (m *Model) checkSums(f, condition int) []error {
	var errs []error
	values := 1
	if condition >= 0 {
		values += len(m.Conditions[condition].Leaks)
	}
	for v := range values {
		sum := 0.0
		for _, o := range m.Findings[f].Outcomes {
			sum += o.chance(v)
		}
		if sum > 1+sumSlack {
			of := "none of the states"
			if v > 0 {
				of = fmt.Sprintf("state %d", v-1)
			}
			errs = append(errs, fmt.Errorf("finding %d: given %s of condition %d its outcomes add up to %.4g, more than 1", f, of, condition, sum))
		}
	}
	return errs
}

// chance returns how often an outcome that shows one condition arises given
// that condition's value: 0 for none, 1 for its first state.
func (o *Outcome) chance(value int) float64 {
	for _, s := range o.States {
		if s.State == value-1 {
			return s.Strength
		}
	}
	return o.Leak
}

func isProbability(p float64) bool { return p >= 0 && p <= 1 }
