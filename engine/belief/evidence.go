package belief

import (
	"errors"
	"fmt"
	"math"
)

// Evidence is what is known. The zero value says that nothing is.
type Evidence struct {
	// Seen findings, each at most once, in any order.
	Seen []Seen
	// Acting is nil, or has a number 0..1 for each link of the model: the
	// strength of link k becomes leak + Acting[k]*(strength - leak).
	Acting []float64
	// Faults of which something is known directly, each at most once.
	Faults []KnownFault
	// Conditions of which something is known directly, each at most once.
	Conditions []KnownCondition
	// Done, when closed, ends a query within milliseconds with ErrStopped. Nil never does.
	Done <-chan struct{} `json:"-"`
}

// Seen is virtual evidence on a finding (Pearl 1988, "Probabilistic Reasoning
// in Intelligent Systems", section 2.2.2; from memory): how likely what was
// seen is under each outcome, the last number being for none of them. Only the
// ratios matter to the posterior. Certain evidence has a single number above 0.
type Seen struct {
	Finding    int
	Likelihood []float64
}

// KnownFault is virtual evidence on a fault: how likely what is known is when
// the fault is present and when it is absent. Only the ratio matters to the
// posterior.
type KnownFault struct {
	Fault           int
	Present, Absent float64
}

// KnownCondition is virtual evidence on a condition: how likely what is known is
// by the condition's value, from 0 for none and 1 for its first state. Only the
// ratios matter to the posterior.
type KnownCondition struct {
	Condition  int
	Likelihood []float64
}

// ErrImpossible says that the evidence has probability 0 under the model, or weighs
// against itself by more than the range of float64, about 1e±300, so that nothing is left.
var ErrImpossible = errors.New("the evidence is impossible under the model")

// ErrStopped says that the evidence's Done was closed before the query was through.
var ErrStopped = errors.New("the query was stopped")

// MaxLive is the largest number of states that may be undecided at once in a
// query: the tables then have 2^MaxLive numbers.
const MaxLive = 20

// TooWideError says that the exact answer needs larger tables than allowed.
type TooWideError struct {
	Live  int // states that would be undecided at once, in the best order found
	Limit int
	// Conditions are those whose states are open at once where they are the most,
	// Findings those seen that bear on them; both ascending.
	Conditions, Findings []int
}

func (e *TooWideError) Error() string {
	return fmt.Sprintf("the exact posterior needs %d states undecided at once, more than the limit of %d", e.Live, e.Limit)
}

// checkEvidence reports the first thing that is wrong with the evidence.
func (w *work) checkEvidence(e *Evidence) error {
	n := w.n
	clear(w.mark)
	for _, s := range e.Seen {
		if s.Finding < 0 || s.Finding >= len(n.findings) {
			return fmt.Errorf("seen: there is no finding %d, only %d", s.Finding, len(n.findings))
		}
		if w.mark[s.Finding] {
			return fmt.Errorf("seen: finding %d is seen twice", s.Finding)
		}
		w.mark[s.Finding] = true
		if want := n.findings[s.Finding].outcomes + 1; len(s.Likelihood) != want {
			return fmt.Errorf("seen: finding %d takes %d likelihoods, not %d", s.Finding, want, len(s.Likelihood))
		}
		if !isLikelihood(s.Likelihood...) {
			return fmt.Errorf("seen: finding %d: likelihoods %v must be finite, not negative and not all 0", s.Finding, s.Likelihood)
		}
	}
	clear(w.mark)
	for _, k := range e.Faults {
		if k.Fault < 0 || k.Fault >= len(n.prior) {
			return fmt.Errorf("known faults: there is no fault %d, only %d", k.Fault, len(n.prior))
		}
		if w.mark[k.Fault] {
			return fmt.Errorf("known faults: fault %d is given twice", k.Fault)
		}
		w.mark[k.Fault] = true
		if !isLikelihood(k.Present, k.Absent) {
			return fmt.Errorf("known faults: fault %d: likelihoods %v and %v must be finite, not negative and not both 0", k.Fault, k.Present, k.Absent)
		}
	}
	if err := w.checkConditions(e.Conditions); err != nil {
		return err
	}
	return n.checkActing(e.Acting)
}

func (w *work) checkConditions(known []KnownCondition) error {
	clear(w.mark)
	for _, k := range known {
		if conditions := len(w.n.first) - 1; k.Condition < 0 || k.Condition >= conditions {
			return fmt.Errorf("known conditions: there is no condition %d, only %d", k.Condition, conditions)
		}
		if w.mark[k.Condition] {
			return fmt.Errorf("known conditions: condition %d is given twice", k.Condition)
		}
		w.mark[k.Condition] = true
		if want := w.n.states(int32(k.Condition)) + 1; len(k.Likelihood) != want {
			return fmt.Errorf("known conditions: condition %d takes %d likelihoods, not %d", k.Condition, want, len(k.Likelihood))
		}
		if !isLikelihood(k.Likelihood...) {
			return fmt.Errorf("known conditions: condition %d: likelihoods %v must be finite, not negative and not all 0", k.Condition, k.Likelihood)
		}
	}
	return nil
}

func (n *Network) checkActing(acting []float64) error {
	if acting == nil {
		return nil
	}
	if len(acting) != len(n.links) {
		return fmt.Errorf("acting: %d numbers for %d links", len(acting), len(n.links))
	}
	for k, t := range acting {
		if !isProbability(t) {
			return fmt.Errorf("acting: %v for link %d is not within 0..1", t, k)
		}
	}
	return nil
}

func isLikelihood(all ...float64) bool {
	most := 0.0
	for _, l := range all {
		if !(l >= 0) || math.IsInf(l, 1) {
			return false
		}
		most = max(most, l)
	}
	return most > 0
}
