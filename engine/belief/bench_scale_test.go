//go:build unix

package belief

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"runtime"
	"syscall"
	"testing"
	"time"
)

// The tables "How cost grows" of docs/performance.md come from here:
//
//	go test -run '^$' -bench Scale ./engine/belief
//
// The figure printed there is cpu-ns, the computing time of one query on the
// average, which other work on the machine moves less than the clock's.

// processorTime is the computing time of this process so far.
func processorTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// askAll asks one network with several evidences in turn, and reports besides the
// time how many states were undecided at once in the hardest of them, and which
// share of them was refused as too wide. A network remembers the orders of
// elimination that it found; first makes it forget them before each query, else
// every evidence has been met before.
func askAll(b *testing.B, n *Network, seen []Evidence, first bool) {
	var p Posterior
	live, asked, refused := 0, 0, 0
	ask := func(e Evidence) {
		if first {
			n.orders.all = nil
		}
		var wide *TooWideError
		switch err := n.Posterior(e, &p); {
		case errors.As(err, &wide):
			live = max(live, wide.Live)
			refused++
		case err != nil:
			b.Fatal(err)
		default:
			live = max(live, p.LiveBits)
		}
		asked++
	}
	if !first {
		for _, e := range seen {
			ask(e)
		}
		asked, refused = 0, 0
	}
	runtime.GC()
	before := processorTime()
	for b.Loop() {
		for _, e := range seen {
			ask(e)
		}
	}
	b.ReportMetric(float64((processorTime()-before).Nanoseconds())/float64(asked), "cpu-ns")
	b.ReportMetric(float64(live), "live-bits")
	b.ReportMetric(float64(refused)/float64(asked), "refused")
	b.ReportMetric(0, "ns/op") // of all the evidences together, so no figure of one query
}

// both measures what is asked for the first time, and what was met before.
func both(b *testing.B, n *Network, seen []Evidence) {
	b.Run("first", func(b *testing.B) { askAll(b, n, seen, true) })
	b.Run("again", func(b *testing.B) { askAll(b, n, seen, false) })
}

func build(b *testing.B, m Model) *Network {
	b.Helper()
	n, err := New(m)
	if err != nil {
		b.Fatal(err)
	}
	return n
}

// enlarged makes a network of a number of systems, each of the size and make-up of
// the shipped rules. Of the links, and of what the findings show, one in fifty is
// turned to a condition of any system, so that all hang together.
func enlarged(r *rand.Rand, systems int) Model {
	var m Model
	for range systems {
		s := shipped(r)
		faults, conditions := len(m.Faults), len(m.Conditions)
		m.Faults = append(m.Faults, s.Faults...)
		m.Conditions = append(m.Conditions, s.Conditions...)
		for _, l := range s.Links {
			l.Fault += faults
			l.Condition += conditions
			m.Links = append(m.Links, l)
		}
		for _, f := range s.Findings {
			o := &f.Outcomes[0]
			for i := range o.States {
				o.States[i].Condition += conditions
			}
			for i := range o.Faults {
				o.Faults[i].Fault += faults
			}
			m.Findings = append(m.Findings, f)
		}
	}
	const stray = 0.02
	for i := range m.Links {
		if l := &m.Links[i]; r.Float64() < stray {
			l.Condition = r.IntN(len(m.Conditions))
			l.State = r.IntN(len(m.Conditions[l.Condition].Leaks))
		}
	}
	for _, f := range m.Findings {
		if o := f.Outcomes[0]; len(o.States) == 1 && r.Float64() < stray {
			o.States[0].Condition = r.IntN(len(m.Conditions))
			o.States[0].State = r.IntN(len(m.Conditions[o.States[0].Condition].Leaks))
		}
	}
	return m
}

// seenIn draws evidence on the findings from first on, of a given number.
func seenIn(r *rand.Rand, first, findings, holds, not int) Evidence {
	var e Evidence
	for i, f := range r.Perm(findings)[:holds+not] {
		l := []float64{0, 1}
		if i < holds {
			l = []float64{1, 0}
		}
		e.Seen = append(e.Seen, Seen{first + f, l})
	}
	return e
}

// BenchmarkScalePacks: packs of many systems. One car's readings belong to one
// system; "everywhere" are as many, of any; "every system" has so many of each.
func BenchmarkScalePacks(b *testing.B) {
	const findings, holds, not, draws = 75, 7, 15, 16
	for _, systems := range []int{1, 10, 100, 1000} {
		b.Run(fmt.Sprintf("x%d", systems), func(b *testing.B) {
			r := rand.New(rand.NewPCG(5, uint64(systems)))
			m := enlarged(r, systems)
			n := build(b, m)
			sizes := func(b *testing.B) {
				b.ReportMetric(float64(len(m.Faults)), "faults")
				b.ReportMetric(float64(len(m.Links)), "links")
				b.ReportMetric(float64(len(m.Findings)), "findings")
			}
			b.Run("build", func(b *testing.B) {
				before, built := processorTime(), 0
				for b.Loop() {
					build(b, m)
					built++
				}
				b.ReportMetric(float64((processorTime()-before).Nanoseconds())/float64(built), "cpu-ns")
				sizes(b)
			})
			var one, everywhere []Evidence
			var every Evidence
			for range draws {
				one = append(one, seenIn(r, findings*r.IntN(systems), findings, holds, not))
				everywhere = append(everywhere, seenIn(r, 0, len(m.Findings), holds, not))
			}
			for s := range systems {
				every.Seen = append(every.Seen, seenIn(r, s*findings, findings, holds, not).Seen...)
			}
			b.Run("one-system", func(b *testing.B) { both(b, n, one) })
			b.Run("everywhere", func(b *testing.B) { both(b, n, everywhere) })
			b.Run("every-system", func(b *testing.B) { askAll(b, n, []Evidence{every}, true) })
		})
	}
}

// BenchmarkScaleLarge: the size of the largest published network of the kind, with
// all other findings seen not to be, and with nothing known of them.
func BenchmarkScaleLarge(b *testing.B) {
	r := rand.New(rand.NewPCG(7, 0))
	m := large(r)
	n := build(b, m)
	for _, holds := range []int{5, 10, 15, 20, 25} {
		var all, only []Evidence
		for range 4 {
			all = append(all, seenIn(r, 0, len(m.Findings), holds, len(m.Findings)-holds))
			only = append(only, seenIn(r, 0, len(m.Findings), holds, 0))
		}
		b.Run(fmt.Sprintf("rest-absent/%d", holds), func(b *testing.B) { both(b, n, all) })
		b.Run(fmt.Sprintf("rest-unknown/%d", holds), func(b *testing.B) { both(b, n, only) })
	}
}

// grid makes a network whose faults are all tied to some of the conditions, with a
// number of findings seen to hold on each condition.
func grid(faults, conditions, links, findings int) (Model, Evidence) {
	r := rand.New(rand.NewPCG(3, 3))
	var m Model
	var e Evidence
	for range conditions {
		m.Conditions = append(m.Conditions, Condition{[]float64{0.05}})
	}
	for f := range faults {
		m.Faults = append(m.Faults, Fault{0.01})
		for _, c := range r.Perm(conditions)[:links] {
			m.Links = append(m.Links, Link{f, c, 0, 0.3 + 0.5*r.Float64()})
		}
	}
	for k := range findings {
		m.Findings = append(m.Findings, Finding{[]Outcome{{Leak: 0.1, States: []Shown{{k % conditions, 0, 0.6}}}}})
		e.Seen = append(e.Seen, holds(k))
	}
	return m, e
}

// BenchmarkScaleParts varies one figure at a time.
func BenchmarkScaleParts(b *testing.B) {
	part := func(name string, of int, faults, conditions, links, findings int) {
		b.Run(fmt.Sprintf("%s/%d", name, of), func(b *testing.B) {
			m, e := grid(faults, conditions, links, findings)
			both(b, build(b, m), []Evidence{e})
		})
	}
	for _, f := range []int{100, 1000, 10000} {
		part("faults", f, f, 10, 3, 10)
	}
	for _, l := range []int{1, 3, 10} { // of each fault
		part("links", l, 1000, 10, l, 10)
	}
	for _, k := range []int{10, 100, 1000, 10000} {
		part("rules", k, 100, 10, 3, k)
	}
	for live := 4; live <= MaxLive+2; live += 2 {
		part("live", live, 40, live, live, live)
	}
}
