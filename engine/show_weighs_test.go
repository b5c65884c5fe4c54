package engine

import (
	"math"
	"slices"
	"testing"

	"culprit/engine/belief"
)

// cardOf shows one id of which there is one card.
func cardOf(t *testing.T, p *Pack, id string) Card {
	t.Helper()
	cards, err := p.Show(id)
	if err != nil || len(cards) != 1 {
		t.Fatalf("%s: %d cards, %v", id, len(cards), err)
	}
	return cards[0]
}

func weighsOf(t *testing.T, all []Weighs, rule, fault string, holds bool) Weighs {
	t.Helper()
	i := slices.IndexFunc(all, func(x Weighs) bool { return x.Rule == rule && x.Fault == fault && x.Holds == holds })
	if i < 0 {
		t.Fatalf("no weight of %s for %s", rule, fault)
	}
	return all[i]
}

// TestWeighsByHand: the alarm of Russell and Norvig's chapter on Bayesian networks
// (see burglary), each weight worked out by hand from the printed tables.
func TestWeighsByHand(t *testing.T) {
	p := tiny(t, burglary)
	card := cardOf(t, p, "burglary")
	fresh := reasons(t)
	for _, c := range []struct {
		because string
		rule    string
		holds   bool
		with    float64 // P(answer | burglary alone)
		without float64 // P(answer | neither)
	}{
		{"John: .94*.90 + .06*.05 against .001*.90 + .999*.05", "john", true, 0.849, 0.05085},
		{"no call of John: one less each", "john", false, 0.151, 0.94915},
		{"Mary: .94*.70 + .06*.01 against .001*.70 + .999*.01", "mary", true, 0.6586, 0.01069},
	} {
		fresh(c.because)
		list := card.Lowers
		if c.holds {
			list = card.Raises
		}
		x := weighsOf(t, list, c.rule, "burglary", c.holds)
		around(t, c.because, x.Chance, c.with, 1e-12)
		around(t, c.because, x.Without, c.without, 1e-12)
		around(t, c.because, x.Number(), 10*math.Log10(c.with/c.without), 1e-9)
	}
	// The rule's own card says the same.
	rule := cardOf(t, p, "john")
	around(t, "from the rule", weighsOf(t, rule.Raises, "john", "burglary", true).Chance, 0.849, 1e-12)
	// The alarm is seen ringing only when it rings, and .06 of burglaries do not
	// set it off; of itself it does not ring in .999.
	silent := weighsOf(t, card.Lowers, "alarm", "burglary", false)
	around(t, "no ringing", silent.Number(), 10*math.Log10(0.06/0.999), 1e-9)
}

// TestWeighsIsWhatThePosteriorDoes: the odds of exactly one fault against none in
// the whole posterior, which is worked out by other code, move by the weight that
// is told, over a third of the rules and faults of each shipped pack.
func TestWeighsIsWhatThePosteriorDoes(t *testing.T) {
	for _, name := range ShippedPacks() {
		p, err := Open(Sources{Pack: name})
		if err != nil {
			t.Fatal(err)
		}
		w := p.weighing()
		tried := 0
		for _, f := range p.rules.Faults {
			for i, r := range p.rules.Rules {
				two, err := w.both(f, r)
				if err != nil {
					t.Fatal(err)
				}
				if (i+f.Index)%3 > 0 {
					continue // a third is enough to find a slip, and quick
				}
				for _, x := range two {
					tried++
					around(t, r.ID+" for "+f.ID, x.Number(), oddsMoved(t, w, x), 1e-6)
				}
			}
		}
		if tried < 100 {
			t.Errorf("%s: only %d answers of rules bear on faults", name, tried)
		}
	}
}

// oddsMoved asks the posterior what an answer does to the odds of exactly one
// fault against none.
func oddsMoved(t *testing.T, w *weighing, x Weighs) float64 {
	t.Helper()
	p := w.p
	f, r := p.rules.Fault(x.Fault), p.rules.Rule(x.Rule)
	given := -1
	for _, l := range p.links {
		if x.LinkGiven != "" && l.link.GivenText == x.LinkGiven {
			given = l.given
		}
	}
	finding := w.findingOf[r.Index]
	rules := p.findings[finding].rules
	likelihood := make([]float64, len(rules)+1)
	for k := range likelihood {
		if (k < len(rules) && rules[k] == r) == x.Holds {
			likelihood[k] = 1
		}
	}
	odds := func(e belief.Evidence) float64 {
		var post belief.Posterior
		if err := p.net.Posterior(e, &post); err != nil {
			t.Fatal(err)
		}
		sets, err := p.net.Sets(e, 1, len(p.rules.Faults))
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range sets {
			if s.Faults[0] == f.Index {
				return s.Probability / post.None
			}
		}
		return 0
	}
	acting := w.acting(f, given)
	after := odds(belief.Evidence{Acting: acting, Seen: []belief.Seen{{Finding: finding, Likelihood: likelihood}}})
	prior := f.Per1000 / 1000
	return 10 * math.Log10(after/(prior/(1-prior)))
}

// TestNearestIsWhatApartSays: the same pairs with the same numbers as when all are
// worked out, in order.
func TestNearestIsWhatApartSays(t *testing.T) {
	p := shipped(t)
	all, err := p.Apart(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"unmeasured-air", "control-unit"} {
		var want []float64
		for _, pair := range all.Pairs {
			if pair.Faults[0] == id || pair.Faults[1] == id {
				want = append(want, pair.Least())
			}
		}
		near := cardOf(t, p, id).Nearest
		if len(near) != len(want) {
			t.Fatalf("%s: %d faults, not %d", id, len(near), len(want))
		}
		for i, n := range near {
			around(t, id+" from "+n.Fault, top(n.Decibans), want[i], 1e-9)
		}
	}
}

// TestLinksUnderOneGiven: a fault that makes lean with the loop open and rich with
// it closed is weighed under each by itself, never with both at once.
func TestLinksUnderOneGiven(t *testing.T) {
	p := tiny(t, `
readings:
  closed: {label: Closed, kind: yes/no}
  lean: {label: Lean, kind: yes/no}
  rich: {label: Rich, kind: yes/no}
conditions:
  mix: {label: Mix, states: {lean: lean, rich: rich}, of_itself: {lean: 0.01, rich: 0.01}}
faults:
  odd:
    label: Odd
    per_1000: 10
    brings:
      - {condition: mix, state: lean, how_often: 0.9, given: not closed}
      - {condition: mix, state: rich, how_often: 0.8, given: closed}
rules:
  is-lean: {says: It is lean, when: lean, shows: {mix.lean: 0.9}, otherwise: 0.1}
  is-rich: {says: It is rich, when: rich, shows: {mix.rich: 0.9}, otherwise: 0.1}
`)
	card := cardOf(t, p, "odd")
	lean := weighsOf(t, card.Raises, "is-lean", "odd", true)
	if lean.LinkGiven != "not closed" {
		t.Errorf("is-lean is weighed under %q", lean.LinkGiven)
	}
	// By enumeration: lean caused .9, rich of itself .01, shared evenly where both:
	// .9*.99 + .9*.01/2 = .8955 lean; .8955*.9 + .1045*.1.
	around(t, "P(is-lean | odd)", lean.Chance, 0.8955*0.9+0.1045*0.1, 1e-12)
	if rich := weighsOf(t, card.Raises, "is-rich", "odd", true); rich.LinkGiven != "closed" {
		t.Errorf("is-rich is weighed under %q", rich.LinkGiven)
	}
}

// TestPreparationCard: what several checks need first says for which, and
// each of these names it.
func TestPreparationCard(t *testing.T) {
	p := shipped(t)
	card := cardOf(t, p, "analyser-ready")
	if card.Kind != "preparation" || !slices.ContainsFunc(card.Links, func(l Link) bool {
		return l.Relation == "comes before the check" && l.ID == "gases-at-idle"
	}) {
		t.Errorf("%+v", card)
	}
	check := cardOf(t, p, "gases-at-idle")
	if !slices.ContainsFunc(check.Links, func(l Link) bool { return l.Relation == "needs first" && l.ID == "analyser-ready" }) {
		t.Errorf("%+v", check.Links)
	}
}
