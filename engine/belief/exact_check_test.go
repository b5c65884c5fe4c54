package belief

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

var wildShapes = []wild{
	{faults: 4, conditions: 2, states: 3, links: 8, findings: 6},
	{faults: 6, conditions: 3, states: 2, links: 14, findings: 10},
	{faults: 5, conditions: 4, states: 2, links: 14, findings: 8},
	{faults: 3, conditions: 2, states: 6, links: 10, findings: 5},
	{faults: 7, conditions: 3, states: 1, links: 12, findings: 14},
	{faults: 4, conditions: 4, states: 3, links: 12, findings: 4},
}

// TestExactDigits: both ways, and what Posterior makes of them, keep 11 digits of every
// probability, odds and ln P against numbers of 320 bits, however small they are.
func TestExactDigits(t *testing.T) {
	ways, eliminated, possible := map[string]int{}, 0, 0
	for seed := range uint64(1200) {
		r := rand.New(rand.NewPCG(seed, 77))
		s := wildShapes[seed%uint64(len(wildShapes))]
		s.decades = pick(r, 3, 30, 70)
		m, e := s.random(r)
		n := must(t, m)
		x := newExact(m, e)
		c := &closeTo{t: t, m: m, name: fmt.Sprintf("seed %d", seed)}
		var p Posterior
		err := n.Posterior(e, &p)
		if x.total.Sign() == 0 {
			if !errors.Is(err, ErrImpossible) {
				t.Errorf("seed %d: impossible evidence gives %v", seed, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("seed %d: %v", seed, err)
			continue
		}
		possible++
		c.logs("ln P", p.LogEvidence, lnBig(x.total))
		c.shares("none", p.None, ratio(x.none, x.total))
		w := newWork(n)
		for _, way := range []string{"passes", "elimination"} {
			c.way = way
			if err := w.reduce(&e, -1); err != nil {
				t.Fatal(err)
			}
			if way == "passes" {
				err = errors.Join(w.lay(), w.backward(true))
			} else {
				p := anyProgram(w)
				if p == nil {
					continue
				}
				eliminated++
				w.elim.use(w, p)
				w.elim.count(ways)
				err = errors.Join(w.elim.forward(w), w.elim.backward(w))
			}
			if err != nil {
				t.Fatalf("seed %d, %s: %v", seed, way, err)
			}
			c.logs("ln P", w.logEvidence(), lnBig(x.total))
			for f := range m.Faults {
				p, logOdds := w.fault(f)
				c.shares(fmt.Sprintf("fault %d", f), p, ratio(x.present[f], x.total))
				c.logs(fmt.Sprintf("log odds of fault %d", f), logOdds, lnBig(x.present[f])-lnBig(x.absent[f]))
			}
		}
		states, err := n.States(e)
		if err != nil {
			t.Errorf("seed %d: %v", seed, err)
		}
		for i := range states {
			for k, got := range states[i] {
				c.shares(fmt.Sprintf("condition %d, state %d", i, k), got, ratio(x.state[i][k+1], x.total))
			}
		}
		if t.Failed() {
			t.Fatalf("%+v, evidence %+v", m, e)
		}
	}
	if possible < 800 || eliminated < 800 {
		t.Errorf("only %d possible, %d eliminated", possible, eliminated)
	}
	for _, way := range []string{"apart", "cumulative", "negative", "merged", "switch", "negative switch", "value", "acts"} {
		if ways[way] < 15 {
			t.Errorf("%d times %s", ways[way], way)
		}
	}
}

// closeTo compares answers with exact ones.
type closeTo struct {
	t         *testing.T
	m         Model
	name, way string
}

// exactDigits is how far off an answer may be: 11 digits.
const exactDigits = 1e-11

func (c *closeTo) shares(what string, got, want float64) {
	if math.Abs(got-want) <= exactDigits*want || want < 1e-200 && got < 1e-200 && got >= 0 {
		return // what is less may be lost, see the package comment
	}
	c.t.Errorf("%s, %s: %s %v, exactly %v", c.name, c.way, what, got, want)
}

func (c *closeTo) logs(what string, got, want float64) {
	if got == want || math.Abs(got-want) <= exactDigits*max(1, math.Abs(want)) || math.Abs(want) > 500 && got*want > 0 {
		return
	}
	c.t.Errorf("%s, %s: %s %v, exactly %v", c.name, c.way, what, got, want)
}

// lnBig returns ln x, -Inf for 0.
func lnBig(x *big.Float) float64 {
	if x.Sign() == 0 {
		return math.Inf(-1)
	}
	m := new(big.Float)
	exp := x.MantExp(m)
	f, _ := m.Float64()
	return math.Log(f) + float64(exp)*math.Ln2
}

func ratio(a, b *big.Float) float64 {
	r, _ := real0().Quo(a, b).Float64()
	return r
}
