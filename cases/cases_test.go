package cases

import (
	"errors"
	"strings"
	"testing"

	"culprit/engine"
	"culprit/engine/source"
)

// shipped opens the shipped pack and cases, or fails with every problem.
func shipped(t testing.TB) (*engine.Pack, []*Case) {
	t.Helper()
	p, err := engine.Open(engine.Sources{})
	if err != nil {
		t.Fatal(explain(err))
	}
	all, err := Load(FS)
	if err != nil {
		t.Fatal(explain(err))
	}
	return p, all
}

func explain(err error) string {
	var ps source.Problems
	if !errors.As(err, &ps) {
		return err.Error()
	}
	var b strings.Builder
	ps.Format(&b)
	return b.String()
}

func TestShippedCases(t *testing.T) {
	p, all := shipped(t)
	for _, c := range all {
		t.Run(c.ID, func(t *testing.T) {
			if r := c.Run(t.Context(), p); len(r.Failures) > 0 {
				t.Errorf("because: %s\n%s", c.Because, explain(r.Failures))
			}
		})
	}
}

// TestEveryFaultLeads holds the promise that each fault of the shipped pack
// leads in at least one case.
func TestEveryFaultLeads(t *testing.T) {
	p, all := shipped(t)
	leads := map[string]bool{}
	for _, c := range all {
		for _, e := range c.Expect {
			if e.Rank == 1 {
				leads[e.Fault.ID] = true
			}
		}
	}
	for _, f := range p.Faults() {
		if !leads[f] {
			t.Errorf("no case expects %q to lead", f)
		}
	}
	if len(all) < 45 {
		t.Errorf("%d cases, fewer than 45", len(all))
	}
}
