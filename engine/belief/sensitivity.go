package belief

import (
	"errors"
	"math"
	"slices"
)

// Sensitivity tells what each number of a model does to an answer. It does not
// change and is safe for concurrent use.
//
// The probability of the evidence is a ratio of polynomials in each number, and
// linear in most (Castillo, Gutiérrez and Hadi 1997, "Sensitivity analysis in
// discrete Bayesian networks"; Coupé and van der Gaag 2002, "Properties of
// sensitivity analysis of Bayesian belief networks"; both from memory). Its
// derivatives come from the tables of the same forward and backward pass as the
// posterior.
//
// Strengths include the leak and stay as they are stated when the leak moves: a
// leak then moves what is left over for the causes, too.
type Sensitivity struct {
	m       Model
	n       *Network // keeps parents whose strength is that of the leak
	numbers []Number
	start   []int // by finding: where its numbers start
	links   int   // where the links start
}

// NewSensitivity checks the model and prepares it. The model must not change
// afterwards.
func NewSensitivity(m Model) (*Sensitivity, error) {
	n, err := New(m)
	if err != nil {
		return nil, err
	}
	s := &Sensitivity{m: m, n: n, numbers: m.Numbers()}
	for i, x := range s.numbers {
		switch {
		case x.Kind == LinkStrength && x.Of == 0:
			s.links = i
		case x.Kind == OutcomeLeak && x.Part == 0:
			s.start = append(s.start, i)
		}
	}
	for k := range n.links {
		if l := &n.links[k]; n.leak[l.state] == 1 {
			l.on, l.off = 1, 0 // the same under a leak of 1, and right below it
		}
	}
	for f := range n.findings {
		if n.findings[f].outcomes == 1 {
			n.keepParents(&n.findings[f], &m.Findings[f].Outcomes[0])
		}
	}
	return s, nil
}

// keepParents enters those parents of a finding that tell nothing as they stand,
// but would if a number moved.
func (n *Network) keepParents(f *finding, o *Outcome) {
	f.shown, f.faults = nil, nil
	certain := false
	for _, s := range o.States {
		f.addState(n, s)
		certain = certain || s.Strength == 1
	}
	for _, p := range o.Faults {
		certain = certain || p.Strength == 1
		on, off := surplus(p.Strength, o.Leak)
		if o.Leak == 1 {
			on, off = 1, 0
		}
		f.faults = append(f.faults, cause{int32(p.Fault), p.Strength, on, off})
	}
	// Where a leak above 0 would have to be kept from pushing the chance below 0,
	// or a parent alone decides, each set of parents has to be looked at.
	f.clamps = f.clamps || o.Leak == 0 && len(f.shown) > 1 || certain && len(f.shown)+len(f.faults) > 1
}

// Numbers are those that derivatives are given for, in their order: those of
// [Model.Numbers].
func (s *Sensitivity) Numbers() []Number { return s.numbers }

// Gradient returns the derivative of ln P(evidence) by each number, and
// ln P(evidence) itself. At the end of a number's range it is the derivative
// from inside. Errors are as for [Network.Posterior].
func (s *Sensitivity) Gradient(e Evidence) (gradient []float64, logEvidence float64, err error) {
	w := s.n.take()
	defer s.n.scratch.Put(w)
	if err := w.checkEvidence(&e); err != nil {
		return nil, 0, err
	}
	if err := w.reduce(&e, -1); err != nil {
		return nil, 0, err
	}
	if err := w.lay(); err != nil {
		return nil, 0, err
	}
	t := &slopes{w: w, e: &e, s: s, out: make([]float64, len(s.numbers)), log: w.logEvidence()}
	t.pass()
	if err := t.chain(); err != nil {
		return nil, 0, err
	}
	return t.out, t.log, nil
}

// LogOdds returns the derivative of ln P(present | evidence)/P(absent | evidence)
// of a fault by each number. A fault that the evidence makes certain or
// impossible has none: the error is then [ErrImpossible].
func (s *Sensitivity) LogOdds(e Evidence, fault int) ([]float64, error) {
	present, err := s.given(e, fault, true)
	if err != nil {
		return nil, err
	}
	absent, err := s.given(e, fault, false)
	if err != nil {
		return nil, err
	}
	for i := range present {
		present[i] -= absent[i]
	}
	return present, nil
}

// given returns the gradient with a fault known to be present, or absent.
func (s *Sensitivity) given(e Evidence, fault int, present bool) ([]float64, error) {
	all := append([]KnownFault(nil), e.Faults...)
	at := slices.IndexFunc(all, func(k KnownFault) bool { return k.Fault == fault })
	if at < 0 {
		at = len(all)
		all = append(all, KnownFault{fault, 1, 1})
	}
	k := &all[at]
	if present {
		k.Absent = 0
	} else {
		k.Present = 0
	}
	if k.Absent == 0 && k.Present == 0 {
		return nil, ErrImpossible
	}
	e.Faults = all
	gradient, _, err := s.Gradient(e)
	return gradient, err
}

// prior returns the derivative by a prior, of which P(evidence) is linear.
func (t *slopes) prior(f int) (float64, error) {
	p := t.s.n.prior[f]
	if p > 0 && p < 1 {
		return t.present[f]/p - (1-t.present[f])/(1-p), nil
	}
	n := t.s.n.copy()
	n.prior[f] = 0.5
	var post Posterior
	if err := n.Posterior(*t.e, &post); err != nil {
		return 0, err
	}
	return 2 * (2*post.Faults[f] - 1) * math.Exp(post.LogEvidence-t.log), nil
}

// moved returns by what share P(evidence) changes in another network: the
// derivative by a chance that it is linear in, moved there from 0 to 1.
func (t *slopes) moved(n *Network) (float64, error) {
	w := n.take()
	defer n.scratch.Put(w)
	if err := w.predict(t.e, false); err != nil {
		if errors.Is(err, ErrImpossible) {
			return -1, nil
		}
		return 0, err
	}
	return math.Expm1(w.logEvidence() - t.log), nil
}

// copy returns a network whose priors, leaks and links may be changed.
func (n *Network) copy() *Network {
	c := &Network{
		prior: append([]float64(nil), n.prior...), first: n.first, leak: append([]float64(nil), n.leak...),
		links: append([]link(nil), n.links...), into: n.into, out: n.out, findings: n.findings,
	}
	c.scratch.New = func() any { return newWork(c) }
	return c
}
