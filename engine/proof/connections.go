package proof

import "culprit/engine/rulefile"

// state is one state of one condition.
type state struct {
	condition *rulefile.Condition
	index     int
}

func (s state) String() string { return s.condition.ID + "." + s.condition.States[s.index].ID }

// connections reports what hangs together with nothing: states that nothing brings or
// shows, and faults that nothing raises.
func (r *reader) connections() {
	brought, shown := map[state]bool{}, map[state]bool{}
	pointed := map[*rulefile.Fault]bool{} // by rules that tell it apart from its absence
	for _, f := range r.pack.Faults {
		for _, l := range f.Brings {
			brought[state{l.Condition, l.State}] = l.Strength > 0 || brought[state{l.Condition, l.State}]
		}
	}
	for _, rule := range r.pack.Rules {
		for _, s := range rule.Shows {
			switch {
			case s.Fault != nil:
				pointed[s.Fault] = pointed[s.Fault] || s.Strength > rule.Otherwise
			default:
				shown[state{s.Condition, s.State}] = true
			}
		}
	}
	for _, rule := range r.pack.Rules {
		r.brings(rule, brought)
		r.says(rule)
	}
	for _, c := range r.pack.Conditions {
		for i, s := range c.States {
			if !shown[state{c, i}] {
				p := at(s.At, s.ID, "no rule shows %q, so no reading can tell of it", state{c, i})
				p.Hint = "write a rule that shows it, or take it away"
				r.add("nothing-shows", excuses{c.Excuses}, p)
			}
		}
	}
	for _, f := range r.pack.Faults {
		r.raised(f, pointed[f], shown)
	}
}

// brings reports the states that a rule shows and no fault brings.
func (r *reader) brings(rule *rulefile.Rule, brought map[state]bool) {
	for _, s := range rule.Shows {
		if s.Fault != nil || brought[state{s.Condition, s.State}] {
			continue
		}
		name := state{s.Condition, s.State}.String()
		p := at(s.At, name, "nothing can bring about %q, so showing it points at no fault", name)
		p.Hint = "let a fault bring it, or show the fault itself"
		r.add("nothing-brings", excuses{rule.Excuses, s.Condition.Excuses}, p)
	}
}

// says reports what a rule shows as often as otherwise. One of several alternatives may be so: its outcome tells something of the others.
func (r *reader) says(rule *rulefile.Rule) {
	for _, s := range rule.Shows {
		if s.Strength != rule.Otherwise || rule.Alternatives != nil {
			continue
		}
		name := ""
		if s.Fault != nil {
			name = s.Fault.ID
		} else {
			name = state{s.Condition, s.State}.String()
		}
		p := at(s.At, name, "%q is shown as often as otherwise (%v), so the rule says nothing of it", name, s.Strength)
		p.Hint = "in how many of a hundred such cars does it hold, and in how many others?"
		r.add("says-nothing", excuses{rule.Excuses}, p)
	}
}

// raised reports a fault that no rule points at, straight or through a state.
func (r *reader) raised(f *rulefile.Fault, pointed bool, shown map[state]bool) {
	for _, l := range f.Brings {
		s := l.Condition.States[l.State]
		pointed = pointed || shown[state{l.Condition, l.State}] && l.Strength > s.OfItself
	}
	if pointed {
		return
	}
	p := at(f.At, f.ID, "no rule can raise fault %q above how common it is", f.ID)
	p.Hint = "show it in a rule, or let it bring a state that a rule shows"
	r.add("never-raised", excuses{f.Excuses}, p)
}

// readings reports readings that nothing reads and readings that nobody is sent to take, and checks that yield only such as nothing reads.
func (r *reader) readings() {
	used := r.read()
	yielded := make([]bool, len(used))
	for _, c := range r.pack.Checks {
		for _, i := range c.Yields {
			yielded[i] = true
		}
	}
	for i, d := range r.pack.Readings {
		switch {
		case !used[i] && d.SetUp == nil: // of the set-up list a verdict tells
			p := at(d.At, d.ID, "no rule, link or derivation reads %q", d.ID)
			p.Hint = "write a rule that reads it, or take it away"
			r.add("unread-reading", excuses{d.Excuses}, p)
		case !yielded[i] && d.From == nil && d.Assume == nil:
			p := at(d.At, d.ID, "no check yields %q, so nobody is told to take it", d.ID)
			p.Hint = "let a check yield it; where none is needed, excuse it with the reason"
			r.add("no-check", excuses{d.Excuses}, p)
		}
	}
	for _, c := range r.pack.Checks {
		yields := false
		for _, i := range c.Yields {
			yields = yields || used[i] || r.pack.Readings[i].SetUp != nil
		}
		if !yields {
			p := at(c.At, c.ID, "check %q yields nothing that is used", c.ID)
			p.Hint = "let it yield a reading that a rule reads, or take it away"
			r.add("idle-check", excuses{c.Excuses}, p)
		}
	}
}

// read tells for each reading whether a rule, a link or a derived reading reads it.
func (r *reader) read() []bool {
	used := make([]bool, len(r.pack.Readings))
	mark := func(reads []int) {
		for _, i := range reads {
			used[i] = true
		}
	}
	for _, d := range r.pack.Readings {
		if d.From != nil {
			mark(d.From.Reads())
		}
	}
	for _, f := range r.pack.Faults {
		for _, l := range f.Brings {
			if l.Given != nil {
				mark(l.Given.Reads())
			}
		}
	}
	for _, rule := range r.pack.Rules {
		mark(rule.Both.Reads())
	}
	return used
}
