package belief

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// lawShape is larger than what can be enumerated.
var lawShape = shape{faults: 16, conditions: 6, states: 3, links: 36, findings: 30, seen: 16, odd: true}

// eachLaw runs a law on random networks whose evidence is possible.
func eachLaw(t *testing.T, law func(t *testing.T, r *rand.Rand, m Model, e Evidence, p *Posterior)) {
	t.Helper()
	possible := 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 3))
		m, e := lawShape.random(r)
		p := new(Posterior)
		if must(t, m).Posterior(e, p) != nil {
			continue
		}
		possible++
		law(t, r, m, e, p)
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
	if possible < 20 {
		t.Fatalf("only %d networks had possible evidence", possible)
	}
}

// same checks that two posteriors agree, of's fault f being the other's at[f].
func same(t *testing.T, what string, p, of *Posterior, at []int) {
	t.Helper()
	for f := range p.Faults {
		if a, b := of.Faults[f], p.Faults[at[f]]; math.Abs(a-b) > 1e-12*math.Max(a, b) {
			t.Errorf("%s: fault %d: %v, was %v", what, f, b, a)
		}
	}
	if math.Abs(p.None-of.None) > 1e-12*of.None {
		t.Errorf("%s: none: %v, was %v", what, p.None, of.None)
	}
}

func identity(n int) []int {
	at := make([]int, n)
	for i := range at {
		at[i] = i
	}
	return at
}

func TestProbabilitiesLieWithinBounds(t *testing.T) {
	eachLaw(t, func(t *testing.T, r *rand.Rand, m Model, e Evidence, p *Posterior) {
		for f, q := range append(slices.Clone(p.Faults), p.None) {
			if !isProbability(q) {
				t.Errorf("%d: %v", f, q)
			}
		}
		if p.LogEvidence > 16*math.Log(3)+1e-9 { // the largest likelihoods drawn are 3
			t.Errorf("ln P(evidence) %v", p.LogEvidence)
		}
		n := must(t, m)
		states, err := n.States(e)
		if err != nil {
			t.Fatal(err)
		}
		for c := range states {
			sum := 0.0
			for _, q := range states[c] {
				sum += q
				if !isProbability(q) {
					t.Errorf("condition %d: %v", c, states[c])
				}
			}
			if sum > 1+1e-12 {
				t.Errorf("condition %d: the states add up to %v", c, sum)
			}
		}
		sum := 0.0
		for size := range MaxSet + 1 {
			sets, err := n.Sets(e, size, 10)
			if err != nil {
				t.Fatal(err)
			}
			for i, s := range sets {
				sum += s.Probability
				for _, f := range s.Faults {
					if s.Probability > p.Faults[f]*(1+1e-12) {
						t.Errorf("set %v has %v, more than its fault %d with %v", s.Faults, s.Probability, f, p.Faults[f])
					}
				}
				if i > 0 && s.Probability > sets[i-1].Probability {
					t.Errorf("size %d: set %d is more probable than the one before", size, i)
				}
			}
		}
		if sum > 1+1e-12 {
			t.Errorf("exclusive sets add up to %v", sum)
		}
	})
}

func TestOrderDoesNotMatter(t *testing.T) {
	eachLaw(t, func(t *testing.T, r *rand.Rand, m Model, e Evidence, p *Posterior) {
		at := r.Perm(len(m.Faults)) // fault f moves to at[f]
		links, findings := r.Perm(len(m.Links)), r.Perm(len(m.Findings))
		moved := Model{Faults: make([]Fault, len(at)), Conditions: m.Conditions, Links: make([]Link, len(links)), Findings: make([]Finding, len(findings))}
		for f := range at {
			moved.Faults[at[f]] = m.Faults[f]
		}
		now := Evidence{Seen: slices.Clone(e.Seen), Conditions: e.Conditions}
		if e.Acting != nil {
			now.Acting = make([]float64, len(links))
		}
		for k, l := range m.Links {
			l.Fault = at[l.Fault]
			moved.Links[links[k]] = l
			if e.Acting != nil {
				now.Acting[links[k]] = e.Acting[k]
			}
		}
		for k, f := range m.Findings {
			outcomes := slices.Clone(f.Outcomes)
			for j := range outcomes {
				outcomes[j].Faults = slices.Clone(outcomes[j].Faults)
				for i := range outcomes[j].Faults {
					outcomes[j].Faults[i].Fault = at[outcomes[j].Faults[i].Fault]
				}
			}
			moved.Findings[findings[k]] = Finding{outcomes}
		}
		for i := range now.Seen {
			now.Seen[i].Finding = findings[now.Seen[i].Finding]
		}
		r.Shuffle(len(now.Seen), func(i, j int) { now.Seen[i], now.Seen[j] = now.Seen[j], now.Seen[i] })
		for _, k := range e.Faults {
			now.Faults = append(now.Faults, KnownFault{at[k.Fault], k.Present, k.Absent})
		}
		same(t, "moved", posterior(t, must(t, moved), now), p, at)
	})
}

func TestScalingALikelihoodChangesNothing(t *testing.T) {
	eachLaw(t, func(t *testing.T, r *rand.Rand, m Model, e Evidence, p *Posterior) {
		shift := 0.0
		for i := range e.Seen {
			by := math.Exp(20 * (r.Float64() - 0.5))
			shift += math.Log(by)
			e.Seen[i].Likelihood = slices.Clone(e.Seen[i].Likelihood)
			for j := range e.Seen[i].Likelihood {
				e.Seen[i].Likelihood[j] *= by
			}
		}
		got := posterior(t, must(t, m), e)
		same(t, "scaled", got, p, identity(len(m.Faults)))
		if math.Abs(got.LogEvidence-p.LogEvidence-shift) > 1e-11 {
			t.Errorf("ln P(evidence) moved by %v, not %v", got.LogEvidence-p.LogEvidence, shift)
		}
	})
}

func TestEqualLikelihoodsChangeNothing(t *testing.T) {
	eachLaw(t, func(t *testing.T, r *rand.Rand, m Model, e Evidence, p *Posterior) {
		for f := range m.Findings {
			if slices.ContainsFunc(e.Seen, func(s Seen) bool { return s.Finding == f }) {
				continue
			}
			likelihood := make([]float64, len(m.Findings[f].Outcomes)+1)
			for j := range likelihood {
				likelihood[j] = 0.3
			}
			e.Seen = append(e.Seen, Seen{f, likelihood})
		}
		same(t, "with findings that say nothing", posterior(t, must(t, m), e), p, identity(len(m.Faults)))
	})
}

func TestAFaultWithoutLinksKeepsItsPrior(t *testing.T) {
	eachLaw(t, func(t *testing.T, r *rand.Rand, m Model, e Evidence, p *Posterior) {
		m.Faults = append(m.Faults, Fault{0.0371})
		got := posterior(t, must(t, m), e)
		around(t, "prior", got.Faults[len(m.Faults)-1], 0.0371, 1e-15)
		around(t, "none", got.None, p.None*(1-0.0371), 1e-12)
	})
}

// TestAFindingThatHoldsNeverSpeaksAgainstItsOnlyFault: where a finding shows one
// fault and nothing else, seeing it hold raises that fault, and not holding
// lowers it.
func TestAFindingThatHoldsNeverSpeaksAgainstItsOnlyFault(t *testing.T) {
	eachLaw(t, func(t *testing.T, r *rand.Rand, m Model, e Evidence, p *Posterior) {
		f := r.IntN(len(m.Faults))
		leak := 0.3 * r.Float64()
		m.Findings = append(m.Findings, Finding{[]Outcome{{Leak: leak, Faults: []FromFault{{f, leak + (1-leak)*0.7*r.Float64()}}}}})
		last := len(m.Findings) - 1
		for _, row := range []struct {
			seen Seen
			sign float64
		}{{holds(last), 1}, {holdsNot(last), -1}} {
			with := e
			with.Seen = append(slices.Clone(e.Seen), row.seen)
			got := posterior(t, must(t, m), with)
			if row.sign*(got.Faults[f]-p.Faults[f]) < -1e-14 {
				t.Errorf("fault %d goes from %v to %v by %v", f, p.Faults[f], got.Faults[f], row.seen.Likelihood)
			}
		}
	})
}

// TestWeightsAreTheBayesFactor: for a finding that shows one fault alone, the
// weight of evidence is the likelihood ratio, whatever else is seen (Good 1985; from memory).
func TestWeightsAreTheBayesFactor(t *testing.T) {
	eachLaw(t, func(t *testing.T, r *rand.Rand, m Model, e Evidence, p *Posterior) {
		f := slices.IndexFunc(p.Faults, func(q float64) bool { return q > 0.001 && q < 0.999 })
		if f < 0 {
			return
		}
		m.Findings = append(m.Findings, direct(0.02))
		last := len(m.Findings) - 1
		m.Findings[last].Outcomes[0].Faults = []FromFault{{f, 0.6}}
		e.Seen = append(slices.Clone(e.Seen), holds(last))
		left, err := must(t, m).LeaveOut(e)
		if err != nil {
			t.Fatal(err)
		}
		around(t, fmt.Sprint("fault ", f), left[len(left)-1].Weight[f], 10*math.Log10(0.6/0.02), 1e-9)
	})
}

// TestTheSearchForSetsMissesNothing compares it with trying all sets.
func TestTheSearchForSetsMissesNothing(t *testing.T) {
	eachLaw(t, func(t *testing.T, r *rand.Rand, m Model, e Evidence, p *Posterior) {
		n := must(t, m)
		w := newWork(n)
		if err := w.solve(&e, false); err != nil {
			t.Fatal(err)
		}
		w.given.prepare(w)
		all := make([][]float64, MaxSet+1)
		for set := range 1 << len(m.Faults) {
			var faults []int32
			for f := range m.Faults {
				if set>>f&1 == 1 {
					faults = append(faults, int32(f))
				}
			}
			if len(faults) <= MaxSet {
				all[len(faults)] = append(all[len(faults)], math.Exp(w.given.log(w, faults)-w.logEvidence()))
			}
		}
		for size, want := range all {
			slices.SortFunc(want, func(a, b float64) int { return cmp.Compare(b, a) })
			got, err := n.Sets(e, size, 3)
			if err != nil {
				t.Fatal(err)
			}
			for i := range min(3, len(want)) {
				if want[i] == 0 && i >= len(got) {
					break
				}
				if i >= len(got) || math.Abs(got[i].Probability-want[i]) > 1e-12*want[i] {
					t.Errorf("size %d, rank %d: found %v, there is %v", size, i, got, want[i])
					break
				}
			}
		}
	})
}
