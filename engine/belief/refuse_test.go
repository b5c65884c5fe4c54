package belief

import (
	"errors"
	"math"
	"strings"
	"testing"
)

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
		{"no such condition", Evidence{Conditions: []KnownCondition{{5, []float64{1, 1}}}}, "known conditions: there is no condition 5, only"},
		{"a condition twice", Evidence{Conditions: []KnownCondition{{0, []float64{1, 1}}, {0, []float64{1, 1}}}}, "known conditions: condition 0 is given twice"},
		{"too few likelihoods of a condition", Evidence{Conditions: []KnownCondition{{0, []float64{1}}}}, "known conditions: condition 0 takes 2 likelihoods, not 1"},
		{"nothing likely of a condition", Evidence{Conditions: []KnownCondition{{0, []float64{0, 0}}}}, "known conditions: condition 0: likelihoods [0 0] must be finite"},
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
