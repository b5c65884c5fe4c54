package belief

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestWeakFaultHoldsSurely: a finding that only a weak fault shows holds: the fault is
// certain, and ln P is that of prior times strength.
func TestWeakFaultHoldsSurely(t *testing.T) {
	n := must(t, Model{
		Faults:   []Fault{{0.5}},
		Findings: []Finding{{[]Outcome{{Faults: []FromFault{{0, 1e-17}}}}}},
	})
	var p Posterior
	if err := n.Posterior(Evidence{Seen: []Seen{{0, []float64{1, 0}}}}, &p); err != nil {
		t.Fatal(err)
	}
	if want := math.Log(0.5e-17); p.Faults[0] != 1 || math.Abs(p.LogEvidence-want) > 1e-13 {
		t.Errorf("%v, ln P %v, not 1 and %v", p.Faults[0], p.LogEvidence, want)
	}
}

// TestWeakParentsHoldSurely: a finding of several parents whose strengths are less than
// what float64 tells from 1 holds; that is improbable, not impossible.
func TestWeakParentsHoldSurely(t *testing.T) {
	n := must(t, Model{
		Faults:   []Fault{{0.5}, {0.25}},
		Findings: []Finding{{[]Outcome{{Faults: []FromFault{{0, 1e-20}, {1, 1e-20}}}}}},
	})
	var p Posterior
	if err := n.Posterior(Evidence{Seen: []Seen{{0, []float64{1, 0}}}}, &p); err != nil {
		t.Fatal(err)
	}
	// P(0 | e) is (1/2 3/4 + 1/2 1/4 2) / (1/2 3/4 + 1/2 1/4 + 1/2 1/4 2)
	want := []float64{5. / 6, 3. / 6}
	for f := range want {
		if math.Abs(p.Faults[f]-want[f]) > 1e-14 {
			t.Errorf("fault %d: %v, not %v", f, p.Faults[f], want[f])
		}
	}
}

// TestEvidenceThatOutweighsItself: findings that speak against each other by more than the
// range of float64 leave what they agree on, in any order.
func TestEvidenceThatOutweighsItself(t *testing.T) {
	m := Model{
		Faults:     []Fault{{0.1}},
		Conditions: []Condition{{[]float64{0.25}}},
		Links:      []Link{{0, 0, 0, 0.75}},
	}
	likelihoods := [][]float64{{1, 1e-200}, {1, 1e-200}, {1e-200, 1}, {1e-200, 1}}
	for range likelihoods {
		m.Findings = append(m.Findings, Finding{[]Outcome{{States: []Shown{{0, 0, 1}}}}})
	}
	n := must(t, m)
	r := rand.New(rand.NewPCG(1, 2))
	for range 24 {
		var e Evidence
		for _, k := range r.Perm(len(likelihoods)) {
			e.Seen = append(e.Seen, Seen{k, likelihoods[k]})
		}
		var p Posterior
		if err := n.Posterior(e, &p); err != nil {
			t.Fatal(err)
		}
		if want := -400 * math.Ln10; math.Abs(p.Faults[0]-0.1) > 1e-15 || math.Abs(p.LogEvidence-want) > 1e-12*-want {
			t.Errorf("%v, ln P %v, not 0.1 and %v", p.Faults[0], p.LogEvidence, want)
		}
	}
}

// TestLikelihoodsOfAnySize: only ratios matter, up to the ends of float64.
func TestLikelihoodsOfAnySize(t *testing.T) {
	m := Model{
		Faults:     []Fault{{0.1}, {0.2}},
		Conditions: []Condition{{[]float64{0.1, 0.3}}, {[]float64{0.2}}},
		Links:      []Link{{0, 0, 0, 0.75}, {1, 0, 1, 0.5}, {1, 1, 0, 0.5}},
		Findings: []Finding{
			{[]Outcome{{Leak: 1e-9, States: []Shown{{0, 0, 3e-9}, {0, 1, 2e-9}}}}},
			{[]Outcome{{Leak: 0.3, States: []Shown{{0, 0, 0.3}}}, {Leak: 0.3, States: []Shown{{0, 1, 0.6}}}}},
			{[]Outcome{{Leak: 0.7, States: []Shown{{0, 0, 0.9}, {1, 0, 0.8}}}}},
		},
	}
	n := must(t, m)
	of := func(size float64) []float64 {
		e := Evidence{Seen: []Seen{
			{0, []float64{size, 0}}, {1, []float64{size, 0.5 * size, 0.75 * size}}, {2, []float64{size, size * (1 - 0x1p-53)}},
		}}
		var p Posterior
		if err := n.Posterior(e, &p); err != nil {
			t.Fatal(err)
		}
		return p.Faults
	}
	want := of(1)
	for _, size := range []float64{math.MaxFloat64, 0x1p-1020, 0x1p600} {
		if got := of(size); slices.ContainsFunc(got, math.IsNaN) || math.Abs(got[0]-want[0]) > 1e-15 || math.Abs(got[1]-want[1]) > 1e-15 {
			t.Errorf("likelihoods of %v: %v, not %v", size, got, want)
		}
	}
}

// TestOrderSearchKeepsWhatFits: an order that fits is kept when the search is cut short
// while it tries one that does not.
func TestOrderSearchKeepsWhatFits(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	var m Model
	var e Evidence
	for range 60 {
		m.Conditions = append(m.Conditions, Condition{[]float64{0.01, 0.01, 0.01}})
	}
	for c := range 60 {
		for range 5 {
			m.Faults = append(m.Faults, Fault{0.01 + 0.1*r.Float64()})
			for k := range 4 {
				m.Links = append(m.Links, Link{len(m.Faults) - 1, (c + k) % 60, r.IntN(3), 0.3 + 0.6*r.Float64()})
			}
		}
	}
	for c := range 60 {
		m.Findings = append(m.Findings, Finding{[]Outcome{{Leak: 0.05, States: []Shown{{c, 0, 0.5}, {c, 1, 0.7}, {c, 2, 0.9}}}}})
		e.Seen = append(e.Seen, Seen{c, []float64{1, 0.5}})
	}
	w := newWork(must(t, m))
	if err := w.reduce(&e, -1); err != nil {
		t.Fatal(err)
	}
	w.arrange()
	w.plan.lay(w)
	if w.plan.live > MaxLive {
		t.Errorf("%d states live, where an order with %d or fewer was met", w.plan.live, MaxLive)
	}
}
