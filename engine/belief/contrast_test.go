package belief

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// jointBrute enumerates the joint prediction of findings given exactly a set of
// faults, by the definition alone.
func jointBrute(m Model, acting []float64, set int, findings []int) []float64 {
	b := &brute{m: m, e: Evidence{Acting: acting}, values: make([]int, len(m.Conditions))}
	joint := []float64{}
	size := 1
	for _, f := range findings {
		size *= len(m.Findings[f].Outcomes) + 1
	}
	joint = make([]float64, size)
	var caused func(c int, p float64)
	caused = func(c int, p float64) {
		if p == 0 {
			return
		}
		if c == len(m.Conditions) {
			rows := []float64{p}
			for _, f := range findings {
				var next []float64
				for _, q := range b.outcomes(set, f) {
					if q < 1e-14 {
						q = 0 // a difference to 1 that is nothing but rounding would make a finite divergence of an infinite one
					}
					for _, x := range rows {
						next = append(next, x*q)
					}
				}
				rows = next
			}
			for i, x := range rows {
				joint[i] += x
			}
			return
		}
		b.eachValue(set, c, p, func(q float64) { caused(c+1, q) })
	}
	caused(0, 1)
	return joint
}

func listed(set int) []int {
	out := []int{}
	for f := 0; set>>f > 0; f++ {
		if set>>f&1 == 1 {
			out = append(out, f)
		}
	}
	return out
}

// TestOutsideExpectedWeight holds the expected weight of evidence to gonum's
// Kullback-Leibler divergence of joint predictions that were enumerated apart,
// for all pairs of sets of random networks; and the bounds of a contrast that may
// make small tables only to the same number.
func TestOutsideExpectedWeight(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 14))
	compared, bounded, tight := 0, 0, 0
	for range 60 {
		s := shape{faults: 3, conditions: 1 + r.IntN(3), states: 2, links: 1 + r.IntN(6), findings: 5, odd: r.IntN(2) == 0}
		m, e := s.random(r)
		n, err := New(m)
		if err != nil {
			t.Fatal(err)
		}
		findings := r.Perm(5)[:1+r.IntN(5)]
		c, err := n.Contrast(e, findings)
		if err != nil {
			t.Fatal(err)
		}
		small, err := n.contrast(e, findings, 4, 40)
		if err != nil {
			t.Fatal(err)
		}
		var joint [][]float64
		for set := range 8 {
			joint = append(joint, jointBrute(m, e.Acting, set, findings))
		}
		for a := range 8 {
			for b := range 8 {
				want := 10 / math.Ln10 * stat.KullbackLeibler(joint[a], joint[b])
				got, err := c.Expected(listed(a), listed(b))
				if err != nil {
					t.Fatal(err)
				}
				if got.Least != got.Most || !alike(got.Least, want) {
					t.Fatalf("sets %b and %b: %v, gonum %v\n%+v", a, b, got, want, m)
				}
				compared++
				within, err := small.Expected(listed(a), listed(b))
				if err != nil {
					t.Fatal(err)
				}
				if within.Least > want+1e-9 || within.Most < want-1e-9 {
					t.Fatalf("sets %b and %b: %v does not hold %v\n%+v", a, b, within, want, m)
				}
				if within.Least < within.Most {
					bounded++
				} else {
					tight++
				}
			}
		}
	}
	if compared < 3000 || bounded < 100 || tight < 100 {
		t.Errorf("%d compared, %d bounded, %d not; too few", compared, bounded, tight)
	}
}

// alike allows 1e-9 of the number, and of 1 where it is small.
func alike(a, b float64) bool {
	return a == b || math.Abs(a-b) <= 1e-9*max(1, math.Abs(b))
}

// TestContrastLaws: nothing tells a set from itself, what is seen besides never
// takes evidence away, and which findings come first does not matter.
func TestContrastLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(27, 18))
	for range 40 {
		m, e := shape{faults: 3, conditions: 3, states: 2, links: 5, findings: 5, odd: true}.random(r)
		n, err := New(m)
		if err != nil {
			t.Fatal(err)
		}
		order := r.Perm(5)
		less, _ := n.Contrast(e, order[:4])
		more, _ := n.Contrast(e, order)
		back, _ := n.Contrast(e, []int{order[4], order[3], order[2], order[1], order[0]})
		for a := range 8 {
			for b := range 8 {
				x, _ := less.Expected(listed(a), listed(b))
				y, _ := more.Expected(listed(a), listed(b))
				z, _ := back.Expected(listed(a), listed(b))
				if a == b && y != (Apart{}) {
					t.Errorf("a set is %v apart from itself", y)
				}
				if y.Least < x.Least-1e-9 || !alike(y.Least, z.Least) {
					t.Errorf("sets %b and %b: %v with four findings, %v with five, %v in another order", a, b, x, y, z)
				}
			}
		}
	}
}

func TestContrastRefuses(t *testing.T) {
	m, _ := shape{faults: 5, conditions: 1, states: 1, links: 1, findings: 2}.random(rand.New(rand.NewPCG(1, 1)))
	n, err := New(m)
	if err != nil {
		t.Fatal(err)
	}
	for because, findings := range map[string][]int{"a finding that is not there": {2}, "a finding below nought": {-1}, "a finding twice": {1, 1}} {
		if _, err := n.Contrast(Evidence{}, findings); err == nil {
			t.Errorf("%s: taken", because)
		}
	}
	if _, err := n.Contrast(Evidence{Acting: []float64{2}}, nil); err == nil {
		t.Error("acting above 1: taken")
	}
	c, err := n.Contrast(Evidence{}, []int{0})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Expected([]int{5}, nil); err == nil {
		t.Error("a fault that is not there: taken")
	}
}
