package rulefile

import (
	"culprit/engine/source"
	"culprit/engine/truth"
)

func (l *loader) resolveConditions() {
	for i, e := range l.conditions.raw {
		raw := &e.V
		c := l.conditions.things[i]
		*c = Condition{ID: e.ID, Index: i, At: e.At.Pos, Label: raw.label.V, Doc: raw.doc.V, Excuses: excuses(raw.excuse)}
		for _, s := range raw.states.V {
			c.States = append(c.States, State{ID: s.ID, At: s.At.Pos, Label: s.V})
		}
		for _, often := range raw.ofItself.V {
			k := l.state(c, often.At, 0, often.ID)
			if k < 0 || !often.Set {
				continue
			}
			if often.V == 1 {
				l.At(often.Spot, "a state that is always there of itself needs no faults: below 1 is wanted")
			}
			c.States[k].OfItself, c.States[k].OfItselfAt = often.V, often.Pos
		}
	}
}

// state finds a state of a condition by an id that stands at offset in the text at s; -1 when there is none (reported, unless
// the states themselves could not be read).
func (l *loader) state(c *Condition, s source.Spot, offset int, id string) int {
	k := c.State(id)
	if k < 0 && l.conditions.raw[c.Index].V.states.Set {
		ids := func() []string {
			var all []string
			for _, s := range c.States {
				all = append(all, s.ID)
			}
			return all
		}
		l.Within(s, offset, len(id), "condition %q has no state %q", c.ID, id).Hint = l.Near(id, "its states are "+list(ids()), ids)
	}
	return k
}

func (l *loader) resolveFaults() {
	for i, e := range l.faults.raw {
		raw := &e.V
		f := l.faults.things[i]
		*f = Fault{ID: e.ID, Index: i, At: e.At.Pos, Label: raw.label.V, Doc: raw.doc.V, Per1000: raw.per1000.V, Per1000At: raw.per1000.Pos, Excuses: excuses(raw.excuse)}
		if c := l.conditions.get(e.ID); c != nil {
			l.At(e.At, "fault %q has the id of a condition, and both can stand in \"shows\"", e.ID).Other = &c.At
		}
		for _, link := range raw.brings.V {
			l.resolveLink(f, link)
		}
		if raw.settle.Set {
			f.Settle = look(l, &l.checks, "check", raw.settle.Spot, raw.settle.V)
		}
		if raw.repair.Set {
			r := raw.repair.V
			f.Repair = &Repair{
				Minutes: r.minutes.V, Do: r.do.V, Needs: texts(r.needs),
				Cautions: lookAll(l, &l.cautions, "caution", r.cautions),
			}
		}
	}
}

func (l *loader) resolveLink(f *Fault, got source.Got[rawLink]) {
	raw := &got.V
	link := Link{At: got.Pos, Strength: raw.howOften.V, StrengthAt: raw.howOften.Pos, GivenText: raw.given.V, GivenAt: raw.given.Spot}
	link.Given = l.compile(raw.given, truth.YesNo, truth.InRule)
	if raw.condition.Set {
		link.Condition = look(l, &l.conditions, "condition", raw.condition.Spot, raw.condition.V)
	}
	if link.Condition == nil || !raw.state.Set {
		return
	}
	if link.State = l.state(link.Condition, raw.state.Spot, 0, raw.state.V); link.State < 0 {
		return
	}
	state := link.Condition.States[link.State]
	if raw.howOften.Set && link.Strength < state.OfItself {
		l.At(raw.howOften.Spot, "with this fault the state would come less often (%v) than of itself (%v)", link.Strength, state.OfItself).
			Other = &state.At
	}
	for _, before := range f.Brings {
		if before.Condition == link.Condition && before.State == link.State && sameExpression(before.GivenText, link.GivenText) {
			l.At(raw.state.Spot, "fault %q brings %s.%s twice", f.ID, link.Condition.ID, state.ID).Other = &before.At
			return
		}
	}
	f.Brings = append(f.Brings, link)
}
