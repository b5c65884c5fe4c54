package engine

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestShowEverything: whatever a pack lists it can show, and whatever a card is
// linked to can be shown too.
func TestShowEverything(t *testing.T) {
	p := shipped(t)
	seen := map[string]bool{}
	linked := map[string]bool{} // each once: cards of faults take a while
	for _, listed := range p.List() {
		seen[listed.Kind] = true
		cards, err := p.Show(listed.ID)
		if err != nil {
			t.Errorf("%s %s: %v", listed.Kind, listed.ID, err)
			continue
		}
		at := slices.IndexFunc(cards, func(c Card) bool { return c.Kind == listed.Kind })
		if at < 0 {
			t.Errorf("%s %s: no card of its kind", listed.Kind, listed.ID)
			continue
		}
		c := cards[at]
		if c.ID != listed.ID || c.Label != listed.Label || c.Where != listed.Where || !strings.Contains(c.Where, ".yaml:") {
			t.Errorf("the card differs from the list: %+v, %+v", c, listed)
		}
		if len(c.Facts)+len(c.Links) == 0 {
			t.Errorf("%s %s: an empty card", c.Kind, c.ID)
		}
		for _, f := range c.Facts {
			if f.Name == "" || f.Text == "" || strings.Contains(f.Text, "%!") {
				t.Errorf("%s %s: fact %+v", c.Kind, c.ID, f)
			}
		}
		for _, l := range c.Links {
			var err error
			if !linked[l.ID] {
				_, err = p.Show(l.ID)
			}
			linked[l.ID] = err == nil
			if err != nil || l.Relation == "" || strings.Contains(l.Text, "%!") {
				t.Errorf("%s %s: link %+v: %v", c.Kind, c.ID, l, err)
			}
		}
	}
	for _, kind := range Kinds {
		if !seen[kind] {
			t.Errorf("the shipped pack has no %s", kind)
		}
	}
}

func TestShowUnknown(t *testing.T) {
	p := shipped(t)
	fresh := reasons(t)
	for _, c := range []struct{ because, id, want string }{
		{"a slip in a fault", "unmesured-air", `nothing in the pack has this id: "unmesured-air"; did you mean "unmeasured-air"?`},
		{"a slip in a state", "trim.ading", `nothing in the pack has this id: "trim.ading"; did you mean "trim.adding"?`},
		{"near to nothing", "qqqqqqqq", `nothing in the pack has this id: "qqqqqqqq"`},
		{"nothing at all", "", `nothing in the pack has this id: ""`},
	} {
		fresh(c.because)
		if _, err := p.Show(c.id); !errors.Is(err, ErrNoID) || err.Error() != c.want {
			t.Errorf("%s: %v", c.because, err)
		}
	}
	if _, err := p.Show("warm-air"); !errors.Is(err, ErrNoID) {
		t.Errorf("%v", err)
	}
	_, err := p.Graph("unmeasured-ai")
	if x, ok := errors.AsType[*UnknownID](err); !ok || x.ID != "unmeasured-ai" || x.Near != "unmeasured-air" {
		t.Errorf("an id that the network has not: %v", err)
	}
	if cards, err := p.Show("trim.adding"); err != nil || len(cards) != 1 || cards[0].ID != "trim.adding" || cards[0].Kind != "state" {
		t.Errorf("a state by its name: %v, %v", cards, err)
	}
}

// TestCards holds one card of each kind, on a pack that a person can read.
func TestCards(t *testing.T) {
	p := tiny(t, bench)
	card := func(id string) Card {
		cards, err := p.Show(id)
		if err != nil || len(cards) != 1 {
			t.Fatal(err, cards)
		}
		c := cards[0]
		c.Where, c.Raises, c.Lowers, c.Nearest = "", nil, nil, nil
		return c
	}
	for _, want := range []Card{
		{Kind: "reading", ID: "change", Label: "Current less its reference",
			Facts: []Fact{{"kind", "number"}, {"unit", "mA"}, {"also taken in", "A"}, {"worked out from", "current - reference(current)"}},
			Links: []Link{{"is worked out from", "current", "Current"}, {"is read by the rule", "far", "The current is far off"}}},
		{Kind: "reading", ID: "warm", Label: "Engine warm",
			Facts: []Fact{{"kind", "yes/no"}, {"set-up list", "must be yes; if not: Warm it up"}},
			Links: []Link{
				{"is read by the rule", "high", "The current is high"}, {"is read by the rule", "low", "The current is low"},
				{"is read by the rule", "far", "The current is far off"},
				{"decides what is brought by", "leak", "trim.adding, given warm"}}},
		{Kind: "condition", ID: "air", Label: "Air",
			Facts: []Fact{{"spare", "too much air; hardly-ever (0.01) of itself"}},
			Links: []Link{{"spare is brought by", "leak", "usually (0.8)"}, {"spare is shown by", "shut", "0.9; otherwise 0.05: The valve is nearly shut"}}},
		{Kind: "fault", ID: "leak", Label: "Leak",
			Facts: []Fact{{"how common", "100 in 1000 cars that come in with an odd result"}, {"repair", "Replace the hose (40 min)"}, {"needs", "pliers"}},
			Links: []Link{
				{"is settled by", "smoke-test", "Smoke test, 20 min"}, {"brings", "trim.adding", "0.9, given warm"}, {"brings", "air.spare", "usually (0.8)"},
				{"is pointed at by", "far", "sometimes (0.3); otherwise 0.05: The current is far off"},
				{"is pointed at by", "smoke", "0.9; otherwise hardly-ever (0.01): Smoke comes out"},
				{"is pointed at by", "rough", "0.2; otherwise seldom (0.1): It idles roughly"},
				{"shows through trim.adding in", "high", "The current is high"},
				{"shows through air.spare in", "shut", "The valve is nearly shut"},
				{"takes care of", "hot", "It is hot."}}},
		{Kind: "rule", ID: "high", Label: "The current is high",
			Facts: []Fact{{"given", "warm and not just_set"}, {"when", "high(current)"}, {"otherwise", "0.02"}, {"because", "It adds."}},
			Links: []Link{{"shows", "trim.adding", "0.98"}, {"reads", "warm", "Engine warm"},
				{"reads", "just_set", "Current just set"}, {"reads", "current", "Current"}, {"excludes", "low", "The current is low"}}},
		{Kind: "check", ID: "smoke-test", Label: "Smoke test",
			Facts: []Fact{{"minutes", "20"}, {"needs", "smoke machine"}, {"step 1", "Close the inlet"}, {"step 2", "Blow"}},
			Links: []Link{{"yields", "smoke", "Smoke seen"}, {"decides the rule", "smoke", "Smoke comes out"}, {"settles", "leak", "Leak"}, {"takes care of", "fire", "No flame."}}},
		{Kind: "caution", ID: "fire", Label: "No flame.", Facts: []Fact{}, Links: []Link{{"goes with the check", "smoke-test", "Smoke test"}}},
		{Kind: "vehicle", ID: "car", Label: "A car",
			Facts: []Fact{{"demo", "invented; for demonstration only"}, {"source", "invented"}},
			Links: []Link{{"has a figure for", "current", "10 mA, in order 8-12 mA"}, {"has a figure for", "duty", "27-29 %"}}},
	} {
		if diff := cmp.Diff(want, card(want.ID)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", want.ID, diff)
		}
	}
	// An id that things of two kinds share gives both.
	if cards, err := p.Show("smoke"); err != nil || len(cards) != 2 || cards[0].Kind != "reading" || cards[1].Kind != "rule" {
		t.Errorf("%v, %v", cards, err)
	}
}
