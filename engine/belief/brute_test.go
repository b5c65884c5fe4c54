package belief

import "math"

// brute answers by literal enumeration over all sets of faults, all sets of
// caused states and all choices among them, straight from the definition in the
// package comment. It shares no code with the package but the model's types.
type brute struct {
	m Model
	e Evidence

	total  float64     // P(evidence)
	fault  []float64   // P(fault, evidence)
	state  [][]float64 // P(value, evidence)
	exact  []float64   // by set of faults: P(exactly it, evidence)
	values []int       // the choice at hand, by condition: -1 for none
}

func newBrute(m Model, e Evidence) *brute {
	b := &brute{m: m, e: e, fault: make([]float64, len(m.Faults)), exact: make([]float64, 1<<len(m.Faults)), values: make([]int, len(m.Conditions))}
	for _, c := range m.Conditions {
		b.state = append(b.state, make([]float64, len(c.Leaks)))
	}
	for set := range b.exact {
		b.condition(set, 0, b.prior(set))
	}
	return b
}

func (b *brute) prior(set int) float64 {
	p := 1.0
	for i, f := range b.m.Faults {
		if set>>i&1 == 1 {
			p *= f.Prior
		} else {
			p *= 1 - f.Prior
		}
	}
	for _, k := range b.e.Faults {
		if set>>k.Fault&1 == 1 {
			p *= k.Present
		} else {
			p *= k.Absent
		}
	}
	return p
}

// causes returns the chance that a state is caused.
func (b *brute) causes(set, c, s int) float64 {
	leak := b.m.Conditions[c].Leaks[s]
	if leak == 1 {
		return 1
	}
	off := 1 - leak
	for k, l := range b.m.Links {
		if l.Condition != c || l.State != s || set>>l.Fault&1 == 0 {
			continue
		}
		strength := l.Strength
		if b.e.Acting != nil {
			strength = leak + b.e.Acting[k]*(strength-leak)
		}
		off *= (1 - strength) / (1 - leak)
	}
	return 1 - off
}

// condition enumerates what condition c and those after it do.
func (b *brute) condition(set, c int, p float64) {
	if p == 0 {
		return
	}
	if c == len(b.m.Conditions) {
		b.add(set, p*b.likelihood(set))
		return
	}
	b.eachValue(set, c, p, func(q float64) { b.condition(set, c+1, q) })
}

// eachValue goes through the values that a condition may have when exactly the
// faults of the set are present: every set of states caused, and of those each
// state in turn, with p times its probability.
func (b *brute) eachValue(set, c int, p float64, do func(q float64)) {
	states := len(b.m.Conditions[c].Leaks)
	for caused := range 1 << states {
		q := p
		var which []int
		for s := range states {
			if chance := b.causes(set, c, s); caused>>s&1 == 1 {
				q *= chance
				which = append(which, s)
			} else {
				q *= 1 - chance
			}
		}
		if len(which) == 0 {
			b.values[c] = -1
			do(q)
		}
		for _, s := range which {
			b.values[c] = s
			do(q / float64(len(which)))
		}
	}
}

func (b *brute) likelihood(set int) float64 {
	p := 1.0
	for _, s := range b.e.Seen {
		sum := 0.0
		for j, q := range b.outcomes(set, s.Finding) {
			sum += s.Likelihood[j] * q
		}
		p *= sum
	}
	for _, k := range b.e.Conditions {
		p *= k.Likelihood[b.values[k.Condition]+1]
	}
	return p
}

// outcomes returns the chances of a finding's outcomes, none of them last.
func (b *brute) outcomes(set, finding int) []float64 {
	var out []float64
	none := 1.0
	for _, o := range b.m.Findings[finding].Outcomes {
		q := b.outcome(set, o)
		out = append(out, q)
		none -= q
	}
	return append(out, none)
}

func (b *brute) outcome(set int, o Outcome) float64 {
	if o.Leak == 1 {
		return 1
	}
	off := 1 - o.Leak
	for _, s := range o.States {
		if b.values[s.Condition] == s.State {
			off *= (1 - s.Strength) / (1 - o.Leak)
		}
	}
	for _, f := range o.Faults {
		if set>>f.Fault&1 == 1 {
			off *= (1 - f.Strength) / (1 - o.Leak)
		}
	}
	return math.Max(0, math.Min(1, 1-off))
}

func (b *brute) add(set int, p float64) {
	b.total += p
	b.exact[set] += p
	for i := range b.fault {
		if set>>i&1 == 1 {
			b.fault[i] += p
		}
	}
	for c, s := range b.values {
		if s >= 0 {
			b.state[c][s] += p
		}
	}
}
