package belief

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"sync"
	"testing"
)

// dense makes a network in which each fault causes each of so many states, so
// that no order of the faults keeps fewer of them live.
func dense(states int) (Model, Evidence) {
	m := Model{Faults: faults(0.1, 0.2, 0.15)}
	var e Evidence
	for c := range states {
		m.Conditions = append(m.Conditions, Condition{[]float64{0.1}})
		for f := range m.Faults {
			m.Links = append(m.Links, Link{f, c, 0, 0.3 + 0.02*float64((c+f)%20)})
		}
		m.Findings = append(m.Findings, Finding{[]Outcome{{Leak: 0.05, States: []Shown{{c, 0, 0.9}}}}})
		e.Seen = append(e.Seen, holds(c))
	}
	return m, e
}

func TestTooManyLiveStatesIsAnErrorWithTheFigures(t *testing.T) {
	m, e := dense(MaxLive + 3)
	n := must(t, m)
	for what, err := range map[string]error{
		"Posterior": n.Posterior(e, new(Posterior)),
		"States":    second(n.States(e)),
		"Sets":      second(n.Sets(e, 1, 1)),
		"LeaveOut":  second(n.LeaveOut(e)),
		"Conflict":  second(n.Conflict(e, nil)),
	} {
		var wide *TooWideError
		if !errors.As(err, &wide) || wide.Live != MaxLive+3 || wide.Limit != MaxLive {
			t.Errorf("%s: %v", what, err)
		}
	}
	// Fewer findings are well within it, and the network is none the worse.
	e.Seen = e.Seen[:4]
	if p := posterior(t, n, e); p.LiveBits != 4 {
		t.Errorf("%d live for 4 states", p.LiveBits)
	}
}

func second[T any](_ T, err error) error { return err }

// TestSegmentsGiveTheSame lets the passes keep next to nothing, so that they
// work their tables out again.
func TestSegmentsGiveTheSame(t *testing.T) {
	for seed := range uint64(10) {
		r := rand.New(rand.NewPCG(seed, 4))
		m := shipped(r)
		n := must(t, m)
		e := seeing(r, &m, 7, 15, 0.3)
		solved := func(memory int) *work {
			w := newWork(n)
			w.run.memory = memory
			if err := w.byPasses(&e); err != nil {
				t.Fatal(err)
			}
			return w
		}
		whole, parts := solved(memoryNumbers), solved(64)
		if len(whole.run.segments) != 1 || len(parts.run.segments) < 2 {
			t.Fatalf("%d and %d segments", len(whole.run.segments), len(parts.run.segments))
		}
		if len(parts.run.tables) >= len(whole.run.tables) {
			t.Errorf("segments take %d numbers, the whole %d", len(parts.run.tables), len(whole.run.tables))
		}
		if whole.logEvidence() != parts.logEvidence() {
			t.Errorf("ln P(evidence) %v and %v", whole.logEvidence(), parts.logEvidence())
		}
		for f := range m.Faults {
			p, odds := whole.fault(f)
			if q, same := parts.fault(f); p != q || odds != same {
				t.Errorf("fault %d: %v and %v", f, p, q)
			}
		}
	}
}

// TestThousandsOfFindingsDoNotUnderflow: 4040 findings that do not hold, whose
// probability is far below what a float64 holds, against the sum of logarithms.
func TestThousandsOfFindingsDoNotUnderflow(t *testing.T) {
	const many = 4040
	r := rand.New(rand.NewPCG(1, 1))
	m := Model{Faults: faults(0.1, 0.2)}
	m.Conditions = []Condition{{[]float64{0.1}}}
	m.Links = []Link{{0, 0, 0, 0.5}, {1, 0, 0, 0.7}}
	var e Evidence
	var absent, present [3]float64 // ln P(findings | each of the two faults and the state)
	for k := range many {
		leak, p := 0.2+0.3*r.Float64(), 0.0
		p = leak + 0.4*r.Float64()
		o := Outcome{Leak: leak}
		what := k % 3
		if what == 2 {
			o.States = []Shown{{0, 0, p}}
		} else {
			o.Faults = []FromFault{{what, p}}
		}
		absent[what] += math.Log(1 - leak)
		present[what] += math.Log(1 - p)
		m.Findings = append(m.Findings, Finding{[]Outcome{o}})
		e.Seen = append(e.Seen, holdsNot(k))
	}
	// Given which faults are present, the state is on with 1-.9 prod (1-p)/.9.
	weights := make([]float64, 4)
	for set := range weights {
		off := 0.9
		log := 0.0
		for f, strength := range []float64{0.5, 0.7} {
			if set>>f&1 == 1 {
				off *= (1 - strength) / 0.9
				log += math.Log(m.Faults[f].Prior) + present[f]
			} else {
				log += math.Log(1-m.Faults[f].Prior) + absent[f]
			}
		}
		weights[set] = log + addLogs(math.Log(off)+absent[2], math.Log(1-off)+present[2])
	}
	all := addLogs(weights...)
	p := posterior(t, must(t, m), e)
	if all > -1000 {
		t.Fatalf("ln P(evidence) = %v would not underflow", all)
	}
	around(t, "ln P(evidence)", p.LogEvidence, all, 1e-9)
	around(t, "ln P(none)", math.Log(p.None), weights[0]-all, 1e-9)
	around(t, "log odds 0", p.LogOdds[0], addLogs(weights[1], weights[3])-addLogs(weights[0], weights[2]), 1e-8)
	around(t, "log odds 1", p.LogOdds[1], addLogs(weights[2], weights[3])-addLogs(weights[0], weights[1]), 1e-8)
	if p.LogOdds[0] > -100 {
		t.Errorf("log odds %v do not try the range", p.LogOdds[0])
	}
}

func addLogs(logs ...float64) float64 {
	most := math.Inf(-1)
	for _, l := range logs {
		most = math.Max(most, l)
	}
	sum := 0.0
	for _, l := range logs {
		sum += math.Exp(l - most)
	}
	return most + math.Log(sum)
}

// TestManyJointFindingsDoNotUnderflow: a chain of conditions whose findings, each
// of two of them, are all improbable, so that tables must be scaled as they go.
func TestManyJointFindingsDoNotUnderflow(t *testing.T) {
	var m Model
	var e Evidence
	for c := range 230 {
		m.Faults = append(m.Faults, Fault{0.001})
		m.Conditions = append(m.Conditions, Condition{[]float64{1e-4}})
		m.Links = append(m.Links, Link{c, c, 0, 0.3}, Link{max(0, c-1), c, 0, 0.3})
		m.Findings = append(m.Findings, Finding{[]Outcome{{Leak: 1e-5, States: []Shown{{c, 0, 0.5}, {max(0, c-1), 0, 0.5}}[:min(2, c+1)]}}})
		e.Seen = append(e.Seen, holds(c))
	}
	p := posterior(t, must(t, m), e)
	if p.LogEvidence > -750 || math.IsInf(p.LogEvidence, 0) {
		t.Errorf("ln P(evidence) = %v would not underflow", p.LogEvidence)
	}
	for f, q := range p.Faults {
		if !(q > m.Faults[f].Prior && q < 1) { // each explains what is near it
			t.Errorf("fault %d: %v", f, q)
		}
	}
}

// TestConcurrentQueriesAgree: no answer hangs on what is asked beside it or before it in the same
// memory, whether it is of faults or of conditions.
func TestConcurrentQueriesAgree(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	m := shipped(r)
	n := must(t, m)
	type query struct {
		e      Evidence
		want   Posterior
		states [][]float64
	}
	var queries []query
	for range 8 {
		q := query{e: seeing(r, &m, 5, 10, 0.2)}
		q.want = *posterior(t, n, q.e)
		var err error
		if q.states, err = must(t, m).States(q.e); err != nil {
			t.Fatal(err)
		}
		queries = append(queries, q)
	}
	var wait sync.WaitGroup
	for worker := range 8 {
		wait.Go(func() {
			var p Posterior
			for i := range 20 {
				q := &queries[(worker+i)%len(queries)]
				if err := n.Posterior(q.e, &p); err != nil {
					t.Error(err)
				}
				for f := range p.Faults {
					if p.Faults[f] != q.want.Faults[f] {
						t.Errorf("fault %d: %v, alone %v", f, p.Faults[f], q.want.Faults[f])
					}
				}
				if states, err := n.States(q.e); err != nil || !reflect.DeepEqual(states, q.states) {
					t.Errorf("%v: %v, alone %v", err, states, q.states)
				}
				if i%10 == 0 {
					if _, err := n.LeaveOut(q.e); err != nil {
						t.Error(err)
					}
				}
			}
		})
	}
	wait.Wait()
}

// TestNothingKnown: without evidence, or without anything at all, the answer is
// the priors.
func TestNothingKnown(t *testing.T) {
	p := posterior(t, must(t, Model{}), Evidence{})
	if p.None != 1 || p.LogEvidence != 0 || p.LiveBits != 0 {
		t.Errorf("the empty model gives %+v", p)
	}
	n := must(t, burglary())
	p = posterior(t, n, Evidence{})
	around(t, "burglary", p.Faults[0], 0.001, 1e-17)
	around(t, "earthquake", p.Faults[1], 0.002, 1e-17)
	around(t, "none", p.None, 0.999*0.998, 1e-15)
	states, err := n.States(Evidence{})
	if err != nil {
		t.Fatal(err)
	}
	around(t, "alarm", states[0][0], 1-(1-0.001)*(1-0.001*0.939/0.999)*(1-0.002*0.289/0.999), 1e-14)
	left, err := n.LeaveOut(Evidence{})
	if err != nil || len(left) != 0 {
		t.Errorf("nothing to leave out gives %v, %v", left, err)
	}
	conflict, err := n.Conflict(Evidence{}, nil)
	if err != nil || conflict.Value != 0 {
		t.Errorf("no conflict among nothing: %v, %v", conflict, err)
	}
}
