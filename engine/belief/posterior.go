package belief

import (
	"cmp"
	"math"
)

// Posterior is what the evidence makes of the faults.
type Posterior struct {
	Faults      []float64 // by fault: P(present | evidence)
	LogOdds     []float64 // by fault: ln P(present | evidence)/P(absent | evidence); may be infinite
	None        float64   // P(no fault present | evidence)
	LogEvidence float64   // ln P(evidence), with the likelihoods as given
	LiveBits    int       // states that were undecided at once, at most
}

// Posterior works out the exact posterior and leaves it in into, whose slices
// it uses again. It returns ErrImpossible, a *TooWideError, or an error that
// says what is wrong with the evidence; into is then not to be used.
func (n *Network) Posterior(e Evidence, into *Posterior) error {
	w := n.take()
	defer n.scratch.Put(w)
	if err := w.checkEvidence(&e); err != nil {
		return err
	}
	if err := w.solve(&e, false); err != nil {
		return err
	}
	into.Faults, into.LogOdds = sized(into.Faults, len(n.prior)), sized(into.LogOdds, len(n.prior))
	for f := range into.Faults {
		into.Faults[f], into.LogOdds[f] = w.fault(f)
	}
	into.LogEvidence = w.logEvidence()
	into.LiveBits = w.live
	w.given.prepare(w)
	into.None = min(1, math.Exp(w.given.log(w, nil)-into.LogEvidence))
	return nil
}

func (n *Network) take() *work { return n.scratch.Get().(*work) }

// solve runs the passes for evidence that has been checked.
func (w *work) solve(e *Evidence, values bool) error {
	if err := w.reduce(e, -1); err != nil {
		return err
	}
	if w.elim.prepare(w, values) {
		if err := w.elim.forward(w); err != nil {
			return err
		}
		if err := w.elim.backward(w); err != errLost {
			return cmp.Or(err, w.checkSums())
		}
	}
	if err := w.lay(); err != nil {
		return err
	}
	if err := w.backward(values); err != nil {
		return err
	}
	return w.checkSums()
}

// checkSums returns ErrImpossible where nothing is left of both posterior sums of a fault,
// nil else.
func (w *work) checkSums() error {
	for f := range w.weights {
		if !(w.run.present[f]+w.run.absent[f] > 0) {
			return ErrImpossible
		}
	}
	return nil
}

// predict goes as far as the probability of the evidence; with values it loses no more digits
// on the way than a query for these.
func (w *work) predict(e *Evidence, values bool) error {
	if err := w.reduce(e, -1); err != nil {
		return err
	}
	if w.elim.prepare(w, values) {
		return w.elim.forward(w)
	}
	return w.lay()
}

// arranged arranges the movers, and laid the steps of the passes, unless that has been done
// for the problem.
func (w *work) arranged() {
	if !w.isArranged {
		w.arrange()
		w.isArranged = true
	}
}

func (w *work) laid() {
	w.arranged()
	if !w.isLaid {
		w.plan.lay(w)
		w.isLaid = true
	}
}

// lay arranges the steps and runs the forward pass.
func (w *work) lay() error {
	w.laid()
	if w.stopped() {
		return ErrStopped
	}
	if w.plan.live > MaxLive {
		return w.tooWide()
	}
	w.live, w.loss = w.plan.live, 1
	return w.forward()
}

// evidence is P(evidence).
func (w *work) evidence() scale {
	p := w.run.chance
	p.times(w.scale.value)
	p.shift += w.scale.shift
	return p
}

func (w *work) logEvidence() float64 {
	p := w.evidence()
	return p.log()
}

// fault returns a fault's posterior and log odds. Neither is a difference, so
// both keep their digits near 0 and near 1.
func (w *work) fault(f int) (probability, logOdds float64) {
	t := &w.weights[f]
	present, absent := w.run.present[f], w.run.absent[f]
	p, a := t.presentShare*present, t.absentShare*absent
	return p / (p + a), t.log + math.Log(present/absent)
}
