package belief

import (
	"slices"
	"sync"
)

// Network is a checked model made ready for queries. Its answers do not change, and it is
// safe for concurrent use.
type Network struct {
	prior    []float64
	first    []int32   // by condition: its first state in leak; one more at the end
	leak     []float64 // by state, all conditions in a row
	links    []link    // as the model has them
	into     lists     // by state: its links
	out      lists     // by fault: its links
	findings []finding
	scratch  sync.Pool // of *work
	orders   orders
	programs programs
	lone     loneChances
}

// link is a cause of a state: the state stays off with probability off when it
// is otherwise off, and on + off = 1.
type link struct {
	fault, state int32
	on, off      float64
}

// acting returns what link k does as far as it acts.
func (l *link) acting(k int32, acting []float64) (on, off float64) {
	if acting == nil {
		return l.on, l.off
	}
	t := acting[k]
	return t * l.on, (1 - t) + t*l.off
}

// finding is a finding reduced to the parents that matter to it.
type finding struct {
	outcomes int
	leak     float64     // one outcome: its leak
	shown    []shown     // one outcome: conditions, each once
	faults   []cause     // one outcome: faults
	least    float64     // one outcome: a lower bound of the chance that it does not arise
	most     float64     // one outcome: an upper bound of the chance that it arises
	inhibits bool        // one outcome: a state makes it rarer
	clamps   bool        // one outcome: states can push the chance below 0
	shownBy  int32       // several outcomes: the condition, or -1
	chances  [][]float64 // several outcomes: by value of that condition, by outcome, "none of them" last
}

// shown is the part of a finding that depends on one condition, by its value:
// 0 for none, 1 for its first state.
type shown struct {
	condition int32
	chance    []float64 // the outcome's chance when nothing else is present
	on        []float64 // (p-l)/(1-l), negative where the state makes it rarer
	off       []float64 // (1-p)/(1-l)
}

// cause is a fault as a parent of a finding, in the form of a link; chance is the
// outcome's chance when nothing else is present.
type cause struct {
	fault   int32
	chance  float64
	on, off float64
}

// lists holds short lists of int32 in one array.
type lists struct {
	start []int32
	items []int32
}

func (l *lists) of(i int32) []int32 { return l.items[l.start[i]:l.start[i+1]] }

// New returns the network of a model, or what [Model.Check] says.
func New(m Model) (*Network, error) {
	if err := m.Check(); err != nil {
		return nil, err
	}
	n := &Network{first: make([]int32, 1, len(m.Conditions)+1)}
	for _, f := range m.Faults {
		n.prior = append(n.prior, f.Prior)
	}
	for _, c := range m.Conditions {
		n.leak = append(n.leak, c.Leaks...)
		n.first = append(n.first, int32(len(n.leak)))
	}
	for _, l := range m.Links {
		state := n.first[l.Condition] + int32(l.State)
		on, off := surplus(l.Strength, n.leak[state])
		n.links = append(n.links, link{int32(l.Fault), state, on, off})
	}
	n.into = gather(len(n.leak), n.links, func(l link) int32 { return l.state })
	n.out = gather(len(n.prior), n.links, func(l link) int32 { return l.fault })
	for f := range m.Findings {
		n.findings = append(n.findings, n.newFinding(m.Findings[f].Outcomes))
	}
	n.scratch.New = func() any { return newWork(n) }
	return n, nil
}

// Faults returns how many faults the network has.
func (n *Network) Faults() int { return len(n.prior) }

// surplus returns what a cause of strength p adds to a leak l, as the chances
// that it does and does not turn the effect on where the leak did not. It is
// negative for p below l. Each is computed from its own difference, so that
// both keep their digits near 0.
func surplus(p, l float64) (on, off float64) {
	if l == 1 {
		return 0, 1
	}
	return (p - l) / (1 - l), (1 - p) / (1 - l)
}

func gather(n int, links []link, key func(link) int32) lists {
	l := lists{start: make([]int32, n+1), items: make([]int32, len(links))}
	for _, k := range links {
		l.start[key(k)+1]++
	}
	for i := range n {
		l.start[i+1] += l.start[i]
	}
	next := append([]int32(nil), l.start...)
	for i, k := range links {
		l.items[next[key(k)]] = int32(i)
		next[key(k)]++
	}
	return l
}

func (n *Network) states(condition int32) int {
	return int(n.first[condition+1] - n.first[condition])
}

func (n *Network) newFinding(outcomes []Outcome) finding {
	f := finding{outcomes: len(outcomes), shownBy: -1}
	if len(outcomes) > 1 {
		n.addChances(&f, outcomes)
		return f
	}
	o := &outcomes[0]
	f.leak = o.Leak
	for _, s := range o.States {
		if s.Strength != o.Leak { // else it tells nothing
			f.addState(n, s)
		}
	}
	f.least, f.most = 1-o.Leak, o.Leak
	most := 1 - o.Leak
	for i := range f.shown {
		low, high := 1.0, 1.0
		for _, r := range f.shown[i].off {
			low, high = min(low, r), max(high, r)
		}
		f.least *= low
		f.most += slices.Max(f.shown[i].chance) - o.Leak
		most *= high
	}
	// One condition alone cannot push the chance below 0; a rounding above 1
	// must not make it look so.
	f.clamps = len(f.shown) > 1 && most > 1
	for _, p := range o.Faults {
		if p.Strength == o.Leak {
			continue
		}
		on, off := surplus(p.Strength, o.Leak)
		f.faults = append(f.faults, cause{int32(p.Fault), p.Strength, on, off})
		f.least *= off
		f.most += p.Strength - o.Leak
	}
	return f
}

// addState enters a state that the only outcome shows.
func (f *finding) addState(n *Network, s Shown) {
	c := int32(s.Condition)
	at := -1
	for i := range f.shown {
		if f.shown[i].condition == c {
			at = i
		}
	}
	if at < 0 {
		at = len(f.shown)
		values := n.states(c) + 1
		new := shown{c, make([]float64, values), make([]float64, values), make([]float64, values)}
		for v := range values {
			new.chance[v] = f.leak
			new.off[v] = 1
		}
		f.shown = append(f.shown, new)
	}
	on, off := surplus(s.Strength, f.leak)
	f.shown[at].chance[s.State+1] = s.Strength
	f.inhibits = f.inhibits || s.Strength < f.leak
	f.shown[at].on[s.State+1] = on
	f.shown[at].off[s.State+1] = off
}

// addChances enters the table of a finding with several outcomes.
func (n *Network) addChances(f *finding, outcomes []Outcome) {
	values := 1
	for _, o := range outcomes {
		for _, s := range o.States {
			f.shownBy = int32(s.Condition)
			values = n.states(f.shownBy) + 1
		}
	}
	for v := range values {
		row := make([]float64, len(outcomes)+1)
		sum := 0.0
		for j := range outcomes {
			row[j] = outcomes[j].chance(v)
			sum += row[j]
		}
		row[len(outcomes)] = max(0, 1-sum)
		if row[len(outcomes)] < 1e-15 { // adds up to 1 on paper
			row[len(outcomes)] = 0
		}
		f.chances = append(f.chances, row)
	}
}
