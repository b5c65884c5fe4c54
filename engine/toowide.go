package engine

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"culprit/engine/belief"
)

// TooWideError says that the exact answer would take too much, why, and what is
// exact all the same. It is never answered by an approximation.
type TooWideError struct {
	Live, Limit int      // states that would be undecided at once, and how many may be
	Conditions  []string // ids of those whose states they are
	Rules       []string // ids of the rules that bear on them
	Still       Still
}

// Still is what is exact where not everything is: given the readings, the faults
// fall into parts that have nothing to do with each other, and those of a part that
// is not too wide have their exact probability.
type Still struct {
	Faults   []Likely `json:"faults"`    // the most probable first
	NotKnown []string `json:"not_known"` // ids of the others, in the order of the pack
}

// mostNamed is how many ids a message names before it counts the rest.
const mostNamed = 6

func (e *TooWideError) Error() string {
	return fmt.Sprintf("the exact answer needs %d states undecided at once, more than the limit of %d: those of %s, on which %s bear",
		e.Live, e.Limit, listed("condition", e.Conditions), listed("rule", e.Rules))
}

// listed names ids after the word for what they are.
func listed(what string, ids []string) string {
	switch len(ids) {
	case 0:
		return "no " + what
	case 1:
		return "the " + what + " " + ids[0]
	}
	more := max(0, len(ids)-mostNamed)
	text := "the " + what + "s " + strings.Join(ids[:len(ids)-more], ", ")
	if more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return text
}

// inference says in the words of rules why the network had no answer to what a
// session asked.
func (p *Pack) inference(ctx context.Context, s *session, err error) error {
	var wide *belief.TooWideError
	switch {
	case errors.Is(err, belief.ErrStopped):
		return ctx.Err()
	case errors.As(err, &wide):
		return p.tooWide(ctx, s, wide)
	}
	return inference(err)
}

// tooWide names what is too wide and adds what is exact beside it.
func (p *Pack) tooWide(ctx context.Context, s *session, wide *belief.TooWideError) error {
	e := &TooWideError{Live: wide.Live, Limit: wide.Limit, Still: Still{Faults: []Likely{}, NotKnown: []string{}}}
	for _, c := range wide.Conditions {
		e.Conditions = append(e.Conditions, p.rules.Conditions[c].ID)
	}
	for _, f := range wide.Findings {
		for _, r := range p.findings[f].rules {
			if s.answers[r.Index].counts() {
				e.Rules = append(e.Rules, r.ID)
			}
		}
	}
	part, err := p.net.Partial(s.evidence)
	if err != nil {
		return p.inference(ctx, s, err) // it is never too wide itself
	}
	for i, f := range p.rules.Faults {
		if part.Known[i] {
			e.Still.Faults = append(e.Still.Faults, Likely{f.ID, part.Faults[i]})
		} else {
			e.Still.NotKnown = append(e.Still.NotKnown, f.ID)
		}
	}
	slices.SortStableFunc(e.Still.Faults, func(a, b Likely) int { return likelier(a.Probability, b.Probability) })
	return e
}
