package belief

import "slices"

// Number names one of a model's numbers.
type Number struct {
	Kind NumberKind
	// Of is the fault, condition, link or finding that the number belongs to.
	Of int
	// Part is the state of a condition, or the outcome of a finding.
	Part int
	// Parent is the place in the outcome's States or Faults.
	Parent int
}

// NumberKind says which of a model's numbers a [Number] is.
type NumberKind uint8

// The kinds of numbers: Fault.Prior, an entry of Condition.Leaks, Link.Strength,
// Outcome.Leak, Shown.Strength and FromFault.Strength.
const (
	PriorNumber NumberKind = iota
	StateLeak
	LinkStrength
	OutcomeLeak
	ShownStrength
	FaultStrength
)

// Numbers lists all numbers of the model: priors, leaks of states, links, then
// by finding and outcome its leak and what it shows.
func (m *Model) Numbers() []Number {
	var all []Number
	for f := range m.Faults {
		all = append(all, Number{Kind: PriorNumber, Of: f})
	}
	for c := range m.Conditions {
		for s := range m.Conditions[c].Leaks {
			all = append(all, Number{Kind: StateLeak, Of: c, Part: s})
		}
	}
	for k := range m.Links {
		all = append(all, Number{Kind: LinkStrength, Of: k})
	}
	for f := range m.Findings {
		for j := range m.Findings[f].Outcomes {
			o := &m.Findings[f].Outcomes[j]
			all = append(all, Number{Kind: OutcomeLeak, Of: f, Part: j})
			for k := range o.States {
				all = append(all, Number{ShownStrength, f, j, k})
			}
			for k := range o.Faults {
				all = append(all, Number{FaultStrength, f, j, k})
			}
		}
	}
	return all
}

// place is where the number stands.
func (m *Model) place(x Number) *float64 {
	switch x.Kind {
	case PriorNumber:
		return &m.Faults[x.Of].Prior
	case StateLeak:
		return &m.Conditions[x.Of].Leaks[x.Part]
	case LinkStrength:
		return &m.Links[x.Of].Strength
	}
	o := &m.Findings[x.Of].Outcomes[x.Part]
	switch x.Kind {
	case ShownStrength:
		return &o.States[x.Parent].Strength
	case FaultStrength:
		return &o.Faults[x.Parent].Strength
	}
	return &o.Leak
}

// Value returns a number of the model; x must be one of [Model.Numbers].
func (m *Model) Value(x Number) float64 { return *m.place(x) }

// With returns the model with one number changed and all others as they are
// stated. It shares what it can with m, which stays as it is.
func (m *Model) With(x Number, value float64) Model {
	out := *m
	switch x.Kind {
	case PriorNumber:
		out.Faults = slices.Clone(m.Faults)
	case StateLeak:
		out.Conditions = slices.Clone(m.Conditions)
		out.Conditions[x.Of].Leaks = slices.Clone(m.Conditions[x.Of].Leaks)
	case LinkStrength:
		out.Links = slices.Clone(m.Links)
	default:
		out.Findings = slices.Clone(m.Findings)
		outcomes := slices.Clone(m.Findings[x.Of].Outcomes)
		o := &outcomes[x.Part]
		o.States, o.Faults = slices.Clone(o.States), slices.Clone(o.Faults)
		out.Findings[x.Of].Outcomes = outcomes
	}
	*out.place(x) = value
	return out
}

// Range returns the values that a number may take while all others stay as they
// are stated: within 0..1, a fault's strength not below the leak it includes,
// and the outcomes of a finding not above 1 together. An upper end of 1 is itself
// not open to a leak under which something is rarer than certain.
func (m *Model) Range(x Number) (low, high float64) {
	low, high = 0, 1
	switch x.Kind {
	case PriorNumber:
		return low, high
	case StateLeak:
		for _, l := range m.Links {
			if l.Condition == x.Of && l.State == x.Part {
				high = min(high, l.Strength)
			}
		}
		return low, high
	case LinkStrength:
		l := &m.Links[x.Of]
		return m.Conditions[l.Condition].Leaks[l.State], high
	}
	outcomes := m.Findings[x.Of].Outcomes
	o := &outcomes[x.Part]
	switch x.Kind {
	case FaultStrength:
		return o.Leak, high
	case OutcomeLeak:
		for _, f := range o.Faults {
			high = min(high, f.Strength)
		}
	}
	if len(outcomes) > 1 {
		high = m.room(x)
	} else if x.Kind == ShownStrength && o.Leak == 1 {
		low = 1
	}
	return low, high
}

// room returns what the other outcomes of a finding leave to one, wherever the
// number is the outcome's chance.
func (m *Model) room(x Number) float64 {
	outcomes := m.Findings[x.Of].Outcomes
	o := &outcomes[x.Part]
	values := 1
	for _, other := range outcomes {
		for _, s := range other.States {
			values = len(m.Conditions[s.Condition].Leaks) + 1
		}
	}
	room := 1.0
	for v := range values {
		at := slices.IndexFunc(o.States, func(s Shown) bool { return s.State == v-1 })
		if x.Kind == OutcomeLeak && at >= 0 || x.Kind == ShownStrength && at != x.Parent {
			continue
		}
		left := 1.0
		for j := range outcomes {
			if j != x.Part {
				left -= outcomes[j].chance(v)
			}
		}
		room = min(room, left)
	}
	return max(room, m.Value(x)) // they may add up to 1 on paper only
}
