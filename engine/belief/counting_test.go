package belief

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"testing"

	"github.com/dalzilio/rudd"
)

// counter is a reference that works another way altogether: the model and its
// evidence as one formula over independent weighted Boolean variables, held as
// a binary decision diagram, whose weighted models are counted (Chavira and
// Darwiche 2008, "On probabilistic inference by weighted model counting"; from
// memory).
type counter struct {
	bdd    *rudd.BDD
	weight []float64 // by variable: the probability that it is true
	prior  []float64
	faults []int         // by fault: its variable, or -1 if nothing asked for it yet
	states [][]rudd.Node // by condition: that this state is its value
	used   int
}

// chance returns a new variable that is true with probability p, or a constant
// where that is certain.
func (c *counter) chance(p float64) rudd.Node {
	if p == 0 || p == 1 {
		return c.bdd.From(p == 1)
	}
	c.weight[c.used] = p
	c.used++
	return c.bdd.Ithvar(c.used - 1)
}

// fault returns a fault's variable, and makes it on first use: that order keeps
// the diagram small.
func (c *counter) fault(f int) rudd.Node {
	if c.faults[f] < 0 {
		c.faults[f] = c.used
		c.chance(c.prior[f])
	}
	return c.bdd.Ithvar(c.faults[f])
}

const counterVariables = 400

func newCounter(t *testing.T, m Model, e Evidence) (*counter, rudd.Node) {
	t.Helper()
	bdd, err := rudd.New(counterVariables, rudd.Nodesize(1<<18), rudd.Cachesize(1<<16))
	if err != nil {
		t.Fatal(err)
	}
	c := &counter{bdd: bdd, weight: make([]float64, counterVariables)}
	for _, f := range m.Faults {
		c.prior = append(c.prior, f.Prior)
		c.faults = append(c.faults, -1)
	}
	c.states = make([][]rudd.Node, len(m.Conditions))
	formula := bdd.True()
	// The order of variables decides the diagram's size: a finding's come as soon
	// as the conditions that it shows are there.
	for k := -1; k < len(m.Conditions); k++ {
		if k >= 0 {
			c.states[k] = c.condition(m, e, k)
		}
		for _, s := range e.Seen {
			if lastCondition(m.Findings[s.Finding]) == k {
				formula = bdd.And(formula, c.seen(m, s))
			}
		}
	}
	if bdd.Errored() {
		t.Fatal(bdd.Error())
	}
	return c, formula
}

// lastCondition returns the last condition that a finding shows, or -1.
func lastCondition(f Finding) int {
	last := -1
	for _, o := range f.Outcomes {
		for _, s := range o.States {
			last = max(last, s.Condition)
		}
	}
	return last
}

// condition encodes which states are caused, and which of them is the value.
func (c *counter) condition(m Model, e Evidence, k int) []rudd.Node {
	b := c.bdd
	var caused []rudd.Node
	for s, leak := range m.Conditions[k].Leaks {
		on := c.chance(leak)
		for i, l := range m.Links {
			if l.Condition == k && l.State == s {
				p := (l.Strength - leak) / (1 - leak)
				if e.Acting != nil {
					p *= e.Acting[i]
				}
				on = b.Or(on, b.And(c.fault(l.Fault), c.chance(p)))
			}
		}
		caused = append(caused, on)
	}
	value := make([]rudd.Node, len(caused))
	for s := range value {
		value[s] = b.False()
	}
	for set := 1; set < 1<<len(caused); set++ {
		exactly := b.True()
		for s, on := range caused {
			if set>>s&1 == 1 {
				exactly = b.And(exactly, on)
			} else {
				exactly = b.And(exactly, b.Not(on))
			}
		}
		left := bits.OnesCount(uint(set))
		for s := range caused {
			if set>>s&1 == 0 {
				continue
			}
			pick := b.True()
			if left > 1 {
				pick = c.chance(1 / float64(left))
			}
			value[s] = b.Or(value[s], b.And(exactly, pick))
			exactly = b.And(exactly, b.Not(pick))
			left--
		}
	}
	return value
}

// seen encodes virtual evidence: a variable for each outcome that is true as
// often as what was seen is likely.
func (c *counter) seen(m Model, s Seen) rudd.Node {
	b := c.bdd
	most := 0.0
	for _, l := range s.Likelihood {
		most = math.Max(most, l)
	}
	formula, none := b.False(), b.True()
	for j, arises := range c.outcomes(m.Findings[s.Finding]) {
		formula = b.Or(formula, b.And(arises, c.chance(s.Likelihood[j]/most)))
		none = b.And(none, b.Not(arises))
	}
	return b.Or(formula, b.And(none, c.chance(s.Likelihood[len(s.Likelihood)-1]/most)))
}

// outcomes encodes which outcome of a finding arises. One that shows a single
// condition goes by a table of its values, so that a state may make it rarer;
// else by noisy-OR.
func (c *counter) outcomes(f Finding) []rudd.Node {
	b := c.bdd
	condition, single := -1, true
	for _, o := range f.Outcomes {
		single = single && len(o.Faults) == 0
		for _, s := range o.States {
			single = single && (condition < 0 || condition == s.Condition)
			condition = s.Condition
		}
	}
	if single && (condition >= 0 || len(f.Outcomes) > 1) {
		return c.table(f, condition)
	}
	o := f.Outcomes[0]
	holds := c.chance(o.Leak)
	for _, s := range o.States {
		holds = b.Or(holds, b.And(c.states[s.Condition][s.State], c.chance((s.Strength-o.Leak)/(1-o.Leak))))
	}
	for _, p := range o.Faults {
		holds = b.Or(holds, b.And(c.fault(p.Fault), c.chance((p.Strength-o.Leak)/(1-o.Leak))))
	}
	return []rudd.Node{holds}
}

func (c *counter) table(f Finding, condition int) []rudd.Node {
	b := c.bdd
	out := make([]rudd.Node, len(f.Outcomes))
	for j := range out {
		out[j] = b.False()
	}
	values := []rudd.Node{b.True()} // that no state is the value, then each state
	if condition >= 0 {
		values = append(values, c.states[condition]...)
	}
	for _, is := range values[1:] {
		values[0] = b.And(values[0], b.Not(is))
	}
	for v, is := range values {
		left := 1.0
		for j := range f.Outcomes {
			p := f.Outcomes[j].Leak
			for _, s := range f.Outcomes[j].States {
				if s.State == v-1 {
					p = s.Strength
				}
			}
			arises := b.And(is, c.chance(p/left))
			out[j] = b.Or(out[j], arises)
			is = b.And(is, b.Not(arises))
			left -= p
		}
	}
	return out
}

// diagram is a formula's diagram as numbers: 0 is false, 1 true.
type diagram struct {
	root  int
	nodes map[int][3]int // variable, node if false, node if true
}

func (c *counter) diagram(t *testing.T, formula rudd.Node) diagram {
	t.Helper()
	d := diagram{root: *formula, nodes: map[int][3]int{}}
	err := c.bdd.Allnodes(func(id, level, low, high int) error {
		d.nodes[id] = [3]int{level, low, high}
		return nil
	}, formula)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// count returns the probability of a diagram. Variables that a path skips count
// 1, as their two weights add up to 1.
func (c *counter) count(d diagram) float64 {
	memo := map[int]float64{0: 0, 1: 1}
	var from func(id int) float64
	from = func(id int) float64 {
		if p, known := memo[id]; known {
			return p
		}
		n := d.nodes[id]
		w := c.weight[n[0]]
		memo[id] = (1-w)*from(n[1]) + w*from(n[2])
		return memo[id]
	}
	return from(d.root)
}

// TestPosteriorIsThatOfModelCounting uses networks too large to enumerate.
func TestPosteriorIsThatOfModelCounting(t *testing.T) {
	s := shape{faults: 12, conditions: 5, states: 2, links: 16, findings: 20, seen: 12}
	for seed := range uint64(8) {
		r := rand.New(rand.NewPCG(seed, 5))
		m, e := s.random(r)
		if seed%2 == 1 { // soft evidence on every third finding, links that act in part
			for i := range e.Seen {
				for j := range e.Seen[i].Likelihood {
					if i%3 == 0 {
						e.Seen[i].Likelihood[j] = 0.1 + r.Float64()
					}
				}
			}
			for range m.Links {
				e.Acting = append(e.Acting, r.Float64())
			}
		}
		p := posterior(t, must(t, m), e)
		c, formula := newCounter(t, m, e)
		d := c.diagram(t, formula)
		total := c.count(d)
		t.Logf("seed %d: %d live, %d variables", seed, p.LiveBits, c.used)
		if math.Abs(p.LogEvidence-scaledLog(total, e)) > 1e-9 {
			t.Errorf("seed %d: ln P(evidence) %v, counting %v", seed, p.LogEvidence, scaledLog(total, e))
		}
		for f := range m.Faults {
			want := m.Faults[f].Prior
			if v := c.faults[f]; v >= 0 {
				c.weight[v] = 1
				want *= c.count(d) / total
				c.weight[v] = m.Faults[f].Prior
			}
			if math.Abs(p.Faults[f]-want) > 1e-9*want {
				t.Errorf("seed %d, fault %d: %v, counting %v", seed, f, p.Faults[f], want)
			}
		}
	}
}

// scaledLog puts back what the encoding divides likelihoods by.
func scaledLog(total float64, e Evidence) float64 {
	log := math.Log(total)
	for _, s := range e.Seen {
		most := 0.0
		for _, l := range s.Likelihood {
			most = math.Max(most, l)
		}
		log += math.Log(most)
	}
	return log
}
