package advice

import (
	"cmp"
	"math"
	"slices"

	"culprit/engine/belief"
)

// blame turns the network's posterior into one of what is to blame for what is
// odd. All sets of faults count, each further fault of a set several times less
// than its prior says; and no fault at all counts as much as makes the prior
// probability of a fault outside the network what was asked for.
type blame struct {
	several float64
	none    float64 // factor of the probability of no fault
}

func (p *Problem) blame() (*blame, error) {
	b := &blame{several: cmp.Or(p.Several, DefaultSeveral)}
	var prior belief.Posterior
	if err := p.Net.Posterior(b.evidence(p.Net, belief.Evidence{Acting: p.Evidence.Acting, Done: p.Evidence.Done}), &prior); err != nil {
		return nil, err
	}
	outside := cmp.Or(p.Outside, DefaultOutside)
	b.none = outside / (1 - outside) * (1 - prior.None) / prior.None
	if prior.None == 0 {
		b.none = 0 // some fault is certain
	}
	return b, nil
}

// evidence is that of a job with every fault counting less.
func (b *blame) evidence(net *belief.Network, e belief.Evidence) belief.Evidence {
	e.Faults = slices.Clone(e.Faults)
	for f := range net.Faults() {
		if i := slices.IndexFunc(e.Faults, func(k belief.KnownFault) bool { return k.Fault == f }); i >= 0 {
			e.Faults[i].Present *= b.several
		} else {
			e.Faults = append(e.Faults, belief.KnownFault{Fault: f, Present: b.several, Absent: 1})
		}
	}
	return e
}

// posterior is that of what is to blame, in place; the share is how probable the
// evidence becomes by it, in terms of the network's.
func (b *blame) posterior(faults []float64, none *float64) (share float64) {
	share = 1 - *none + b.none**none
	if share <= 0 || math.IsInf(share, 1) {
		return share
	}
	for f := range faults {
		faults[f] = min(1, faults[f]/share)
	}
	*none = min(1, b.none**none/share)
	return share
}

// outlook does the same to every case.
func (b *blame) outlook(o *belief.Outlook) {
	sum := 0.0
	for i := range o.Cases {
		c := &o.Cases[i]
		c.Probability *= b.posterior(c.Faults, &c.None)
		sum += c.Probability
	}
	for i := range o.Cases {
		o.Cases[i].Probability /= sum
	}
}
