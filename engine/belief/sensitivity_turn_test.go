package belief

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// leadAt returns who leads with a number set to v, and how far the first of two
// faults is ahead of the other, by logarithm.
func leadAt(t *testing.T, m *Model, e Evidence, x Number, v float64, a, b int) (lead int, ahead float64, ok bool) {
	t.Helper()
	n, err := New(m.With(x, v))
	if err != nil {
		return 0, 0, false
	}
	var p Posterior
	if err := n.Posterior(e, &p); err != nil {
		return 0, 0, false
	}
	for f := range p.Faults {
		if p.Faults[f] > p.Faults[lead] {
			lead = f
		}
	}
	return lead, math.Log(p.Faults[a]) - math.Log(p.Faults[b]), true
}

// TestTurns sets each number to both sides of each turn, and to many values
// short of it, and asks who leads.
func TestTurns(t *testing.T) {
	for name, shape := range sensitiveShapes {
		t.Run(name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(5, 17))
			turns, searched, idle, still := 0, 0, 0, 0
			for round := range 12 {
				m, e := shape.random(r)
				s, err := NewSensitivity(m)
				if err != nil {
					t.Fatal(err)
				}
				all, err := s.Sways(e)
				if errors.Is(err, ErrImpossible) {
					continue
				}
				if err != nil {
					t.Fatal(err)
				}
				if all.RunnerUp >= 0 && all.Faults[all.RunnerUp] > all.Faults[all.Lead]*(1-1e-9) {
					continue // a tie by rounding has no lead to lose
				}
				for _, a := range all.Numbers {
					if a.Idle {
						idle++
					}
					for _, turn := range []*Turn{a.Down, a.Up} {
						if turn == nil {
							still++
							continue
						}
						turns++
						if !s.linear(a.Number) {
							searched++
						}
						// Both sides of the turn, as near as rounding lets them be told apart.
						step := 1e-6 * min(turn.Value, 1-turn.Value, math.Abs(turn.Value-a.Value))
						if turn.Value < a.Value {
							step = -step
						}
						_, before, ok := leadAt(t, &m, e, a.Number, turn.Value-step, all.Lead, turn.Leads)
						_, beyond, ok2 := leadAt(t, &m, e, a.Number, turn.Value+step, all.Lead, turn.Leads)
						if !ok || !ok2 {
							t.Errorf("round %d: %+v turns at %v, and cannot be there", round, a.Number, turn.Value)
							continue
						}
						if before < -1e-9 || beyond > 1e-9 || before < beyond {
							t.Errorf("round %d: %+v, now %v, turns at %v: ahead by %v before it and %v beyond", round, a.Number, a.Value, turn.Value, before, beyond)
						}
					}
					for k := range 9 {
						low, high := a.Low, a.High
						if a.Down != nil {
							low = a.Down.Value
						}
						if a.Up != nil {
							high = a.Up.Value
						}
						v := low + (high-low)*float64(k+1)/10
						lead, _, ok := leadAt(t, &m, e, a.Number, v, 0, 0)
						if ok && lead != all.Lead {
							t.Errorf("round %d: %+v, now %v: fault %d leads at %v, and no turn is told between %v and %v", round, a.Number, a.Value, lead, v, low, high)
						}
					}
				}
			}
			t.Logf("%d turns, %d by searching, %d without, %d idle", turns, searched, still, idle)
			if turns < 40 || searched < 2 || idle == 0 || still == 0 {
				t.Errorf("too little was tried: %d turns, %d by searching, %d without, %d idle", turns, searched, still, idle)
			}
		})
	}
}

// TestKeptIsNotIdle: two states that make a finding rarer push its chance below
// 0, where it is kept, so that a little more of one changes nothing; from 1/11
// on it does, since (1-0.01)(1-s)/(1-0.1) is then below 1.
func TestKeptIsNotIdle(t *testing.T) {
	m := Model{
		Faults:     []Fault{{0.2}, {0.1}},
		Conditions: []Condition{{[]float64{0.1}}, {[]float64{0.1}}},
		Links:      []Link{{0, 0, 0, 0.9}, {1, 1, 0, 0.9}},
		Findings:   []Finding{{[]Outcome{{Leak: 0.1, States: []Shown{{0, 0, 0.01}, {1, 0, 0}}}}}},
	}
	known := []KnownCondition{{0, []float64{0, 1}}, {1, []float64{0, 1}}}
	strength := Number{ShownStrength, 0, 0, 1}
	for _, row := range []struct {
		reason     string
		likelihood []float64
		idle       bool
	}{
		{"the finding is asked for", []float64{1, 0.3}, false},
		{"what was seen says nothing", []float64{0.3, 0.3}, true},
	} {
		s, err := NewSensitivity(m)
		if err != nil {
			t.Fatal(err)
		}
		all, err := s.Sways(Evidence{Seen: []Seen{{0, row.likelihood}}, Conditions: known})
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range all.Numbers {
			if a.Number == strength && (a.Idle != row.idle || a.ByLead != 0) {
				t.Errorf("%s: %+v", row.reason, a)
			}
		}
	}
}
