package engine

import (
	"slices"

	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

// asks is what a rule needs before it answers.
type asks struct {
	rule    *rulefile.Rule
	reads   []int // of its question
	sources []int // of these
	given   []int // readings of its given
	// claims hold its given, and what is sure of a ready car that bears on it.
	claims []truth.Claim
	known  [2][]truth.Claim // by reading of given: that it is not known, and that it is
	can    map[string]bool  // by which of given are known: whether it can be so
}

// ask prepares the questions of all rules.
func (s *Simulator) ask() {
	rules := s.pack.rules
	for _, r := range rules.Readings {
		if r.From != nil {
			s.derived = append(s.derived, r)
		}
	}
	claim := func(text string, holds bool) truth.Claim {
		e, err := rules.Scope.Compile(text, truth.YesNo, truth.InRule)
		if err != nil {
			panic("a question about a reading of the pack: " + err.Error())
		}
		return truth.Claim{Expr: e, Holds: holds}
	}
	for _, r := range rules.Rules {
		a := asks{rule: r, reads: r.When.Reads(), can: map[string]bool{}}
		a.sources = s.pack.sources(a.reads)
		if r.Given != nil {
			a.given = r.Given.Reads()
			a.claims = []truth.Claim{{Expr: r.Given, Holds: true}}
			sources := s.pack.sources(a.given)
			for _, x := range rules.Readings {
				if is, sure := s.car.sure[x.Index]; sure && s.bears(x, sources) {
					a.claims = append(a.claims, claim(x.ID, is))
				}
			}
			for _, i := range a.given {
				text := "known(" + rules.Readings[i].ID + ")"
				a.known[0] = append(a.known[0], claim(text, false))
				a.known[1] = append(a.known[1], claim(text, true))
			}
		}
		s.asks = append(s.asks, a)
	}
}

// bears tells whether a reading is one of some, or worked out from one of them.
func (s *Simulator) bears(r *rulefile.Reading, of []int) bool {
	return slices.Contains(of, r.Index) ||
		r.From != nil && slices.ContainsFunc(s.pack.sources(r.From.Reads()), func(i int) bool { return slices.Contains(of, i) })
}

// findings lists the findings that have an outcome once checks have been made,
// in the network's order.
func (s *Simulator) findings(made []bool) []int {
	key := bits(made)
	s.mu.Lock()
	defer s.mu.Unlock()
	if found, ok := s.decided[key]; ok {
		return found
	}
	taken := s.taken(made)
	found := []int{}
	for f := range s.pack.findings {
		if slices.ContainsFunc(s.pack.findings[f].rules, func(r *rulefile.Rule) bool { return s.answers(taken, &s.asks[r.Index]) }) {
			found = append(found, f)
		}
	}
	if len(s.decided) < mostKept {
		s.decided[key] = found
	}
	return found
}

// mostKept bounds what is kept of each kind, so that many jobs do not fill the
// memory. The states that many cars pass through come first.
const mostKept = 200_000

// keep keeps what was worked out for a state.
func keep[T any](s *Simulator, in map[string]T, key string, x T) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(in) < mostKept {
		in[key] = x
	}
}

func bits(of []bool) string {
	b := make([]byte, len(of))
	for i, is := range of {
		if is {
			b[i] = 1
		}
	}
	return string(b)
}

// taken tells which readings of a ready car are there once checks have been made.
func (s *Simulator) taken(made []bool) []bool {
	rules := s.pack.rules
	taken := make([]bool, len(rules.Readings))
	for i := range s.car.sure {
		taken[i] = true
	}
	for _, c := range rules.Checks {
		if made[c.Index] {
			for _, i := range c.Yields {
				taken[i] = true
			}
		}
	}
	missing := func(i int) bool { return !taken[i] }
	for again := true; again; { // derived from each other in any order
		again = false
		for _, r := range s.derived {
			if !taken[r.Index] && !slices.ContainsFunc(r.From.Reads(), missing) {
				taken[r.Index], again = true, true
			}
		}
	}
	return taken
}

// answers tells whether a rule holds or does not hold: all that it asks for has been
// taken, something of it by a check, and its given can be so with what has been taken.
func (s *Simulator) answers(taken []bool, a *asks) bool {
	missing := func(i int) bool { return !taken[i] }
	measured := func(i int) bool { _, sure := s.car.sure[i]; return !sure && taken[i] }
	return !slices.ContainsFunc(a.reads, missing) && slices.ContainsFunc(a.sources, measured) && s.canApply(taken, a)
}

// canApply tells whether a rule's given can be so. What it asks of readings that
// have not been taken is not so, except that they are unknown.
func (s *Simulator) canApply(taken []bool, a *asks) bool {
	if a.rule.Given == nil {
		return true
	}
	key := make([]byte, len(a.given))
	claims := slices.Clone(a.claims)
	for k, i := range a.given {
		if taken[i] {
			key[k] = 1
		}
		claims = append(claims, a.known[key[k]][k])
	}
	if can, ok := a.can[string(key)]; ok {
		return can
	}
	plausible := func(i int) (from, to float64, ok bool) {
		if p := s.pack.rules.Readings[i].Plausible; p != nil {
			return p.From, p.To, true
		}
		return 0, 0, false
	}
	can := s.pack.rules.Scope.Possible(plausible, claims...)
	a.can[string(key)] = can
	return can
}
