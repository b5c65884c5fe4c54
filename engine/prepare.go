package engine

import (
	"slices"

	"culprit/engine/rulefile"
)

// Prepared is what a check shares with others: it is made first, and once for all of them.
type Prepared struct {
	Preparation string   `json:"preparation"`
	Label       string   `json:"label"`
	Minutes     float64  `json:"minutes"` // part of those of the check
	Do          []string `json:"do,omitempty"`
}

// prepared tells what is made before a check, in the order of the work; nil when there is nothing.
func (p *Pack) prepared(c *rulefile.Check) []Prepared {
	var all []Prepared
	for _, i := range c.Prepare {
		prep := p.rules.Preparations[i]
		all = append(all, Prepared{Preparation: prep.ID, Label: prep.Label, Minutes: prep.Minutes, Do: slices.Clone(prep.Do)})
	}
	return all
}
