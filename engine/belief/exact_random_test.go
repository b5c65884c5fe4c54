package belief

import (
	"math"
	"math/rand/v2"
)

// wild says how large a random network is that takes every number to its limits: leaks,
// strengths and priors of 0, of 1, next to them and next to each other; states that make
// a finding rarer; several links from one fault to one state; findings that hold surely.
type wild struct {
	faults, conditions, states, links, findings int
	decades                                     float64 // of likelihoods, up and down; 0: none is soft
}

func pick(r *rand.Rand, from ...float64) float64 { return from[r.IntN(len(from))] }

func (s wild) prior(r *rand.Rand) float64 {
	p := r.Float64()
	if r.IntN(3) > 0 {
		p = pick(r, 0.01, 0.1, 1e-9, 1-1e-9, 0.5, 1e-3, 1e-3, 0, 1)
	}
	return p
}

func (s wild) leak(r *rand.Rand) float64 {
	switch r.IntN(4) {
	case 0:
		return 0.3 * r.Float64()
	case 1:
		return 0
	}
	return pick(r, 0, 0, 1e-12, 1e-3, 1e-3, 0.1, 1-1e-12, 1)
}

func (s wild) above(r *rand.Rand, l float64) float64 {
	if l == 1 {
		return 1
	}
	switch r.IntN(8) {
	case 0:
		return l
	case 1:
		return 1
	case 2:
		return max(l, 1-1e-12)
	case 3:
		return max(l, 1e-9)
	case 4:
		return min(1, max(l, l+(1-l)*1e-12))
	}
	return min(1, l+(1-l)*r.Float64())
}

func (s wild) likelihoods(r *rand.Rand, n int) []float64 {
	l := make([]float64, n)
	kind := r.IntN(4)
	if s.decades == 0 && kind > 1 {
		kind = 1
	}
	switch kind {
	case 0, 1:
		at := r.IntN(n)
		l[at] = 1
		if kind == 1 {
			for k := range l {
				if k != at {
					l[k] = r.Float64() * pick(r, 1, 1, 1e-3, 1e-9, 0)
				}
			}
		}
	default:
		for k := range l {
			l[k] = math.Pow(10, s.decades*(2*r.Float64()-1))
			if kind == 3 && r.IntN(3) == 0 {
				l[k] = pick(r, 0, 1)
			}
		}
	}
	if !isLikelihood(l...) {
		l[0] = 1
	}
	return l
}

func (s wild) random(r *rand.Rand) (Model, Evidence) {
	m := randomModel(r, s, s.faults, s.conditions, s.states, s.links, s.findings)
	var e Evidence
	for f := range m.Findings {
		if r.IntN(8) > 0 {
			e.Seen = append(e.Seen, Seen{f, s.likelihoods(r, len(m.Findings[f].Outcomes)+1)})
		}
	}
	switch r.IntN(4) {
	case 0:
		for range m.Links {
			e.Acting = append(e.Acting, pick(r, 0, 1, 1, 0.5, r.Float64(), 1-1e-12, 1e-12))
		}
	}
	for f := range m.Faults {
		if r.IntN(10) == 0 {
			l := s.likelihoods(r, 2)
			e.Faults = append(e.Faults, KnownFault{f, l[0], l[1]})
		}
	}
	for c := range m.Conditions {
		if r.IntN(8) == 0 {
			e.Conditions = append(e.Conditions, KnownCondition{c, s.likelihoods(r, len(m.Conditions[c].Leaks)+1)})
		}
	}
	return m, e
}

func (s wild) finding(r *rand.Rand, m *Model) Finding {
	if r.IntN(8) == 0 {
		c := r.IntN(s.conditions)
		var f Finding
		for range 2 {
			o := Outcome{Leak: pick(r, 0, 0.25, 0.125, 1e-3)}
			for st := range m.Conditions[c].Leaks {
				if r.IntN(2) == 0 {
					o.States = append(o.States, Shown{c, st, pick(r, 0, 0.5, 0.25, 1e-9)})
				}
			}
			f.Outcomes = append(f.Outcomes, o)
		}
		return f
	}
	o := Outcome{Leak: s.leak(r)}
	inhibits := r.IntN(4) == 0
	used := map[[2]int]bool{}
	for range r.IntN(6) {
		c := r.IntN(s.conditions)
		st := r.IntN(len(m.Conditions[c].Leaks))
		if used[[2]int{c, st}] {
			continue
		}
		used[[2]int{c, st}] = true
		p := s.above(r, o.Leak)
		if inhibits && o.Leak < 1 && r.IntN(2) == 0 {
			p = o.Leak * pick(r, 0, 0.5, r.Float64(), 1-1e-12)
		}
		o.States = append(o.States, Shown{c, st, p})
	}
	for _, f := range r.Perm(s.faults)[:max(0, r.IntN(6)-2)] {
		o.Faults = append(o.Faults, FromFault{f, s.above(r, o.Leak)})
	}
	return Finding{[]Outcome{o}}
}
