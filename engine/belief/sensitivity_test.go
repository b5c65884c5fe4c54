package belief

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
)

// sensitiveShapes are networks with every form of evidence that the passes tell
// apart: with odd numbers, with several outcomes, and with joints of many parents.
var sensitiveShapes = map[string]shape{
	"plain":        {faults: 6, conditions: 3, states: 3, links: 12, findings: 8, seen: 6},
	"odd":          {faults: 6, conditions: 3, states: 2, links: 12, findings: 8, seen: 5, odd: true},
	"tangled":      {faults: 8, conditions: 5, states: 2, links: 25, findings: 12, seen: 9},
	"odd, tangled": {faults: 7, conditions: 5, states: 2, links: 20, findings: 10, seen: 6, odd: true},
	"sparse":       {faults: 6, conditions: 4, states: 2, links: 4, findings: 8, seen: 4, odd: true},
}

// relativeTo gives P(evidence)/whole by one number of the model.
func relativeTo(t *testing.T, m *Model, e Evidence, x Number, log float64) func(float64) float64 {
	return func(v float64) float64 {
		n, err := New(m.With(x, v))
		if err != nil {
			t.Fatalf("%+v at %v: %v", x, v, err)
		}
		var p Posterior
		if err := n.Posterior(e, &p); errors.Is(err, ErrImpossible) {
			return 0
		} else if err != nil {
			t.Fatal(err)
		}
		return math.Exp(p.LogEvidence - log)
	}
}

// bent tells whether a function has a kink at a number inside its range, where it
// has no derivative: a chance just reaches 0 there, and is kept at 0 beyond.
func bent(f func(float64) float64, at, low, high float64) bool {
	const h = 1e-5
	if at-low < 2*h || high-at < 2*h {
		return false
	}
	left, right := (f(at)-f(at-h))/h, (f(at+h)-f(at))/h
	return math.Abs(left-right) > 2e-4*max(math.Abs(left), math.Abs(right), 0.05)
}

// difference differentiates from inside a range, with gonum: central where there
// is room, else one-sided to the second order. It reports whether there is room.
func difference(f func(float64) float64, at, low, high float64) (float64, bool) {
	// Ends themselves are left out: a leak of 1 admits little.
	h := 1e-4 * (high - low)
	forward := fd.Formula{Stencil: []fd.Point{{Loc: 0, Coeff: -1.5}, {Loc: 1, Coeff: 2}, {Loc: 2, Coeff: -0.5}}, Derivative: 1, Step: h}
	backward := fd.Formula{Stencil: []fd.Point{{Loc: 0, Coeff: 1.5}, {Loc: -1, Coeff: -2}, {Loc: -2, Coeff: 0.5}}, Derivative: 1, Step: h}
	formula := fd.Central
	switch {
	case high-low < 1e-3:
		return 0, false
	case at-low < 2*h:
		formula = forward
	case high-at < 2*h:
		formula = backward
	}
	return fd.Derivative(f, at, &fd.Settings{Formula: formula, Step: min(h, 1e-4)}), true
}

func TestSensitivityAgainstFiniteDifferences(t *testing.T) {
	for name, shape := range sensitiveShapes {
		t.Run(name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(11, 3))
			tried, zero, kinks := 0, 0, 0
			for round := range 25 {
				m, e := shape.random(r)
				s, err := NewSensitivity(m)
				if err != nil {
					t.Fatal(err)
				}
				gradient, log, err := s.Gradient(e)
				if errors.Is(err, ErrImpossible) {
					continue
				}
				if err != nil {
					t.Fatal(err)
				}
				for i, x := range s.Numbers() {
					low, high := m.Range(x)
					f := relativeTo(t, &m, e, x, log)
					want, ok := difference(f, m.Value(x), low, high)
					if !ok {
						continue
					}
					if bent(f, m.Value(x), low, high) {
						kinks++
						continue
					}
					tried++
					if want == 0 {
						zero++
					}
					// Steps of 1e-4 leave 1e-8 of the third derivative, and rounding 1e-11.
					if !(math.Abs(gradient[i]-want) <= 1e-5*(1+math.Abs(want))) {
						t.Errorf("round %d: %+v, now %v: derivative %v, by differences %v", round, x, m.Value(x), gradient[i], want)
					}
				}
			}
			if kinks > tried/50 {
				t.Errorf("%d kinks for %d numbers", kinks, tried)
			}
			if tried < 600 || zero == tried {
				t.Errorf("only %d numbers were tried, %d of them without effect", tried, zero)
			}
		})
	}
}

// TestLogOddsAgainstFiniteDifferences differentiates each fault's log odds, as
// the posterior gives them, with gonum.
func TestLogOddsAgainstFiniteDifferences(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 29))
	tried := 0
	for range 12 {
		m, e := sensitiveShapes["tangled"].random(r)
		s, err := NewSensitivity(m)
		if err != nil {
			t.Fatal(err)
		}
		for f := range m.Faults {
			slopes, err := s.LogOdds(e, f)
			if err != nil {
				t.Fatal(err)
			}
			for i, x := range s.Numbers() {
				low, high := m.Range(x)
				logOdds := func(v float64) float64 {
					n, err := New(m.With(x, v))
					if err != nil {
						t.Fatal(err)
					}
					var p Posterior
					if err := n.Posterior(e, &p); err != nil {
						t.Fatal(err)
					}
					return p.LogOdds[f]
				}
				want, ok := difference(logOdds, m.Value(x), low, high)
				if !ok {
					continue
				}
				tried++
				// Odds may change by half in a step of 1e-4, where a prior or leak is small.
				if !(math.Abs(slopes[i]-want) <= 1e-4*(1+math.Abs(want))) {
					t.Errorf("fault %d by %+v: %v, by differences %v", f, x, slopes[i], want)
				}
			}
		}
	}
	if tried < 1000 {
		t.Errorf("only %d were tried", tried)
	}
}

// TestGradientByHand holds the smallest networks to what one can work out: a
// fault with prior p that shows in a finding s of the time, and l otherwise. With
// the finding seen, P = p s + (1-p) l.
func TestGradientByHand(t *testing.T) {
	const p, s, l = 0.2, 0.9, 0.1
	m := Model{Faults: []Fault{{p}}, Findings: []Finding{{[]Outcome{{Leak: l, Faults: []FromFault{{0, s}}}}}}}
	x, err := NewSensitivity(m)
	if err != nil {
		t.Fatal(err)
	}
	got, log, err := x.Gradient(Evidence{Seen: []Seen{{0, []float64{1, 0}}}})
	if err != nil {
		t.Fatal(err)
	}
	const whole = p*s + (1-p)*l
	for i, want := range []float64{(s - l) / whole, (1 - p) / whole, p / whole} {
		if !(math.Abs(got[i]-want) <= 1e-14) {
			t.Errorf("%+v: %v, want %v", x.Numbers()[i], got[i], want)
		}
	}
	if !(math.Abs(log-math.Log(whole)) <= 1e-15) {
		t.Errorf("ln P = %v, want %v", log, math.Log(whole))
	}
}

// TestSensitivityInSegments has tables too large for the memory, which the
// passes then make again piece by piece.
func TestSensitivityInSegments(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for range 20 {
		m, e := sensitiveShapes["tangled"].random(r)
		var out [2][]float64
		for k, memory := range []int{memoryNumbers, 16} {
			s, err := NewSensitivity(m)
			if err != nil {
				t.Fatal(err)
			}
			s.n.scratch.New = func() any {
				w := newWork(s.n)
				w.run.memory = memory
				return w
			}
			if out[k], _, err = s.Gradient(e); err != nil {
				t.Fatal(err)
			}
		}
		for i := range out[0] {
			if !(math.Abs(out[0][i]-out[1][i]) <= 1e-9*(1+math.Abs(out[0][i]))) {
				t.Errorf("%v at once, %v in segments", out[0][i], out[1][i])
			}
		}
	}
}

// TestSensitivityRefuses has mistakes of callers come back as errors.
func TestSensitivityRefuses(t *testing.T) {
	if _, err := NewSensitivity(Model{Faults: []Fault{{2}}}); err == nil {
		t.Error("a prior of 2 was taken")
	}
	s, err := NewSensitivity(Model{Faults: []Fault{{0.5}}, Findings: []Finding{{[]Outcome{{Leak: 0}}}}})
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := s.Gradient(Evidence{Seen: []Seen{{7, nil}}}); err == nil {
		t.Error("a finding that is not there was taken")
	}
	if _, _, err := s.Gradient(Evidence{Seen: []Seen{{0, []float64{1, 0}}}}); !errors.Is(err, ErrImpossible) {
		t.Errorf("what cannot be gave %v", err)
	}
	if _, err := s.Sways(Evidence{Seen: []Seen{{0, []float64{1, 0}}}}); !errors.Is(err, ErrImpossible) {
		t.Errorf("what cannot be gave %v", err)
	}
	none, err := NewSensitivity(Model{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := none.Sways(Evidence{}); err == nil {
		t.Error("without a fault one leads")
	}
	if _, err := s.LogOdds(Evidence{Faults: []KnownFault{{0, 1, 0}}}, 0); !errors.Is(err, ErrImpossible) {
		t.Errorf("a certain fault gave %v", err)
	}
}
