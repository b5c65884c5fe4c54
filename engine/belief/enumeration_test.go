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
	eachBrute(t, 40, func(t *testing.T, n *Network, b *brute) {
		for k := range 2 * (MaxSet + 1) {
			size, most := k/2, 1+k%2*3
			var want []float64
			for set, p := range b.exact {
				if bits.OnesCount(uint(set)) == size && p/b.total > 1e-14 {
					want = append(want, p/b.total)
				}
			}
			slices.SortFunc(want, func(x, y float64) int { return cmp.Compare(y, x) })
			want = want[:min(most, len(want))]
			got, err := n.Sets(b.e, size, most)
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
		known := newBrute(b.m, Evidence{Acting: b.e.Acting, Faults: b.e.Faults, Conditions: b.e.Conditions}).total
		sum := 0.0
		for _, s := range b.e.Seen {
			alone := newBrute(b.m, Evidence{Seen: []Seen{s}, Acting: b.e.Acting, Faults: b.e.Faults, Conditions: b.e.Conditions}).total
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
