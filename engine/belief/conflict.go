package belief

import (
	"fmt"
	"math"
)

// Conflict is how badly the findings go together under the model.
type Conflict struct {
	// Value is Jensen's conflict measure in natural logarithms, the sum of
	// ln P(e_i) less ln P(e) (Jensen, Chamberlain, Nordahl and Jensen 1991, on
	// the analysis of data conflict; from memory). Above 0 the findings
	// are less probable together than if they had nothing to do with each other.
	// What is known of faults directly is taken as given in all terms.
	Value float64
	// Alone is ln P(e_i), in the order of the evidence.
	Alone []float64
	// Without is the conflict when one finding is left out, in that order.
	Without []float64
}

// Conflict works out the conflict among the seen findings. left is what
// LeaveOut returned for the same evidence, or nil to have it worked out here.
// Errors are as for Posterior.
func (n *Network) Conflict(e Evidence, left []Left) (Conflict, error) {
	if left == nil {
		var err error
		if left, err = n.LeaveOut(e); err != nil {
			return Conflict{}, err
		}
	}
	if len(left) != len(e.Seen) {
		return Conflict{}, fmt.Errorf("conflict: %d findings left out, but %d seen", len(left), len(e.Seen))
	}
	w := n.take()
	defer n.scratch.Put(w)
	if err := w.checkEvidence(&e); err != nil {
		return Conflict{}, err
	}
	c, given, err := w.conflict(&e)
	if err != nil {
		return Conflict{}, err
	}
	sum := 0.0
	for _, p := range c.Alone {
		sum += p
	}
	c.Without = make([]float64, len(e.Seen))
	for i := range left {
		c.Without[i] = sum - c.Alone[i] - (left[i].LogEvidence - given)
		if len(left) <= 2 {
			c.Without[i] = 0 // exactly: at most one finding is left
		}
	}
	return c, nil
}

// ConflictMeasure is the Value of [Network.Conflict], which takes far less than
// the rest of it; logEvidence is that of the posterior for the same evidence.
// Errors are as for Posterior.
func (n *Network) ConflictMeasure(e Evidence, logEvidence float64) (float64, error) {
	w := n.take()
	defer n.scratch.Put(w)
	if err := w.checkEvidence(&e); err != nil {
		return 0, err
	}
	if len(e.Faults)+len(e.Conditions) > 0 {
		c, _, err := w.conflict(&e)
		return c.Value, err
	}
	if w.done = e.Done; w.stopped() {
		return 0, ErrStopped
	}
	return w.shortConflict(&e, logEvidence)
}

// conflict works out the measure and its terms, and ln P of what is known besides
// findings. Without is left open.
func (w *work) conflict(e *Evidence) (c Conflict, given float64, err error) {
	known := Evidence{Acting: e.Acting, Faults: e.Faults, Conditions: e.Conditions, Done: e.Done}
	if given, err = w.logOf(&known); err != nil {
		return c, 0, err
	}
	all, err := w.logOf(e)
	if err != nil {
		return c, 0, err
	}
	c.Alone = make([]float64, len(e.Seen))
	sum := 0.0
	for i := range e.Seen {
		known.Seen = e.Seen[i : i+1]
		p, err := w.logOf(&known)
		if err != nil {
			return c, 0, err
		}
		c.Alone[i] = p - given
		sum += c.Alone[i]
	}
	c.Value = sum - (all - given)
	if len(e.Seen) <= 1 {
		c.Value = 0
	}
	if math.IsNaN(c.Value) {
		return c, 0, ErrImpossible
	}
	return c, given, nil
}

func (w *work) logOf(e *Evidence) (float64, error) {
	if err := w.predict(e, false); err != nil {
		return 0, err
	}
	return w.logEvidence(), nil
}
