package engine

import (
	"fmt"
	"slices"
	"strings"

	"culprit/engine/quantity"
	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

func (p *Pack) showReading(r *rulefile.Reading) Card {
	c := newCard("reading", r.ID, r.Label, r.Doc, r.At)
	c.fact("kind", "%s", r.Kind)
	if r.Kind == truth.Number || r.Kind == truth.Trace {
		c.fact("unit", "%s", r.Unit)
		c.fact("also taken in", "%s", otherUnits(r.Unit))
	}
	if r.Plausible != nil {
		c.fact("plausible", "%s", rangeText(r.Plausible.From, r.Plausible.To, r.Unit))
	}
	c.fact("accuracy", "%s", accuracy(r))
	c.fact("one of", "%s", strings.Join(r.Among, ", "))
	c.fact("worked out from", "%s", r.FromText)
	if r.Assume != nil {
		c.fact("taken for granted", "%s, unless the job says otherwise", map[bool]string{true: "yes", false: "no"}[*r.Assume])
	}
	if r.SetUp != nil {
		c.fact("set-up list", "must be %s; if not: %s", map[bool]string{true: "yes", false: "no"}[r.SetUp.MustBe], r.SetUp.Do)
		if r.SetUp.Minutes > 0 {
			c.fact("set up in", "%g min", r.SetUp.Minutes)
		}
		if r.SetUp.Stays {
			c.fact("on the spot", "it cannot be put right, so no check is weighed by rules that need it otherwise")
		}
	}
	c.fact("how", "%s", r.How)
	if r.From != nil {
		for _, i := range r.From.Reads() {
			c.link("is worked out from", p.rules.Readings[i].ID, "%s", p.rules.Readings[i].Label)
		}
	}
	for _, check := range p.rules.Checks {
		if slices.Contains(check.Yields, r.Index) {
			c.link("comes from the check", check.ID, "%s, %g min", check.Label, check.Minutes)
		}
	}
	for _, other := range p.rules.Readings {
		if other.From != nil && slices.Contains(other.From.Reads(), r.Index) {
			c.link("is behind the reading", other.ID, "%s", other.Label)
		}
	}
	for _, rule := range p.rules.Rules {
		if slices.Contains(rule.Both.Reads(), r.Index) {
			c.link("is read by the rule", rule.ID, "%s", rule.Says)
		}
	}
	for _, rule := range p.rules.Rules {
		direct := rule.Both.Reads()
		if slices.Contains(direct, r.Index) {
			continue
		}
		for _, i := range direct {
			if slices.Contains(p.sources([]int{i}), r.Index) {
				c.link("is read through another by the rule", rule.ID, "%s (%s)", rule.Says, p.rules.Readings[i].ID)
				break
			}
		}
	}
	for _, f := range p.rules.Faults {
		for _, b := range f.Brings {
			if b.Given != nil && slices.Contains(b.Given.Reads(), r.Index) {
				c.link("decides what is brought by", f.ID, "%s.%s%s", b.Condition.ID, b.Condition.States[b.State].ID, onlyGiven(b.GivenText))
			}
		}
	}
	for _, v := range p.rules.Vehicles {
		if s, ok := v.Spec(r.Index); ok {
			c.link("has a figure for", v.ID, "%s", limits(s, r.Unit).Text)
		}
	}
	return c
}

func otherUnits(u quantity.Unit) string {
	var names []string
	for _, other := range quantity.Units(u.Dimension()) {
		if other != u {
			names = append(names, other.String())
		}
	}
	return strings.Join(names, ", ")
}

func accuracy(r *rulefile.Reading) string {
	a := r.Accuracy
	switch {
	case a.Within > 0 && a.Percent > 0:
		return fmt.Sprintf("within %s or %s %%, whichever is more", withUnit(a.Within, r.Unit), quantity.Number(a.Percent))
	case a.Within > 0:
		return "within " + withUnit(a.Within, r.Unit)
	case a.Percent > 0:
		return "within " + quantity.Number(a.Percent) + " %"
	}
	return ""
}

func withUnit(x float64, u quantity.Unit) string {
	return strings.TrimSpace(quantity.Number(x) + " " + u.String())
}

func (p *Pack) showCondition(k *rulefile.Condition) Card {
	c := newCard("condition", k.ID, k.Label, k.Doc, k.At)
	for _, s := range k.States {
		of := "never of itself"
		if s.OfItself > 0 {
			of = often(s.OfItself) + " of itself"
		}
		c.fact(s.ID, "%s; %s", s.Label, of)
	}
	for i, s := range k.States {
		for _, b := range p.broughtBy(k, i) {
			c.link(s.ID+" is brought by", b.fault.ID, "%s%s", often(b.link.Strength), onlyGiven(b.link.GivenText))
		}
		for _, x := range p.stateShownBy(k, i) {
			c.link(s.ID+" is shown by", x.rule.ID, "%s; otherwise %s: %s", often(x.shown.Strength), often(x.rule.Otherwise), x.rule.Says)
		}
	}
	return c
}

func (p *Pack) showPreparation(k *rulefile.Preparation) Card {
	c := newCard("preparation", k.ID, k.Label, k.Doc, k.At)
	c.fact("minutes", "%g", k.Minutes)
	c.fact("needs", "%s", strings.Join(k.Needs, ", "))
	for i, step := range k.Do {
		c.fact(fmt.Sprintf("step %d", i+1), "%s", step)
	}
	for _, check := range p.rules.Checks {
		if slices.Contains(check.Prepare, k.Index) {
			c.link("comes before the check", check.ID, "%s, %g min", check.Label, check.Minutes)
		}
	}
	for _, x := range k.Cautions {
		c.link("takes care of", x.ID, "%s", x.Text)
	}
	return c
}

func showLastResort(l *rulefile.LastResort) Card {
	c := newCard("last resort", lastResortID, l.Label, "", l.At)
	c.fact("minutes", "%g", l.Minutes)
	c.fact("do", "%s", l.Do)
	return c
}

func (p *Pack) showCaution(k *rulefile.Caution) Card {
	c := newCard("caution", k.ID, k.Text, "", k.At)
	for _, check := range p.rules.Checks {
		if slices.Contains(check.Cautions, k) {
			c.link("goes with the check", check.ID, "%s", check.Label)
		}
	}
	for _, x := range p.rules.Preparations {
		if slices.Contains(x.Cautions, k) {
			c.link("goes with the preparation", x.ID, "%s", x.Label)
		}
	}
	for _, f := range p.rules.Faults {
		if f.Repair != nil && slices.Contains(f.Repair.Cautions, k) {
			c.link("goes with the repair of", f.ID, "%s", f.Repair.Do)
		}
	}
	return c
}

func (p *Pack) showVehicle(v *rulefile.Vehicle) Card {
	c := newCard("vehicle", v.ID, v.Label, v.Doc, v.At)
	if v.Demo {
		c.fact("demo", "invented; for demonstration only")
	}
	c.fact("source", "%s", v.Source)
	for _, s := range v.Specs {
		r := p.rules.Readings[s.Reading]
		text := limits(s.Spec, r.Unit).Text
		if s.Spec.HasReference {
			text = withUnit(s.Spec.Reference, r.Unit) + ", in order " + text
		}
		c.link("has a figure for", r.ID, "%s", text)
	}
	return c
}
