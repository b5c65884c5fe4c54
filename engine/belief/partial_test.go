package belief

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// beside puts two networks that have nothing to do with each other into one.
func beside(a Model, of Evidence, b Model, and Evidence) (Model, Evidence) {
	faults, conditions, findings := len(a.Faults), len(a.Conditions), len(a.Findings)
	m := Model{Faults: slices.Concat(a.Faults, b.Faults), Conditions: slices.Concat(a.Conditions, b.Conditions),
		Links: slices.Clone(a.Links), Findings: slices.Clone(a.Findings)}
	for _, l := range b.Links {
		l.Fault += faults
		l.Condition += conditions
		m.Links = append(m.Links, l)
	}
	for _, f := range b.Findings {
		var moved Finding
		for _, o := range f.Outcomes {
			o.States, o.Faults = slices.Clone(o.States), slices.Clone(o.Faults)
			for i := range o.States {
				o.States[i].Condition += conditions
			}
			for i := range o.Faults {
				o.Faults[i].Fault += faults
			}
			moved.Outcomes = append(moved.Outcomes, o)
		}
		m.Findings = append(m.Findings, moved)
	}
	e := Evidence{Seen: slices.Clone(of.Seen)}
	for _, s := range and.Seen {
		s.Finding += findings
		e.Seen = append(e.Seen, s)
	}
	return m, e
}

// TestPartialIsExactBesideWhatIsTooWide: what lies beside a part that is too wide
// is as if that part were not there, wherever in the model it stands; what lies in
// it is not known, and the error names its conditions and findings.
func TestPartialIsExactBesideWhatIsTooWide(t *testing.T) {
	wide, told := dense(MaxLive + 2)
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 9))
		small := shipped(r)
		e := seeing(r, &small, 4, 8, 0.3)
		want := posterior(t, must(t, small), e)
		for _, first := range []bool{true, false} {
			m, both := beside(wide, told, small, e)
			from, lost := len(wide.Faults), 0
			if first {
				m, both = beside(small, e, wide, told)
				from, lost = 0, len(small.Faults)
			}
			n := must(t, m)
			var tooWide *TooWideError
			if err := n.Posterior(both, new(Posterior)); !errors.As(err, &tooWide) {
				t.Fatalf("the whole gives %v", err)
			}
			if first && (tooWide.Conditions[0] < len(small.Conditions) || tooWide.Findings[0] < len(small.Findings)) ||
				!first && (tooWide.Conditions[len(tooWide.Conditions)-1] >= len(wide.Conditions) || tooWide.Findings[len(tooWide.Findings)-1] >= len(wide.Findings)) {
				t.Errorf("%+v names what is not in the wide part", tooWide)
			}
			if len(tooWide.Conditions) != MaxLive+2 || len(tooWide.Findings) != MaxLive+2 {
				t.Errorf("%+v", tooWide)
			}
			p, err := n.Partial(both)
			if err != nil {
				t.Fatal(err)
			}
			for f := range small.Faults {
				if !p.Known[from+f] {
					t.Errorf("fault %d of the small part is not known", f)
				}
				around(t, "small part", p.Faults[from+f], want.Faults[f], 1e-12)
			}
			for f := range wide.Faults {
				if p.Known[lost+f] {
					t.Errorf("fault %d of the wide part is known: %v", f, p.Faults[lost+f])
				}
			}
		}
	}
}

// TestPartialOfTheWholeIsThePosterior: where nothing is too wide, everything is known.
func TestPartialOfTheWholeIsThePosterior(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 10))
		m := shipped(r)
		e := seeing(r, &m, 6, 10, 0.3)
		n := must(t, m)
		want := posterior(t, n, e)
		p, err := n.Partial(e)
		if err != nil {
			t.Fatal(err)
		}
		for f := range m.Faults {
			if !p.Known[f] {
				t.Errorf("fault %d is not known", f)
			}
			around(t, "fault", p.Faults[f], want.Faults[f], 1e-12)
		}
	}
}

// TestPartialWithoutWeight: a wide part in which nothing arises of itself, and of
// which the evidence says that something has, must not make the rest impossible;
// a small part that is impossible makes the whole so.
func TestPartialWithoutWeight(t *testing.T) {
	wide, told := dense(MaxLive + 2)
	for c := range wide.Conditions {
		wide.Conditions[c].Leaks[0] = 0
		wide.Findings[c].Outcomes[0].Leak = 0
	}
	small := Model{Faults: faults(0.1), Findings: []Finding{{[]Outcome{{Leak: 0.2, Faults: []FromFault{{0, 0.7}}}}}, {[]Outcome{{Leak: 0}}}}}
	m, e := beside(wide, told, small, Evidence{Seen: []Seen{holds(0)}})
	n := must(t, m)
	p, err := n.Partial(e)
	if err != nil {
		t.Fatal(err)
	}
	// Bayes: .1*.7 against .9*.2.
	if f := len(wide.Faults); !p.Known[f] {
		t.Error("the fault of the small part is not known")
	} else {
		around(t, "small part", p.Faults[f], 0.07/(0.07+0.18), 1e-15)
	}
	e.Seen = append(e.Seen, holds(len(wide.Findings)+1)) // what never holds
	if _, err := n.Partial(e); !errors.Is(err, ErrImpossible) {
		t.Errorf("the impossible gives %v", err)
	}
}

// crowded makes a network with hundreds of conditions that many faults tie together.
func crowded(faults, conditions int) (Model, Evidence) {
	r := rand.New(rand.NewPCG(1, 1))
	var m Model
	var e Evidence
	for range faults {
		m.Faults = append(m.Faults, Fault{0.01 + 0.1*r.Float64()})
	}
	for c := range conditions {
		m.Conditions = append(m.Conditions, Condition{[]float64{0.05}})
		for _, f := range r.Perm(faults)[:6] {
			m.Links = append(m.Links, Link{f, c, 0, 0.3 + 0.5*r.Float64()})
		}
		m.Findings = append(m.Findings, Finding{[]Outcome{{Leak: 0.05, States: []Shown{{c, 0, 0.9}}}}})
		e.Seen = append(e.Seen, holds(c))
	}
	return m, e
}

// TestHopelessNetworkIsRefused: nobody waits for a network that nothing can answer;
// without its limits the search for an order alone takes minutes.
func TestHopelessNetworkIsRefused(t *testing.T) {
	m, e := crowded(200, 300)
	n := must(t, m)
	var wide *TooWideError
	if err := n.Posterior(e, new(Posterior)); !errors.As(err, &wide) {
		t.Fatalf("%v", err)
	}
}

// BenchmarkRefusal is how long it takes to give up on that network.
func BenchmarkRefusal(b *testing.B) {
	m, e := crowded(200, 300)
	n, err := New(m)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := n.Posterior(e, new(Posterior)); err == nil {
			b.Fatal("answered")
		}
	}
}

// TestStop: a query whose Done is closed ends with ErrStopped, where it is closed
// before and where it is closed on the way, when most of its work is still to be
// done; and the next is unharmed.
func TestStop(t *testing.T) {
	m, e := dense(MaxLive)
	n := must(t, m)
	closed := make(chan struct{})
	close(closed)
	stopped := e
	stopped.Done = closed
	for what, query := range map[string]func(Evidence) error{
		"Posterior":       func(e Evidence) error { return n.Posterior(e, new(Posterior)) },
		"States":          func(e Evidence) error { return second(n.States(e)) },
		"Sets":            func(e Evidence) error { return second(n.Sets(e, 2, 2)) },
		"LeaveOut":        func(e Evidence) error { return second(n.LeaveOut(e)) },
		"Conflict":        func(e Evidence) error { return second(n.Conflict(e, nil)) },
		"ConflictMeasure": func(e Evidence) error { return second(n.ConflictMeasure(e, 0)) },
		"Partial":         func(e Evidence) error { return second(n.Partial(e)) },
	} {
		if err := query(stopped); !errors.Is(err, ErrStopped) {
			t.Errorf("%s: %v", what, err)
		}
	}
	start := time.Now()
	if err := n.Posterior(e, new(Posterior)); err != nil {
		t.Fatal(err)
	}
	whole := time.Since(start)
	for range 5 {
		done := make(chan struct{})
		stopped.Done = done
		ended := make(chan error)
		go func() { ended <- second(n.LeaveOut(stopped)) }()
		time.Sleep(whole / 2)
		close(done)
		if err := <-ended; !errors.Is(err, ErrStopped) {
			t.Errorf("stopped on the way: %v", err)
		}
	}
}

// TestConflictMeasureIsThatOfConflict holds the short way to the long one.
func TestConflictMeasureIsThatOfConflict(t *testing.T) {
	compared := 0
	compare := func(n *Network, e Evidence) {
		var p Posterior
		if n.Posterior(e, &p) != nil {
			return
		}
		c, err := n.Conflict(e, nil)
		if err != nil {
			return // a finding is impossible by itself
		}
		compared++
		if measure, err := n.ConflictMeasure(e, p.LogEvidence); err != nil || math.Abs(measure-c.Value) > 1e-11*(1+math.Abs(c.Value)) {
			t.Errorf("%v, %v, want %v", measure, err, c.Value)
		}
	}
	for seed := range uint64(30) {
		r := rand.New(rand.NewPCG(seed, 11))
		m := shipped(r)
		compare(must(t, m), seeing(r, &m, int(seed%5), int(seed%7), 0.3))
		odd, e := lawShape.random(r)
		compare(must(t, odd), e)
	}
	if compared < 45 {
		t.Fatalf("only %d compared", compared)
	}
}
