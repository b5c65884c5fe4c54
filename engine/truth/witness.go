package truth

import (
	"maps"
	"slices"
)

// Example is a reading of a witness: what it is, and where it has to stand against
// its specification.
type Example struct {
	Reading int
	Number  float64
	Yes     bool
	Word    int
	Against string // "below", "inside", "above", or "" where no specification is asked
}

// Witness looks for readings inside their ranges with which all claims are so, and
// gives them in the order of the scope; ok is false where none was found. What it gives
// has been evaluated: the claims are so.
func (s *Scope) Witness(ranges Ranges, claims ...Claim) (w []Example, ok bool) {
	sr := &search{scope: s, ranges: ranges}
	v, tried := s.Values(), 0
	sr.found = func(b *leeway) bool {
		if tried++; tried > maxTried {
			return true
		}
		for _, share := range shares {
			if w = sr.try(v, b, share, claims); w != nil {
				return true
			}
		}
		return false
	}
	sr.run(claims)
	return w, w != nil
}

// shares are the places in a leeway that are tried: its middle, its corners, and some
// between, where a comparison of two readings cuts it.
var shares = [][2]float64{{0.5, 0.5}, {0, 0}, {1, 1}, {0, 1}, {1, 0}, {0.25, 0.75}, {0.75, 0.25}, {0.1, 0.9}, {0.9, 0.1}}

// maxTried is how many ways to satisfy the claims are tried for a witness.
const maxTried = 20

// try makes readings out of a leeway and evaluates the claims.
func (s *search) try(v *Values, b *leeway, share [2]float64, claims []Claim) []Example {
	v.Reset()
	out := []Example{}
	n := 0
	for _, r := range slices.Sorted(maps.Keys(b.cells)) {
		c := b.cells[r]
		if c.known == no {
			continue
		}
		e := Example{Reading: r}
		switch s.scope.readings[r].Kind {
		case Number:
			e.Number = c.span.middle(share[n%2])
			n++
			v.SetNumber(r, e.Number, 0)
			e.Against = s.against(v, r, c.place, e.Number)
		case YesNo:
			e.Yes = c.yes != no
			v.SetYesNo(r, e.Yes)
		case Choice:
			e.Word = c.pick()
			v.SetChoice(r, e.Word)
		case Trace:
			return nil
		}
		out = append(out, e)
	}
	for _, c := range claims {
		t := c.Expr.Truth(v)
		if c.Holds && t.Least < 1 || !c.Holds && t.Most > 0 {
			return nil
		}
	}
	return out
}

// against gives a reading a specification that has it where the leeway wants it.
func (s *search) against(v *Values, r int, p place, at float64) string {
	w := max(1, at, -at)
	switch {
	case p == isBelow|isInside|isAbove:
		return ""
	case p&isInside != 0:
		v.SetSpec(r, Spec{From: at - w, To: at + w, HasFrom: true, HasTo: true})
		return "inside"
	case p&isBelow != 0:
		v.SetSpec(r, Spec{From: at + w, To: at + 2*w, HasFrom: true, HasTo: true})
		return "below"
	}
	v.SetSpec(r, Spec{From: at - 2*w, To: at - w, HasFrom: true, HasTo: true})
	return "above"
}

// pick is a word that is left.
func (c cell) pick() int {
	if c.word >= 0 {
		return c.word
	}
	for w := 0; ; w++ {
		taken := false
		for _, x := range c.not {
			taken = taken || x == w
		}
		if !taken {
			return w
		}
	}
}
