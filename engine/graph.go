package engine

import (
	"fmt"
	"slices"

	"culprit/engine/rulefile"
)

// Graph is the network of a pack, or a part of it: faults bring states of
// conditions, rules show states and faults, and readings are what rules name. It
// holds what the rules say, in the order of the pack; nothing is worked out.
type Graph struct {
	Version int    `json:"version"`
	Pack    string `json:"pack"`
	// Asked are the ids whose neighbourhood this is; empty for the whole pack, which
	// comes without its readings.
	Asked      []string         `json:"asked"`
	Faults     []GraphFault     `json:"faults"`
	Conditions []GraphCondition `json:"conditions"`
	Rules      []GraphRule      `json:"rules"`
	Readings   []GraphReading   `json:"readings"`
}

// GraphVersion is the version of the JSON form of [Graph].
const GraphVersion = 1

// GraphFault is a fault with the states that it brings.
type GraphFault struct {
	Fault  string      `json:"fault"`
	Label  string      `json:"label"`
	Asked  bool        `json:"asked"`
	Brings []GraphLink `json:"brings"`
}

// GraphLink is one state that a fault brings.
type GraphLink struct {
	Condition string  `json:"condition"`
	State     string  `json:"state"`
	Strength  float64 `json:"strength"`
	Given     string  `json:"given,omitempty"`
}

// GraphCondition is a condition with its states.
type GraphCondition struct {
	Condition string       `json:"condition"`
	Label     string       `json:"label"`
	States    []GraphState `json:"states"`
}

// GraphState is a state and how often it comes of itself.
type GraphState struct {
	State    string  `json:"state"`
	Label    string  `json:"label"`
	OfItself float64 `json:"of_itself"`
	Asked    bool    `json:"asked"`
}

// GraphRule is a rule with what it shows: states, or faults directly.
type GraphRule struct {
	Rule      string       `json:"rule"`
	Says      string       `json:"says"`
	Asked     bool         `json:"asked"`
	Otherwise float64      `json:"otherwise"`
	Shows     []GraphShown `json:"shows"`
	Reads     []string     `json:"reads"` // readings that its question names
}

// GraphShown is one thing that a rule shows: a fault, or a state.
type GraphShown struct {
	Fault     string  `json:"fault,omitempty"`
	Condition string  `json:"condition,omitempty"`
	State     string  `json:"state,omitempty"`
	Strength  float64 `json:"strength"`
}

// GraphReading is a reading that a rule of the graph names.
type GraphReading struct {
	Reading string `json:"reading"`
	Label   string `json:"label"`
	Asked   bool   `json:"asked"`
}

// stateKey is a state by its condition and index.
type stateKey struct {
	condition *rulefile.Condition
	state     int
}

// part says what of a pack a graph takes. Links between what it takes come along.
type part struct {
	faults map[*rulefile.Fault]bool
	states map[stateKey]bool
	rules  map[*rulefile.Rule]bool
	asked  map[any]bool // of faults, states, rules and readings
}

// Graph gives the whole network, or what the ids are linked to: of a fault its
// states and the rules that show these or the fault; of a condition or state the
// faults that bring it and the rules that show it; of a rule what it shows and
// the faults behind that; of a reading or check the rules that it bears on and
// what these show. Errors wrap ErrNoID.
func (p *Pack) Graph(ids ...string) (*Graph, error) {
	in := &part{map[*rulefile.Fault]bool{}, map[stateKey]bool{}, map[*rulefile.Rule]bool{}, map[any]bool{}}
	for _, id := range ids {
		if err := p.take(id, in); err != nil {
			return nil, err
		}
	}
	if len(ids) == 0 {
		p.takeAll(in)
	}
	g := &Graph{Version: GraphVersion, Pack: p.name, Asked: append([]string{}, ids...),
		Faults: []GraphFault{}, Conditions: []GraphCondition{}, Rules: []GraphRule{}, Readings: []GraphReading{}}
	for _, f := range p.rules.Faults {
		if in.faults[f] {
			g.Faults = append(g.Faults, in.fault(f))
		}
	}
	for _, c := range p.rules.Conditions {
		out := GraphCondition{Condition: c.ID, Label: c.Label, States: []GraphState{}}
		for i, s := range c.States {
			if key := (stateKey{c, i}); in.states[key] {
				out.States = append(out.States, GraphState{s.ID, s.Label, s.OfItself, in.asked[key]})
			}
		}
		if len(out.States) > 0 {
			g.Conditions = append(g.Conditions, out)
		}
	}
	read := map[int]bool{}
	for _, r := range p.rules.Rules {
		if in.rules[r] {
			g.Rules = append(g.Rules, in.rule(p, r))
			for _, i := range r.When.Reads() {
				read[i] = len(ids) > 0
			}
		}
	}
	for _, x := range p.rules.Readings {
		if read[x.Index] || in.asked[x] {
			g.Readings = append(g.Readings, GraphReading{x.ID, x.Label, in.asked[x]})
		}
	}
	return g, nil
}

func (in *part) fault(f *rulefile.Fault) GraphFault {
	out := GraphFault{Fault: f.ID, Label: f.Label, Asked: in.asked[f], Brings: []GraphLink{}}
	for _, b := range f.Brings {
		if in.states[stateKey{b.Condition, b.State}] {
			out.Brings = append(out.Brings, GraphLink{b.Condition.ID, b.Condition.States[b.State].ID, b.Strength, b.GivenText})
		}
	}
	return out
}

func (in *part) rule(p *Pack, r *rulefile.Rule) GraphRule {
	out := GraphRule{Rule: r.ID, Says: r.Says, Asked: in.asked[r], Otherwise: r.Otherwise, Shows: []GraphShown{}, Reads: p.ids(r.When.Reads())}
	for _, s := range r.Shows {
		switch {
		case s.Fault != nil && in.faults[s.Fault]:
			out.Shows = append(out.Shows, GraphShown{Fault: s.Fault.ID, Strength: s.Strength})
		case s.Condition != nil && in.states[stateKey{s.Condition, s.State}]:
			out.Shows = append(out.Shows, GraphShown{Condition: s.Condition.ID, State: s.Condition.States[s.State].ID, Strength: s.Strength})
		}
	}
	return out
}

func (p *Pack) takeAll(in *part) {
	for _, f := range p.rules.Faults {
		in.faults[f] = true
	}
	for _, c := range p.rules.Conditions {
		for i := range c.States {
			in.states[stateKey{c, i}] = true
		}
	}
	for _, r := range p.rules.Rules {
		in.rules[r] = true
	}
}

// take adds the neighbourhood of one id.
func (p *Pack) take(id string, in *part) error {
	found := false
	if f := p.rules.Fault(id); f != nil {
		found = true
		in.asked[f] = true
		p.takeFault(f, in)
	}
	for _, c := range p.rules.Conditions {
		for i := range c.States {
			if id == c.ID || id == c.ID+"."+c.States[i].ID {
				found = true
				key := stateKey{c, i}
				in.asked[key] = true
				p.takeState(key, in)
			}
		}
	}
	if r := p.rules.Rule(id); r != nil {
		found = true
		in.asked[r] = true
		p.takeRule(r, in)
		for key := range in.states {
			if slices.ContainsFunc(r.Shows, key.isShown) {
				p.takeCauses(key, in)
			}
		}
	}
	if x := p.rules.Reading(id); x != nil {
		found = true
		in.asked[x] = true
		p.takeReaders([]int{x.Index}, in)
	}
	if k := p.rules.Check(id); k != nil {
		found = true
		for _, i := range k.Yields {
			in.asked[p.rules.Readings[i]] = true
		}
		p.takeReaders(k.Yields, in)
	}
	switch {
	case found:
		return nil
	case p.rules.Vehicle(id) != nil || p.rules.Caution(id) != nil || p.rules.Preparation(id) != nil:
		return fmt.Errorf("%q is a vehicle, a caution or a preparation, which are no part of the network", id)
	}
	return p.noSuchID(id)
}

func (k stateKey) isShown(s rulefile.Shown) bool {
	return s.Condition == k.condition && s.State == k.state
}

func (p *Pack) takeFault(f *rulefile.Fault, in *part) {
	in.faults[f] = true
	for _, b := range f.Brings {
		key := stateKey{b.Condition, b.State}
		in.states[key] = true
		p.takeShowing(key, in)
	}
	for _, r := range p.rules.Rules {
		if slices.ContainsFunc(r.Shows, func(s rulefile.Shown) bool { return s.Fault == f }) {
			in.rules[r] = true
		}
	}
}

func (p *Pack) takeState(key stateKey, in *part) {
	in.states[key] = true
	p.takeCauses(key, in)
	p.takeShowing(key, in)
}

func (p *Pack) takeCauses(key stateKey, in *part) {
	for _, f := range p.rules.Faults {
		if slices.ContainsFunc(f.Brings, func(b rulefile.Link) bool { return b.Condition == key.condition && b.State == key.state }) {
			in.faults[f] = true
		}
	}
}

func (p *Pack) takeShowing(key stateKey, in *part) {
	for _, r := range p.rules.Rules {
		if slices.ContainsFunc(r.Shows, key.isShown) {
			in.rules[r] = true
		}
	}
}

// takeRule adds a rule and what it shows.
func (p *Pack) takeRule(r *rulefile.Rule, in *part) {
	in.rules[r] = true
	for _, s := range r.Shows {
		if s.Fault != nil {
			in.faults[s.Fault] = true
		} else {
			in.states[stateKey{s.Condition, s.State}] = true
		}
	}
}

// takeReaders adds the rules that readings bear on.
func (p *Pack) takeReaders(readings []int, in *part) {
	for _, r := range p.rules.Rules {
		asked := p.sources(r.When.Reads())
		if slices.ContainsFunc(readings, func(i int) bool { return slices.Contains(asked, i) }) {
			p.takeRule(r, in)
		}
	}
}
