package engine

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"culprit/engine/rulefile"
)

func onlyGiven(text string) string {
	if text == "" {
		return ""
	}
	return ", given " + text
}

// showState tells of CONDITION.STATE what showCondition tells of all states, the
// strongest first, with what each rule says for and against the state.
func (p *Pack) showState(k *rulefile.Condition, state int) Card {
	s := k.States[state]
	c := newCard("state", k.ID+"."+s.ID, s.Label, "", s.At)
	c.fact("of itself", "%s", often(s.OfItself))
	c.link("is a state of", k.ID, "%s", k.Label)
	for _, b := range p.broughtBy(k, state) {
		c.link("is brought by", b.fault.ID, "%s%s", often(b.link.Strength), onlyGiven(b.link.GivenText))
	}
	for _, x := range p.stateShownBy(k, state) {
		c.link("is shown by", x.rule.ID, "%s when it holds, %s when not: %s", signed(decibansOf(x.shown.Strength, x.rule.Otherwise)),
			signed(decibansOf(1-x.shown.Strength, 1-x.rule.Otherwise)), x.rule.Says)
	}
	return c
}

// bringing is a link with the fault that states it.
type bringing struct {
	fault *rulefile.Fault
	link  *rulefile.Link
}

// broughtBy lists what brings a state, the strongest first.
func (p *Pack) broughtBy(k *rulefile.Condition, state int) []bringing {
	var out []bringing
	for _, f := range p.rules.Faults {
		for i := range f.Brings {
			if b := &f.Brings[i]; b.Condition == k && b.State == state {
				out = append(out, bringing{f, b})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b bringing) int { return cmp.Compare(b.link.Strength, a.link.Strength) })
	return out
}

// stateShownBy lists the rules that show a state, first those that say most for
// or against it when they hold.
func (p *Pack) stateShownBy(k *rulefile.Condition, state int) []shownRule {
	out := p.shownBy(func(x rulefile.Shown) bool { return x.Condition == k && x.State == state })
	pull := func(x shownRule) float64 { return math.Abs(decibansOf(x.shown.Strength, x.rule.Otherwise)) }
	slices.SortStableFunc(out, func(a, b shownRule) int { return cmp.Compare(pull(b), pull(a)) })
	return out
}

// decibansOf is the weight of evidence of something seen that has these chances
// when a state is so and when no state is.
func decibansOf(with, without float64) float64 {
	if with == without {
		return 0 // both may be 0
	}
	return 10 * math.Log10(with/without)
}

// signed writes a weight in decibans, with its sign.
func signed(decibans float64) string {
	if math.IsInf(decibans, 0) {
		return map[bool]string{true: "certain", false: "excluded"}[decibans > 0]
	}
	return fmt.Sprintf("%+.1f", decibans)
}

func (p *Pack) showFault(f *rulefile.Fault) (Card, error) {
	c := newCard("fault", f.ID, f.Label, f.Doc, f.At)
	c.fact("how common", "%g in 1000 cars that come in with an odd result", f.Per1000)
	if f.Repair != nil {
		c.fact("repair", "%s (%g min)", f.Repair.Do, f.Repair.Minutes)
		c.fact("needs", "%s", strings.Join(f.Repair.Needs, ", "))
	}
	if f.Settle != nil {
		c.link("is settled by", f.Settle.ID, "%s, %g min", f.Settle.Label, f.Settle.Minutes)
	}
	for _, b := range f.Brings {
		c.link("brings", b.Condition.ID+"."+b.Condition.States[b.State].ID, "%s%s", often(b.Strength), onlyGiven(b.GivenText))
	}
	for _, x := range p.shownBy(func(s rulefile.Shown) bool { return s.Fault == f }) {
		c.link("is pointed at by", x.rule.ID, "%s; otherwise %s: %s", often(x.shown.Strength), often(x.rule.Otherwise), x.rule.Says)
	}
	for _, r := range p.rules.Rules {
		if via := throughStates(f, r); via != "" {
			c.link("shows through "+via+" in", r.ID, "%s", r.Says)
		}
	}
	if f.Repair != nil {
		for _, k := range f.Repair.Cautions {
			c.link("takes care of", k.ID, "%s", k.Text)
		}
	}
	w := p.weighing()
	var all []Weighs
	for _, r := range p.rules.Rules {
		two, err := w.both(f, r)
		if err != nil {
			return c, err
		}
		all = append(all, two...)
	}
	c.Raises, c.Lowers = raisesAndLowers(all)
	var err error
	c.Nearest, err = w.nearest(f)
	return c, err
}

// throughStates names the state by which a fault shows in a rule, or "".
func throughStates(f *rulefile.Fault, r *rulefile.Rule) string {
	for _, s := range r.Shows {
		for _, b := range f.Brings {
			if s.Condition != nil && b.Condition == s.Condition && b.State == s.State {
				return s.Condition.ID + "." + s.Condition.States[s.State].ID
			}
		}
	}
	return ""
}

func (p *Pack) showRule(r *rulefile.Rule) (Card, error) {
	c := newCard("rule", r.ID, r.Says, r.Doc, r.At)
	c.fact("given", "%s", r.GivenText)
	c.fact("when", "%s", r.WhenText)
	c.fact("otherwise", "%s", often(r.Otherwise))
	c.fact("because", "%s", r.Because)
	for _, s := range r.Shows {
		if s.Fault != nil {
			c.link("shows", s.Fault.ID, "%s", often(s.Strength))
		} else {
			c.link("shows", s.Condition.ID+"."+s.Condition.States[s.State].ID, "%s", often(s.Strength))
		}
	}
	for _, i := range r.Both.Reads() {
		c.link("reads", p.rules.Readings[i].ID, "%s", p.rules.Readings[i].Label)
	}
	if r.Alternatives != nil {
		for _, other := range r.Alternatives.Rules {
			if other != r {
				c.link("excludes", other.ID, "%s", other.Says)
			}
		}
	}
	w := p.weighing()
	var all []Weighs
	for _, f := range p.rules.Faults {
		two, err := w.both(f, r)
		if err != nil {
			return c, err
		}
		all = append(all, two...)
	}
	c.Raises, c.Lowers = raisesAndLowers(all)
	return c, nil
}

func (p *Pack) showCheck(k *rulefile.Check) Card {
	c := newCard("check", k.ID, k.Label, k.Doc, k.At)
	c.fact("minutes", "%g", k.Minutes)
	c.fact("needs", "%s", strings.Join(k.Needs, ", "))
	for _, i := range k.Prepare {
		prep := p.rules.Preparations[i]
		c.fact("first", "%s, %s (%g min of these): %s", prep.ID, prep.Label, prep.Minutes, strings.Join(prep.Do, " "))
	}
	for i, step := range k.Do {
		c.fact(fmt.Sprintf("step %d", i+1), "%s", step)
	}
	for _, i := range k.Prepare {
		c.link("needs first", p.rules.Preparations[i].ID, "%s, %g min", p.rules.Preparations[i].Label, p.rules.Preparations[i].Minutes)
	}
	for _, i := range k.Yields {
		c.link("yields", p.rules.Readings[i].ID, "%s", p.rules.Readings[i].Label)
	}
	car := p.readyCar()
	for _, decides := range []bool{true, false} {
		for _, r := range p.rules.Rules {
			switch {
			case !p.bears(k, r) || car.answers([]*rulefile.Check{k}, r) != decides:
			case decides:
				c.link("decides the rule", r.ID, "%s", r.Says)
			default:
				c.link("helps to decide the rule", r.ID, "%s", r.Says)
			}
		}
	}
	for _, f := range p.rules.Faults {
		if f.Settle == k {
			c.link("settles", f.ID, "%s", f.Label)
		}
	}
	for _, x := range k.Cautions {
		c.link("takes care of", x.ID, "%s", x.Text)
	}
	return c
}
