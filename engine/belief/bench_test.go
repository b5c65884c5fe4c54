package belief

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// shipped makes a network of the size and make-up of the shipped rules: 38
// faults, 11 conditions with 20 states, about 110 links, 75 findings. As there,
// most of what a fault or a finding has to do with belongs to one theme.
func shipped(r *rand.Rand) Model { return workshop(r, 0.85) }

// scattered is shipped without themes, which is harder than rules that people
// write.
func scattered(r *rand.Rand) Model { return workshop(r, 0) }

// workshop draws a network; themed is how often a choice keeps to its theme.
func workshop(r *rand.Rand, themed float64) Model {
	var m Model
	for _, states := range []int{2, 2, 1, 2, 4, 1, 2, 3, 1, 1, 1} {
		leaks := make([]float64, states)
		for i := range leaks {
			leaks[i] = []float64{0.01, 0.03, 0.1}[r.IntN(3)]
		}
		m.Conditions = append(m.Conditions, Condition{leaks})
	}
	themes := [][]int{{0, 1, 2}, {3, 4, 5}, {6, 7}, {8, 9, 10}}
	pick := func(theme int) (int, int) {
		c := r.IntN(len(m.Conditions))
		if r.Float64() < themed {
			c = themes[theme][r.IntN(len(themes[theme]))]
		}
		return c, r.IntN(len(m.Conditions[c].Leaks))
	}
	for f := range 38 {
		m.Faults = append(m.Faults, Fault{0.005 + 0.1*r.Float64()*r.Float64()})
		for range []int{1, 2, 2, 3, 3, 3, 4, 5}[r.IntN(8)] {
			c, s := pick(f % len(themes))
			m.Links = append(m.Links, Link{f, c, s, []float64{0.3, 0.6, 0.8, 0.95}[r.IntN(4)]})
		}
	}
	for k := range 75 {
		o := Outcome{Leak: []float64{0.01, 0.03, 0.1}[r.IntN(3)]}
		states, faults := 1, 0
		switch k % 15 {
		case 0, 1:
			states = 2
		case 2:
			states = 3 + r.IntN(2)
		case 3, 4:
			states, faults = 0, 1
		case 5:
			states, faults = 0, 2
		case 6:
			states, faults = 1, 1
		}
		seen := map[int]bool{}
		for len(o.States) < states {
			c, s := pick(k % len(themes))
			if len(seen) >= 2 { // a theme may have no more conditions
				c, s = pick(r.IntN(len(themes)))
			}
			if !seen[c] {
				seen[c] = true
				o.States = append(o.States, Shown{c, s, []float64{0.6, 0.8, 0.95}[r.IntN(3)]})
			}
		}
		for _, f := range r.Perm(38)[:faults] {
			o.Faults = append(o.Faults, FromFault{f, 0.95})
		}
		m.Findings = append(m.Findings, Finding{[]Outcome{o}})
	}
	return m
}

// seeing draws evidence: a share of the findings seen is doubtful.
func seeing(r *rand.Rand, m *Model, holds, not int, doubtful float64) Evidence {
	var e Evidence
	for i, f := range r.Perm(len(m.Findings))[:holds+not] {
		l := []float64{0, 1}
		if i < holds {
			l = []float64{1, 0}
		}
		if r.Float64() < doubtful {
			l[0], l[1] = 0.1+0.8*l[0], 0.1+0.8*l[1]
		}
		e.Seen = append(e.Seen, Seen{f, l})
	}
	return e
}

// thirty makes the network of 30 causes, 8 conditions and 60 findings whose
// timing by other methods the design states.
func thirty(r *rand.Rand) Model {
	var m Model
	for range 30 {
		m.Faults = append(m.Faults, Fault{0.01 + 0.1*r.Float64()})
	}
	for range 8 {
		m.Conditions = append(m.Conditions, Condition{[]float64{0.02}})
	}
	for f := range m.Faults {
		for _, c := range r.Perm(8)[:1+r.IntN(4)] {
			m.Links = append(m.Links, Link{f, c, 0, 0.3 + 0.6*r.Float64()})
		}
	}
	for range 60 {
		o := Outcome{Leak: 0.02}
		for _, c := range r.Perm(8)[:1+r.IntN(2)] {
			o.States = append(o.States, Shown{c, 0, 0.3 + 0.6*r.Float64()})
		}
		m.Findings = append(m.Findings, Finding{[]Outcome{o}})
	}
	return m
}

// large makes a network of the size of QMR-DT: 534 causes that show 4040
// findings directly through 40740 arcs (Shwe et al. 1991; from memory).
func large(r *rand.Rand) Model {
	var m Model
	for range 534 {
		m.Faults = append(m.Faults, Fault{0.001 + 0.01*r.Float64()})
	}
	for k := range 4040 {
		o := Outcome{Leak: 0.005}
		arcs := 10
		if k < 340 {
			arcs = 11
		}
		for _, f := range r.Perm(534)[:arcs] {
			o.Faults = append(o.Faults, FromFault{f, 0.05 + 0.9*r.Float64()})
		}
		m.Findings = append(m.Findings, Finding{[]Outcome{o}})
	}
	return m
}

type benchCase struct {
	n    *Network
	seen []Evidence
}

// cases draws several networks' evidence, so that no run gets used to one.
func cases(b testing.TB, of func(*rand.Rand) Model, networks, each, holds, not int, doubtful float64) []benchCase {
	var out []benchCase
	for k := range networks {
		r := rand.New(rand.NewPCG(7, uint64(k)))
		m := of(r)
		n, err := New(m)
		if err != nil {
			b.Fatal(err)
		}
		c := benchCase{n: n}
		for range each {
			e := seeing(r, &m, holds, not, doubtful)
			c.seen = append(c.seen, e)
		}
		out = append(out, c)
	}
	return out
}

// measure runs f on the cases in turn, and reports the median time besides the
// mean, which few hard cases dominate.
func measure(b *testing.B, of []benchCase, f func(n *Network, e Evidence) error) {
	took := make([]time.Duration, 0, 1<<16)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		c := of[i%len(of)]
		start := time.Now()
		if err := f(c.n, c.seen[i/len(of)%len(c.seen)]); err != nil {
			b.Fatal(err)
		}
		if len(took) < cap(took) {
			took = append(took, time.Since(start))
		}
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Nanoseconds()), "median-ns")
}

func benchPosterior(b *testing.B, of []benchCase) {
	var p Posterior
	measure(b, of, func(n *Network, e Evidence) error { return n.Posterior(e, &p) })
}

func BenchmarkPosterior(b *testing.B) {
	b.Run("shipped", func(b *testing.B) { benchPosterior(b, cases(b, shipped, 8, 8, 7, 15, 0.2)) })
	b.Run("scattered", func(b *testing.B) { benchPosterior(b, cases(b, scattered, 8, 8, 7, 15, 0.2)) })
	b.Run("thirty", func(b *testing.B) { benchPosterior(b, cases(b, thirty, 8, 8, 12, 20, 0.2)) })
	for _, holds := range []int{5, 10, 15} {
		b.Run(fmt.Sprintf("large%d", holds), func(b *testing.B) { benchPosterior(b, cases(b, large, 1, 4, holds, 4040-holds, 0)) })
	}
}

func BenchmarkExplain(b *testing.B) {
	of := cases(b, shipped, 8, 8, 7, 15, 0.2)
	run := func(name string, f func(n *Network, e Evidence) error) {
		b.Run(name, func(b *testing.B) { measure(b, of, f) })
	}
	states := func(n *Network, e Evidence) error { _, err := n.States(e); return err }
	sets := func(n *Network, e Evidence) error {
		for size := range MaxSet + 1 {
			if _, err := n.Sets(e, size, 3); err != nil {
				return err
			}
		}
		return nil
	}
	weigh := func(n *Network, e Evidence) error {
		left, err := n.LeaveOut(e)
		if err == nil {
			_, err = n.Conflict(e, left)
		}
		return err
	}
	run("states", states)
	run("sets", sets)
	run("weigh", weigh)
	run("all", func(n *Network, e Evidence) error { return errors.Join(states(n, e), sets(n, e), weigh(n, e)) })
}
