package belief

import "math"

// Left says what leaving one seen finding out does.
type Left struct {
	Finding int
	// Weight is, by fault, the finding's weight of evidence in decibans: 10 log10
	// of the fault's posterior odds with the finding over those without it, all
	// else as it is (Good 1950, "Probability and the Weighing of Evidence", and
	// 1985, "Weight of evidence: a brief survey"; from memory). Positive speaks
	// for the fault. It is 0 where the fault is certain or impossible both with
	// and without the finding, and infinite where it is so only with it.
	Weight []float64
	// LogEvidence is ln P of the rest of the evidence.
	LogEvidence float64
}

// LeaveOut leaves each seen finding out in turn; the result has the order of
// the evidence. Errors are as for Posterior.
func (n *Network) LeaveOut(e Evidence) ([]Left, error) {
	w := n.take()
	defer n.scratch.Put(w)
	if err := w.checkEvidence(&e); err != nil {
		return nil, err
	}
	if err := w.solve(&e, false); err != nil {
		return nil, err
	}
	faults := len(n.prior)
	numbers := make([]float64, faults*(len(e.Seen)+1))
	all := numbers[:faults]
	for f := range all {
		_, all[f] = w.fault(f)
	}
	out := make([]Left, len(e.Seen))
	for i := range e.Seen {
		rest := w.without(&e, i)
		if err := w.solve(&rest, false); err != nil {
			return nil, err
		}
		l := Left{e.Seen[i].Finding, numbers[(i+1)*faults:][:faults:faults], w.logEvidence()}
		for f := range l.Weight {
			_, logOdds := w.fault(f)
			l.Weight[f] = Decibans(all[f], logOdds)
		}
		out[i] = l
	}
	return out, nil
}

// without returns the evidence less one seen finding, in w's own memory.
func (w *work) without(e *Evidence, i int) Evidence {
	w.seen = append(append(w.seen[:0], e.Seen[:i]...), e.Seen[i+1:]...)
	return Evidence{Seen: w.seen, Acting: e.Acting, Faults: e.Faults, Conditions: e.Conditions, Done: e.Done}
}

// Decibans returns the weight of evidence that takes log odds (natural) from
// before to after: 10 log10 of the ratio of odds; 0 if both are the same
// infinity.
func Decibans(after, before float64) float64 {
	if after == before {
		return 0
	}
	return 10 / math.Ln10 * (after - before)
}
