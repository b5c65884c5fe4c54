package belief

import (
	"cmp"
	"errors"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"
)

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
			b.condition(set, c+1, q)
		}
		for _, s := range which {
			b.values[c] = s
			b.condition(set, c+1, q/float64(len(which)))
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

// shape says how large and how odd a random network is.
type shape struct {
	faults, conditions, states, links, findings, seen int
	odd                                               bool // zeros, ones, inhibition, soft evidence, acting
}

func (s shape) random(r *rand.Rand) (Model, Evidence) {
	var m Model
	for range s.faults {
		m.Faults = append(m.Faults, Fault{s.prior(r)})
	}
	for range s.conditions {
		leaks := make([]float64, 1+r.IntN(s.states))
		for i := range leaks {
			leaks[i] = s.leak(r)
		}
		m.Conditions = append(m.Conditions, Condition{leaks})
	}
	for range s.links {
		c := r.IntN(s.conditions)
		st := r.IntN(len(m.Conditions[c].Leaks))
		m.Links = append(m.Links, Link{r.IntN(s.faults), c, st, s.above(r, m.Conditions[c].Leaks[st])})
	}
	for range s.findings {
		m.Findings = append(m.Findings, s.finding(r, &m))
	}
	return m, s.evidence(r, &m)
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
	return e
}

var bruteShapes = []shape{
	{faults: 3, conditions: 1, states: 1, links: 3, findings: 3, seen: 2},
	{faults: 4, conditions: 2, states: 3, links: 6, findings: 5, seen: 4, odd: true},
	{faults: 6, conditions: 3, states: 2, links: 10, findings: 8, seen: 6},
	{faults: 7, conditions: 3, states: 3, links: 14, findings: 8, seen: 6, odd: true},
	{faults: 5, conditions: 2, states: 4, links: 12, findings: 6, seen: 5, odd: true},
	{faults: 8, conditions: 4, states: 2, links: 22, findings: 10, seen: 8, odd: true},
	{faults: 6, conditions: 5, states: 2, links: 12, findings: 8, seen: 8, odd: true},
}

// eachBrute runs a test on many random networks. Those whose evidence is
// impossible must be refused as such.
func eachBrute(t *testing.T, each int, check func(t *testing.T, n *Network, b *brute)) {
	t.Helper()
	possible := 0
	for i, s := range bruteShapes {
		for k := range each {
			r := rand.New(rand.NewPCG(uint64(i), uint64(k)))
			m, e := s.random(r)
			n, err := New(m)
			if err != nil {
				t.Fatalf("shape %d, seed %d: %v", i, k, err)
			}
			b := newBrute(m, e)
			if b.total < 1e-30 { // 0 but for rounding in the enumeration
				if err := n.Posterior(e, new(Posterior)); !errors.Is(err, ErrImpossible) {
					t.Fatalf("shape %d, seed %d: impossible evidence gives %v", i, k, err)
				}
				continue
			}
			possible++
			check(t, n, b)
			if t.Failed() {
				t.Fatalf("shape %d, seed %d: %+v, evidence %+v", i, k, m, e)
			}
		}
	}
	if possible < each*len(bruteShapes)/2 {
		t.Fatalf("only %d of %d networks had possible evidence", possible, each*len(bruteShapes))
	}
}

// near reports agreement to 1e-12 of the larger, or of what the enumeration,
// whose chances are differences from 1, can tell.
func near(a, b float64) bool {
	return math.Abs(a-b) <= 1e-12*math.Max(math.Abs(a), math.Abs(b))+1e-15 || a == b
}

func TestPosteriorIsThatOfEnumeration(t *testing.T) {
	var p Posterior
	eachBrute(t, 40, func(t *testing.T, n *Network, b *brute) {
		if err := n.Posterior(b.e, &p); err != nil {
			t.Error(err)
			return
		}
		if !near(math.Exp(p.LogEvidence), b.total) {
			t.Errorf("P(evidence) %v, enumeration %v", math.Exp(p.LogEvidence), b.total)
		}
		if !near(p.None, b.exact[0]/b.total) {
			t.Errorf("P(none) %v, enumeration %v", p.None, b.exact[0]/b.total)
		}
		for f, got := range p.Faults {
			if want := b.fault[f] / b.total; !near(got, want) {
				t.Errorf("fault %d: %v, enumeration %v", f, got, want)
			}
			if want := 1 / (1 + math.Exp(-p.LogOdds[f])); !near(got, want) {
				t.Errorf("fault %d: %v, log odds say %v", f, got, want)
			}
		}
	})
}

func TestStatesAreThoseOfEnumeration(t *testing.T) {
	eachBrute(t, 25, func(t *testing.T, n *Network, b *brute) {
		states, err := n.States(b.e)
		if err != nil {
			t.Error(err)
			return
		}
		for c := range states {
			for s, got := range states[c] {
				if want := b.state[c][s] / b.total; !near(got, want) {
					t.Errorf("condition %d, state %d: %v, enumeration %v", c, s, got, want)
				}
			}
		}
	})
}

func TestSetsAreThoseOfEnumeration(t *testing.T) {
	eachBrute(t, 20, func(t *testing.T, n *Network, b *brute) {
		for size := range MaxSet + 1 {
			var want []float64
			for set, p := range b.exact {
				if bits.OnesCount(uint(set)) == size && p/b.total > 1e-14 {
					want = append(want, p/b.total)
				}
			}
			slices.SortFunc(want, func(x, y float64) int { return cmp.Compare(y, x) })
			want = want[:min(4, len(want))]
			got, err := n.Sets(b.e, size, 4)
			if err != nil {
				t.Error(err)
				return
			}
			if len(got) < len(want) {
				t.Errorf("size %d: %d sets, enumeration %d", size, len(got), len(want))
				return
			}
			for i := range want {
				mask := 0
				for _, f := range got[i].Faults {
					mask |= 1 << f
				}
				if !near(got[i].Probability, want[i]) || !near(got[i].Probability, b.exact[mask]/b.total) {
					t.Errorf("size %d, rank %d: %v with %v, enumeration %v with %v", size, i, got[i].Faults, got[i].Probability, b.exact[mask]/b.total, want[i])
				}
			}
		}
	})
}

func TestLeaveOutAndConflictAreThoseOfEnumeration(t *testing.T) {
	eachBrute(t, 5, func(t *testing.T, n *Network, b *brute) {
		left, err := n.LeaveOut(b.e)
		if err != nil {
			t.Error(err)
			return
		}
		conflict, err := n.Conflict(b.e, left)
		if err != nil {
			t.Error(err)
			return
		}
		known := newBrute(b.m, Evidence{Acting: b.e.Acting, Faults: b.e.Faults}).total
		sum := 0.0
		for _, s := range b.e.Seen {
			alone := newBrute(b.m, Evidence{Seen: []Seen{s}, Acting: b.e.Acting, Faults: b.e.Faults}).total
			sum += math.Log(alone / known)
		}
		if want := sum - math.Log(b.total/known); math.Abs(conflict.Value-want) > 1e-10 {
			t.Errorf("conflict %v, enumeration %v", conflict.Value, want)
		}
		for i, s := range b.e.Seen {
			rest := b.e
			rest.Seen = slices.Delete(slices.Clone(b.e.Seen), i, i+1)
			r := newBrute(b.m, rest)
			if left[i].Finding != s.Finding || !near(math.Exp(left[i].LogEvidence), r.total) {
				t.Errorf("without %d: finding %d, P(evidence) %v, enumeration %v", i, left[i].Finding, math.Exp(left[i].LogEvidence), r.total)
			}
			if want := sum - conflict.Alone[i] - math.Log(r.total/known); math.Abs(conflict.Without[i]-want) > 1e-10 {
				t.Errorf("conflict without %d: %v, enumeration %v", i, conflict.Without[i], want)
			}
			for f, got := range left[i].Weight {
				with, without := b.fault[f]/(b.total-b.fault[f]), r.fault[f]/(r.total-r.fault[f])
				if with < 1e-9 || without < 1e-9 || with > 1e9 || without > 1e9 {
					continue // the enumeration's differences tell nothing
				}
				if want := 10 * math.Log10(with/without); math.Abs(got-want) > 1e-7 {
					t.Errorf("weight of %d for fault %d: %v, enumeration %v", i, f, got, want)
				}
			}
		}
	})
}

func TestPredictIsThatOfEnumeration(t *testing.T) {
	eachBrute(t, 12, func(t *testing.T, n *Network, b *brute) {
		set := len(b.exact) / 3
		var faults []int
		certain := Evidence{Acting: b.e.Acting}
		for f := range b.m.Faults {
			b.m.Faults[f].Prior = 0.5 // the set is given, so its prior must not matter
			if set>>f&1 == 1 {
				faults = append(faults, f)
				certain.Faults = append(certain.Faults, KnownFault{f, 1, 0})
			} else {
				certain.Faults = append(certain.Faults, KnownFault{f, 0, 1})
			}
		}
		total := newBrute(b.m, certain).total
		for k, f := range b.m.Findings {
			got, err := n.Predict(b.e, faults, k)
			if err != nil {
				t.Error(err)
				return
			}
			for j := range got {
				likelihood := make([]float64, len(f.Outcomes)+1)
				likelihood[j] = 1
				certain.Seen = []Seen{{k, likelihood}}
				if want := newBrute(b.m, certain).total / total; math.Abs(got[j]-want) > 1e-13 {
					t.Errorf("finding %d, outcome %d: %v, enumeration %v", k, j, got[j], want)
				}
			}
		}
	})
}
