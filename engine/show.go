package engine

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"culprit/engine/rulefile"
	"culprit/engine/source"
)

// Card is what a pack knows of one id.
type Card struct {
	Kind  string `json:"kind"` // one of [Kinds], or "state" for CONDITION.STATE
	ID    string `json:"id"`
	Label string `json:"label"`
	Where string `json:"where"` // file:line:column of its definition
	Doc   string `json:"doc,omitempty"`
	// Facts are its own properties, Links what it hangs together with.
	Facts []Fact `json:"facts"`
	Links []Link `json:"links"`
	// Raises and Lowers are, of a fault, the answers of rules that speak for and
	// against it; of a rule, the faults that its answers speak for and against. The
	// heaviest stand first.
	Raises []Weighs `json:"raises,omitempty"`
	Lowers []Weighs `json:"lowers,omitempty"`
	// Nearest are the faults hardest to tell from a fault, the hardest first.
	Nearest []NearFault `json:"nearest,omitempty"`
}

// Fact is one property in words.
type Fact struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// Link is a relation to another id: "is brought by", "reads", "settles".
type Link struct {
	Relation string `json:"relation"`
	ID       string `json:"id"`
	Text     string `json:"text,omitempty"`
}

func (c *Card) fact(name, format string, args ...any) {
	if text := fmt.Sprintf(format, args...); text != "" {
		c.Facts = append(c.Facts, Fact{name, text})
	}
}

func (c *Card) link(relation, id, format string, args ...any) {
	c.Links = append(c.Links, Link{relation, id, fmt.Sprintf(format, args...)})
}

func newCard(kind, id, label, doc string, at source.Pos) Card {
	return Card{Kind: kind, ID: id, Label: label, Doc: doc, Where: at.String(), Facts: []Fact{}, Links: []Link{}}
}

// Kinds are the kinds of things that a pack holds, in the order of [Pack.List].
var Kinds = []string{"reading", "condition", "fault", "rule", "check", "preparation", "caution", "vehicle", "last resort"}

// List gives kind, id and label of everything in the pack.
func (p *Pack) List() []Card {
	var all []Card
	r := p.rules
	for _, x := range r.Readings {
		all = append(all, newCard("reading", x.ID, x.Label, x.Doc, x.At))
	}
	for _, x := range r.Conditions {
		all = append(all, newCard("condition", x.ID, x.Label, x.Doc, x.At))
	}
	for _, x := range r.Faults {
		all = append(all, newCard("fault", x.ID, x.Label, x.Doc, x.At))
	}
	for _, x := range r.Rules {
		all = append(all, newCard("rule", x.ID, x.Says, x.Doc, x.At))
	}
	for _, x := range r.Checks {
		all = append(all, newCard("check", x.ID, x.Label, x.Doc, x.At))
	}
	for _, x := range r.Preparations {
		all = append(all, newCard("preparation", x.ID, x.Label, x.Doc, x.At))
	}
	for _, x := range r.Cautions {
		all = append(all, newCard("caution", x.ID, x.Text, "", x.At))
	}
	for _, x := range r.Vehicles {
		all = append(all, newCard("vehicle", x.ID, x.Label, x.Doc, x.At))
	}
	if l := r.About.LastResort; l != nil {
		all = append(all, newCard("last resort", lastResortID, l.Label, "", l.At))
	}
	return all
}

// lastResortID is what shows the last resort of a pack, which has no id of its own.
const lastResortID = "last-resort"

// ErrNoID means that a pack holds nothing of a name.
var ErrNoID = errors.New("nothing in the pack has this id")

// Show tells what the pack knows of an id: one card, or several where things of
// several kinds share it. A condition's state is found as CONDITION.STATE. Errors
// are an [UnknownID], which wraps ErrNoID, where there is nothing of the name.
func (p *Pack) Show(id string) ([]Card, error) {
	var cards []Card
	if r := p.rules.Reading(id); r != nil {
		cards = append(cards, p.showReading(r))
	}
	if c := p.rules.Condition(id); c != nil {
		cards = append(cards, p.showCondition(c))
	}
	if c, state := p.stateOf(id); c != nil {
		cards = append(cards, p.showState(c, state))
	}
	if f := p.rules.Fault(id); f != nil {
		card, err := p.showFault(f)
		if err != nil {
			return nil, err
		}
		cards = append(cards, card)
	}
	if r := p.rules.Rule(id); r != nil {
		card, err := p.showRule(r)
		if err != nil {
			return nil, err
		}
		cards = append(cards, card)
	}
	if c := p.rules.Check(id); c != nil {
		cards = append(cards, p.showCheck(c))
	}
	if x := p.rules.Preparation(id); x != nil {
		cards = append(cards, p.showPreparation(x))
	}
	if c := p.rules.Caution(id); c != nil {
		cards = append(cards, p.showCaution(c))
	}
	if v := p.rules.Vehicle(id); v != nil {
		cards = append(cards, p.showVehicle(v))
	}
	if l := p.rules.About.LastResort; l != nil && id == lastResortID {
		cards = append(cards, showLastResort(l))
	}
	if len(cards) > 0 {
		return cards, nil
	}
	return nil, p.noSuchID(id)
}

// noSuchID names the nearest id of anything that can be shown.
func (p *Pack) noSuchID(id string) error {
	var ids []string
	for _, c := range p.List() {
		ids = append(ids, c.ID)
	}
	for _, c := range p.rules.Conditions {
		for _, s := range c.States {
			ids = append(ids, c.ID+"."+s.ID)
		}
	}
	return &UnknownID{id, source.Nearest(id, ids)}
}

// UnknownID is the error about an id that nothing in a pack has. It wraps ErrNoID.
type UnknownID struct {
	ID   string
	Near string // the nearest id that something has, "" where none is near
}

func (e *UnknownID) Error() string {
	if e.Near == "" {
		return fmt.Sprintf("%v: %q", ErrNoID, e.ID)
	}
	return fmt.Sprintf("%v: %q; did you mean %q?", ErrNoID, e.ID, e.Near)
}

func (e *UnknownID) Unwrap() error { return ErrNoID }

// stateOf finds the condition and the index of CONDITION.STATE; nil for any other id.
func (p *Pack) stateOf(id string) (*rulefile.Condition, int) {
	name, state, _ := strings.Cut(id, ".")
	c := p.rules.Condition(name)
	if c == nil || c.State(state) < 0 {
		return nil, 0
	}
	return c, c.State(state)
}

// often writes a strength as a person says it.
func often(p float64) string {
	for word, q := range rulefile.HowOften {
		if p == q {
			return fmt.Sprintf("%s (%v)", word, p)
		}
	}
	return fmt.Sprint(p)
}

// shownRule is a rule with one thing that it shows.
type shownRule struct {
	rule  *rulefile.Rule
	shown rulefile.Shown
}

// shownBy lists the rules that show a state, or a fault directly.
func (p *Pack) shownBy(is func(rulefile.Shown) bool) []shownRule {
	var out []shownRule
	for _, r := range p.rules.Rules {
		if i := slices.IndexFunc(r.Shows, is); i >= 0 {
			out = append(out, shownRule{r, r.Shows[i]})
		}
	}
	return out
}
