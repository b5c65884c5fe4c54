package engine

import (
	"context"
	"errors"
	"math"

	"culprit/engine/belief"
)

// Alone is how well a job's readings fit one fault and no other.
type Alone struct {
	Fault string
	// LogLikelihood is the natural logarithm of the probability of all that the
	// readings answered, given that this fault alone is present; minus infinity where
	// that is impossible. Only differences between faults of one job mean anything.
	LogLikelihood float64
	// LogEach is the same for each rule by itself, or group of rules that exclude each other,
	// that the readings answered, in the order of the pack. They do not add up to the
	// whole: rules that show one condition say partly the same.
	LogEach []float64
}

// Alone tells how well the readings of a job fit each of some faults, that fault
// being all that is wrong. How common a fault is does not come into it. Errors are
// as for [Pack.Diagnose]; an unknown fault is a [Problems].
func (p *Pack) Alone(ctx context.Context, j *Job, faults []string) ([]Alone, error) {
	return ask(ctx, p, j, func(s *session) ([]Alone, error) {
		asked, err := p.asked(faults)
		if err != nil {
			return nil, err
		}
		var out []Alone
		for _, f := range asked {
			a, err := p.alone(s, f)
			if err != nil {
				return nil, err
			}
			out = append(out, a)
		}
		return out, nil
	})
}

func (p *Pack) alone(s *session, fault int) (Alone, error) {
	out := Alone{Fault: p.rules.Faults[fault].ID, LogLikelihood: math.Inf(-1)}
	e := belief.Evidence{Acting: s.evidence.Acting, Conditions: s.evidence.Conditions, Done: s.done}
	for f := range p.rules.Faults {
		known := belief.KnownFault{Fault: f, Absent: 1}
		if f == fault {
			known = belief.KnownFault{Fault: f, Present: 1}
		}
		e.Faults = append(e.Faults, known)
	}
	// The chance of the fault being alone is in both, and drops out.
	var without, with belief.Posterior
	if err := p.net.Posterior(e, &without); err != nil {
		return out, err
	}
	for _, x := range s.evidence.Seen {
		outcomes, err := p.net.Predict(e, []int{fault}, x.Finding)
		if err != nil {
			return out, err
		}
		sum := 0.0
		for k, q := range outcomes {
			sum += q * x.Likelihood[k]
		}
		out.LogEach = append(out.LogEach, math.Log(sum))
	}
	e.Seen = s.evidence.Seen
	switch err := p.net.Posterior(e, &with); {
	case errors.Is(err, belief.ErrImpossible):
		return out, nil
	case err != nil:
		return out, err
	}
	out.LogLikelihood = with.LogEvidence - without.LogEvidence
	return out, nil
}
