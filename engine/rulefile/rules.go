package rulefile

import (
	"strings"

	"culprit/engine/source"
	"culprit/engine/truth"
)

func (l *loader) resolveRules() {
	for i, e := range l.rules.raw {
		raw := &e.V
		r := l.rules.things[i]
		*r = Rule{
			ID: e.ID, Index: i, At: e.At.Pos, Says: raw.says.V, Because: raw.because.V, Doc: raw.doc.V,
			GivenText: raw.given.V, GivenAt: raw.given.Spot, WhenText: raw.when.V, WhenAt: raw.when.Spot,
			Otherwise: raw.otherwise.V, OtherwiseAt: raw.otherwise.Pos, Excuses: excuses(raw.excuse),
		}
		r.Given = l.compile(raw.given, truth.YesNo, truth.InRule)
		r.When = l.compile(raw.when, truth.YesNo, truth.InRule)
		l.join(r)
		if raw.otherwise.Set && r.Otherwise == 1 {
			l.At(raw.otherwise.Spot, "a rule that holds anyway says nothing: below 1 is wanted")
		}
		for _, shown := range raw.shows.V {
			l.resolveShown(r, shown, raw.otherwise)
		}
	}
}

// join compiles given and when as one expression. Line breaks keep a comment at the end of one from swallowing the other.
func (l *loader) join(r *Rule) {
	switch {
	case r.When == nil:
	case r.GivenText == "":
		r.Both = r.When
	case r.Given != nil:
		both, err := l.compileText("("+r.GivenText+"\n) and ("+r.WhenText+"\n)", truth.YesNo, truth.InRule)
		if err != nil {
			l.At(r.WhenAt, "together with \"given\": %s", err.Text).Hint = err.Hint
		}
		r.Both = both
	}
}

func (l *loader) resolveShown(r *Rule, e source.Entry[float64], otherwise source.Got[float64]) {
	if !shownSpelling.Fits(e.ID) {
		return // reported
	}
	shown := Shown{At: e.At.Pos, Strength: e.V, StrengthAt: e.Pos}
	if condition, state, ok := strings.Cut(e.ID, "."); ok {
		shown.Condition = l.shownCondition(e.At, condition)
		if shown.Condition == nil {
			return
		}
		if shown.State = l.state(shown.Condition, e.At, len(condition)+1, state); shown.State < 0 {
			return
		}
	} else if shown.Fault = l.shownFault(e.At, e.ID); shown.Fault == nil {
		return
	} else if e.Set && otherwise.Set && e.V < otherwise.V {
		l.At(e.Spot, "with fault %q the rule would hold less often (%v) than otherwise (%v)", e.ID, e.V, otherwise.V).Other = &otherwise.Pos
	}
	r.Shows = append(r.Shows, shown)
}

func (l *loader) shownCondition(at source.Spot, id string) *Condition {
	c := l.conditions.get(id)
	if c == nil && !l.partial {
		l.Within(at, 0, len(id), "unknown condition %q", id).Hint = l.Near(id, "", l.conditions.ids)
	}
	return c
}

func (l *loader) shownFault(at source.Spot, id string) *Fault {
	if f := l.faults.get(id); f != nil || l.partial {
		return f
	}
	if c := l.conditions.get(id); c != nil {
		var states []string
		for _, s := range c.States {
			states = append(states, id+"."+s.ID)
		}
		l.At(at, "%q is a condition; which of its states is shown has to be said", id).Hint = "write " + strings.Join(states, " or ")
		return nil
	}
	both := func() []string { return append(l.faults.ids(), l.conditions.ids()...) }
	hint := l.statesCalled(id)
	if hint == "" {
		hint = l.Near(id, "a state is written condition.state", both)
	}
	l.At(at, "unknown fault %q", id).Hint = hint
	return nil
}

// statesCalled names the states of that id with their conditions, as a hint for somebody who left the condition away.
func (l *loader) statesCalled(id string) string {
	var states []string
	for _, c := range l.conditions.things {
		if c.State(id) >= 0 {
			states = append(states, c.ID+"."+id)
		}
	}
	if states == nil {
		return ""
	}
	return "write " + strings.Join(states, " or ")
}
