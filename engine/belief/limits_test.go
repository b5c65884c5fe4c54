package belief

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
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
			if err := w.checkEvidence(&e); err != nil {
				t.Fatal(err)
			}
			if err := w.solve(&e, true); err != nil {
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

func TestConcurrentQueriesAgree(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	m := shipped(r)
	n := must(t, m)
	type query struct {
		e    Evidence
		want Posterior
	}
	var queries []query
	for range 8 {
		q := query{e: seeing(r, &m, 5, 10, 0.2)}
		q.want = *posterior(t, n, q.e)
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

func TestBadModelsAreRefused(t *testing.T) {
	good := func() Model {
		return Model{
			Faults:     faults(0.1, 0.2),
			Conditions: []Condition{{[]float64{0.1, 0}}, {[]float64{0.2}}},
			Links:      []Link{{0, 0, 0, 0.5}},
			Findings: []Finding{
				{[]Outcome{{Leak: 0.1, States: []Shown{{0, 0, 0.5}}, Faults: []FromFault{{0, 0.5}}}}},
				{[]Outcome{{Leak: 0.1, States: []Shown{{0, 0, 0.5}}}, {Leak: 0.2, States: []Shown{{0, 1, 0.5}}}}},
			},
		}
	}
	must(t, good())
	nan := math.NaN()
	for _, row := range []struct {
		reason string
		change func(m *Model)
		want   string
	}{
		{"a prior above 1", func(m *Model) { m.Faults[1].Prior = 1.1 }, "fault 1: prior 1.1 is not within 0..1"},
		{"a prior that is no number", func(m *Model) { m.Faults[0].Prior = nan }, "fault 0: prior NaN is not within 0..1"},
		{"a condition without states", func(m *Model) { m.Conditions = append(m.Conditions, Condition{}) }, "condition 2: has no states"},
		{"a leak below 0", func(m *Model) { m.Conditions[1].Leaks[0] = -0.1 }, "condition 1, state 0: leak -0.1 is not within 0..1"},
		{"a link from a fault that is not there", func(m *Model) { m.Links[0].Fault = 2 }, "link 0: there is no fault 2, only 2"},
		{"a link to a condition that is not there", func(m *Model) { m.Links[0].Condition = -1 }, "link 0: there is no condition -1, only 2"},
		{"a link to a state that is not there", func(m *Model) { m.Links[0].State = 2 }, "link 0: condition 0 has no state 2, only 2"},
		{"a link below the leak", func(m *Model) { m.Links[0].Strength = 0.05 }, "link 0: strength 0.05 is below the leak 0.1 that it includes"},
		{"a link whose strength is no number", func(m *Model) { m.Links[0].Strength = nan }, "link 0: strength NaN is not within 0..1"},
		{"a finding without outcomes", func(m *Model) { m.Findings[0].Outcomes = nil }, "finding 0: has no outcomes"},
		{"a finding's leak above 1", func(m *Model) { m.Findings[0].Outcomes[0].Leak = 2 }, "finding 0, outcome 0: leak 2 is not within 0..1"},
		{"a fault below the leak", func(m *Model) { m.Findings[0].Outcomes[0].Faults[0].Strength = 0.05 }, "finding 0, outcome 0: strength 0.05 is below the leak 0.1 that it includes"},
		{"a state twice", func(m *Model) {
			m.Findings[0].Outcomes[0].States = append(m.Findings[0].Outcomes[0].States, Shown{0, 0, 0.4})
		}, "finding 0, outcome 0: condition 0, state 0 is shown twice"},
		{"a fault twice", func(m *Model) {
			m.Findings[0].Outcomes[0].Faults = append(m.Findings[0].Outcomes[0].Faults, FromFault{0, 0.4})
		}, "finding 0, outcome 0: fault 0 is shown twice"},
		{"a fault that is not there", func(m *Model) { m.Findings[0].Outcomes[0].Faults[0].Fault = 9 }, "finding 0, outcome 0: there is no fault 9, only 2"},
		{"outcomes of two conditions", func(m *Model) { m.Findings[1].Outcomes[1].States[0] = Shown{1, 0, 0.5} }, "finding 1, outcome 1: several outcomes may show only one condition, not both 0 and 1"},
		{"several outcomes of a fault", func(m *Model) { m.Findings[1].Outcomes[0].Faults = []FromFault{{0, 0.5}} }, "finding 1, outcome 0: several outcomes may not show faults"},
		{"outcomes that add up to more than 1", func(m *Model) { m.Findings[1].Outcomes[0].States[0].Strength = 0.9 }, "finding 1: given state 0 of condition 0 its outcomes add up to 1.1, more than 1"},
		{"leaks that add up to more than 1", func(m *Model) {
			m.Findings[1].Outcomes[0].Leak = 0.5
			m.Findings[1].Outcomes[1].Leak = 0.6
			m.Findings[1].Outcomes[0].States = nil
		}, "finding 1: given none of the states of condition 0 its outcomes add up to 1.1, more than 1"},
		{"a strength under a leak of 1", func(m *Model) { m.Findings[0].Outcomes[0].Leak = 1; m.Findings[0].Outcomes[0].Faults = nil }, "finding 0, outcome 0: strength 0.5 under a leak of 1, which nothing can make rarer"},
	} {
		m := good()
		row.change(&m)
		if _, err := New(m); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: got %v, want %q", row.reason, err, row.want)
		}
	}
	m := good()
	m.Faults[0].Prior, m.Links[0].Fault = 3, 7
	if _, err := New(m); err == nil || strings.Count(err.Error(), "\n") != 1 {
		t.Errorf("two faults of the model must give two lines: %v", err)
	}
}

func TestBadEvidenceIsRefused(t *testing.T) {
	n := must(t, burglary())
	nan, inf := math.NaN(), math.Inf(1)
	for _, row := range []struct {
		reason string
		e      Evidence
		want   string
	}{
		{"no such finding", Evidence{Seen: []Seen{holds(3)}}, "seen: there is no finding 3, only 3"},
		{"a finding twice", Evidence{Seen: []Seen{holds(1), holdsNot(1)}}, "seen: finding 1 is seen twice"},
		{"too many likelihoods", Evidence{Seen: []Seen{{0, []float64{1, 0, 0}}}}, "seen: finding 0 takes 2 likelihoods, not 3"},
		{"a likelihood that is no number", Evidence{Seen: []Seen{{0, []float64{nan, 1}}}}, "must be finite, not negative and not all 0"},
		{"a negative likelihood", Evidence{Seen: []Seen{{0, []float64{1, -1}}}}, "must be finite, not negative and not all 0"},
		{"an infinite likelihood", Evidence{Seen: []Seen{{0, []float64{inf, 1}}}}, "must be finite, not negative and not all 0"},
		{"no likelihood above 0", Evidence{Seen: []Seen{{0, []float64{0, 0}}}}, "must be finite, not negative and not all 0"},
		{"acting of another length", Evidence{Acting: []float64{1}}, "acting: 1 numbers for 2 links"},
		{"acting above 1", Evidence{Acting: []float64{1, 1.5}}, "acting: 1.5 for link 1 is not within 0..1"},
		{"no such fault", Evidence{Faults: []KnownFault{{2, 1, 1}}}, "known faults: there is no fault 2, only 2"},
		{"a fault twice", Evidence{Faults: []KnownFault{{1, 1, 0}, {1, 1, 0}}}, "known faults: fault 1 is given twice"},
		{"nothing likely of a fault", Evidence{Faults: []KnownFault{{1, 0, 0}}}, "known faults: fault 1: likelihoods 0 and 0 must be finite"},
	} {
		if err := n.Posterior(row.e, new(Posterior)); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: got %v, want %q", row.reason, err, row.want)
		}
		for what, err := range map[string]error{
			"States": second(n.States(row.e)), "Sets": second(n.Sets(row.e, 1, 1)),
			"LeaveOut": second(n.LeaveOut(row.e)), "Conflict": second(n.Conflict(row.e, nil)),
		} {
			if err == nil {
				t.Errorf("%s: %s takes it", row.reason, what)
			}
		}
	}
	for _, size := range []int{-1, MaxSet + 1} {
		if _, err := n.Sets(Evidence{}, size, 1); err == nil {
			t.Errorf("Sets takes size %d", size)
		}
	}
	for _, row := range []struct {
		reason  string
		faults  []int
		finding int
	}{{"no such finding", nil, 3}, {"no such fault", []int{2}, 0}, {"a fault twice", []int{1, 1}, 0}} {
		if _, err := n.Predict(Evidence{}, row.faults, row.finding); err == nil {
			t.Errorf("Predict takes %s", row.reason)
		}
	}
	if _, err := n.Conflict(Evidence{Seen: []Seen{holds(0)}}, []Left{{}, {}}); err == nil {
		t.Error("Conflict takes another evidence's findings")
	}
}

func TestImpossibleEvidenceIsRefused(t *testing.T) {
	n := must(t, Model{
		Faults:     faults(0.1, 0.2),
		Conditions: []Condition{{[]float64{0}}},
		Links:      []Link{{0, 0, 0, 0.5}},
		Findings:   []Finding{{[]Outcome{{States: []Shown{{0, 0, 1}}}}}, direct(0, 0, 0.5), {[]Outcome{{}}}},
	})
	for _, row := range []struct {
		reason string
		e      Evidence
	}{
		{"a finding that nothing can show", Evidence{Seen: []Seen{holds(2)}}},
		{"its only cause's cause is known to be absent", Evidence{Seen: []Seen{holds(0)}, Faults: []KnownFault{{0, 0, 1}}}},
		{"its only cause is known to be absent", Evidence{Seen: []Seen{holds(1)}, Faults: []KnownFault{{1, 0, 1}}}},
		{"its only link does not act", Evidence{Seen: []Seen{holds(0)}, Acting: []float64{0}}},
	} {
		if err := n.Posterior(row.e, new(Posterior)); !errors.Is(err, ErrImpossible) {
			t.Errorf("%s: got %v", row.reason, err)
		}
	}
	// What is certain is not impossible.
	p := posterior(t, n, Evidence{Seen: []Seen{holds(0), holds(1)}})
	if p.Faults[0] != 1 || p.Faults[1] != 1 || p.None != 0 || !math.IsInf(p.LogOdds[0], 1) {
		t.Errorf("both faults are certain: %+v", p)
	}
}
