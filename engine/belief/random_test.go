package belief

import "math/rand/v2"

// shape says how large and how odd a random network is.
type shape struct {
	faults, conditions, states, links, findings, seen int
	odd                                               bool // zeros, ones, inhibition, soft evidence, acting
}

func (s shape) random(r *rand.Rand) (Model, Evidence) {
	m := randomModel(r, s, s.faults, s.conditions, s.states, s.links, s.findings)
	return m, s.evidence(r, &m)
}

// drawer draws the numbers and findings of a random network.
type drawer interface {
	prior(r *rand.Rand) float64
	leak(r *rand.Rand) float64
	above(r *rand.Rand, leak float64) float64 // a strength
	finding(r *rand.Rand, m *Model) Finding
}

// randomModel makes a network of so many of each; conditions have at most so many states.
func randomModel(r *rand.Rand, by drawer, faults, conditions, states, links, findings int) (m Model) {
	for range faults {
		m.Faults = append(m.Faults, Fault{by.prior(r)})
	}
	for range conditions {
		leaks := make([]float64, 1+r.IntN(states))
		for i := range leaks {
			leaks[i] = by.leak(r)
		}
		m.Conditions = append(m.Conditions, Condition{leaks})
	}
	for range links {
		c := r.IntN(conditions)
		st := r.IntN(len(m.Conditions[c].Leaks))
		m.Links = append(m.Links, Link{r.IntN(faults), c, st, by.above(r, m.Conditions[c].Leaks[st])})
	}
	for range findings {
		m.Findings = append(m.Findings, by.finding(r, &m))
	}
	return m
}

func (s shape) prior(r *rand.Rand) float64 {
	if s.odd && r.IntN(15) == 0 {
		return float64(r.IntN(2))
	}
	return 0.01 + 0.3*r.Float64()
}

func (s shape) leak(r *rand.Rand) float64 {
	if s.odd && r.IntN(5) == 0 {
		return 0
	}
	if s.odd && r.IntN(30) == 0 {
		return 1
	}
	return 0.01 + 0.2*r.Float64()
}

func (s shape) above(r *rand.Rand, leak float64) float64 {
	if s.odd && r.IntN(10) == 0 {
		return leak
	}
	if leak == 1 || s.odd && r.IntN(10) == 0 {
		return 1
	}
	return leak + (1-leak)*(0.1+0.85*r.Float64())
}

func (s shape) finding(r *rand.Rand, m *Model) Finding {
	if r.IntN(6) == 0 {
		c := r.IntN(s.conditions)
		var f Finding
		n := 2 + r.IntN(2)
		for range n {
			o := Outcome{Leak: r.Float64() / float64(n)}
			for st := range m.Conditions[c].Leaks {
				if r.IntN(2) == 0 {
					o.States = append(o.States, Shown{c, st, r.Float64() / float64(n)})
				}
			}
			f.Outcomes = append(f.Outcomes, o)
		}
		return f
	}
	o := Outcome{Leak: s.leak(r)}
	used := map[[2]int]bool{}
	for range r.IntN(4) {
		c := r.IntN(s.conditions)
		st := r.IntN(len(m.Conditions[c].Leaks))
		if used[[2]int{c, st}] {
			continue
		}
		used[[2]int{c, st}] = true
		p := s.above(r, o.Leak)
		if s.odd && r.IntN(3) == 0 && o.Leak < 1 {
			p = o.Leak * r.Float64() * float64(r.IntN(2))
		}
		o.States = append(o.States, Shown{c, st, p})
	}
	for _, f := range r.Perm(s.faults)[:max(0, r.IntN(5)-1)] {
		o.Faults = append(o.Faults, FromFault{f, s.above(r, o.Leak)})
	}
	return Finding{[]Outcome{o}}
}

func (s shape) evidence(r *rand.Rand, m *Model) Evidence {
	var e Evidence
	for _, f := range r.Perm(len(m.Findings))[:s.seen] {
		l := make([]float64, len(m.Findings[f].Outcomes)+1)
		if !s.odd || r.IntN(2) == 0 {
			at := len(l) - 1
			if r.IntN(3) == 0 {
				at = r.IntN(len(l))
			}
			l[at] = 1
		} else {
			for j := range l {
				l[j] = 3 * r.Float64()
			}
			if r.IntN(10) == 0 {
				for j := range l {
					l[j] = 0.7
				}
			}
		}
		e.Seen = append(e.Seen, Seen{f, l})
	}
	if s.odd && r.IntN(2) == 0 {
		for range m.Links {
			t := r.Float64()
			if r.IntN(3) == 0 {
				t = float64(r.IntN(2))
			}
			e.Acting = append(e.Acting, t)
		}
	}
	if s.odd && r.IntN(3) == 0 {
		e.Faults = append(e.Faults, KnownFault{r.IntN(s.faults), r.Float64(), r.Float64() * float64(r.IntN(3))})
	}
	if s.odd && r.IntN(3) == 0 {
		k := KnownCondition{Condition: r.IntN(s.conditions)}
		for range len(m.Conditions[k.Condition].Leaks) + 1 {
			k.Likelihood = append(k.Likelihood, r.Float64()*float64(r.IntN(3)))
		}
		if isLikelihood(k.Likelihood...) {
			e.Conditions = append(e.Conditions, k)
		}
	}
	return e
}
