package drawing

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"culprit/engine"
)

// someFault makes a fault with evidence of all kinds.
func someFault(r *rand.Rand) *engine.Fault {
	text := func() string { return strings.Repeat(fmt.Sprintf("word%d ", r.IntN(99)), 1+r.IntN(14)) }
	evidence := func() engine.Evidence {
		e := engine.Evidence{Says: text(), Status: engine.Holds, Asks: []engine.Asked{{Text: "x", Readings: []string{"x"}, Value: text()}}}
		if r.IntN(3) == 0 {
			e.Status = engine.DoesNotHold
		}
		for range 1 + r.IntN(2) {
			c := engine.Chain{Shows: r.Float64(), Otherwise: r.Float64()}
			if r.IntN(3) > 0 {
				c.Condition, c.State, c.StateLabel, c.Brings = fmt.Sprintf("c%d", r.IntN(4)), "s", text(), r.Float64()
			}
			e.Chains = append(e.Chains, c)
		}
		return e
	}
	f := &engine.Fault{Fault: "f", Label: text(), Detail: &engine.Detail{}}
	for range 1 + r.IntN(8) {
		f.Detail.For = append(f.Detail.For, evidence())
	}
	for range r.IntN(5) {
		f.Detail.Against = append(f.Detail.Against, evidence())
	}
	return f
}

// TestChainLaws: boxes lie in the drawing and not on each other, text lies in its
// box, everything that has a way from the fault is there up to the most, and the
// rest is counted.
func TestChainLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for range 400 {
		f := someFault(r)
		c := NewChain(f, map[string]string{"x": "X"}, "id")
		want := min(len(f.Detail.For), mostFor) + min(len(f.Detail.Against), mostAgainst)
		left := len(f.Detail.For) + len(f.Detail.Against) - want
		if told := strings.Contains(c.Caption, fmt.Sprintf("%d more", left)); told != (left > 0) {
			t.Fatalf("%d left out, caption %q", left, c.Caption)
		}
		for _, d := range []Drawing{c.Wide, c.Narrow} {
			got := 0
			for i, b := range d.Boxes {
				if b.Class == "seen" || b.Class == "absent" {
					got++
				}
				if b.X < 0 || b.Y < 0 || b.X+b.W > d.Width || b.Y+b.H > d.Height {
					t.Fatalf("%s: box %+v leaves the drawing of %v by %v", d.Class, b, d.Width, d.Height)
				}
				for _, o := range d.Boxes[:i] {
					if b.X < o.X+o.W && o.X < b.X+b.W && b.Y < o.Y+o.H && o.Y < b.Y+b.H {
						t.Fatalf("%s: boxes %+v and %+v lie on each other", d.Class, b, o)
					}
				}
				for _, x := range b.Texts {
					if x.X < b.X || x.Y > b.Y+b.H || x.Y-bigType*0.8 < b.Y || float64(x.X)+textWidth(x.Text, smallType) > float64(b.X+b.W) {
						t.Fatalf("%s: text %+v leaves %+v", d.Class, x, b)
					}
				}
			}
			if got != want {
				t.Fatalf("%s: %d pieces of evidence, want %d", d.Class, got, want)
			}
			if len(d.Lines) < got {
				t.Fatalf("%s: %d lines to %d pieces of evidence", d.Class, len(d.Lines), got)
			}
		}
	}
}

func TestChainOfNothing(t *testing.T) {
	for _, f := range []*engine.Fault{{}, {Detail: &engine.Detail{}}, {Detail: &engine.Detail{For: []engine.Evidence{{Says: "no way leads here"}}}}} {
		if c := NewChain(f, nil, "id"); c != nil {
			t.Errorf("%+v has a chain", f)
		}
	}
}

// TestFragmentsEscape: what comes from files is text in every fragment.
func TestFragmentsEscape(t *testing.T) {
	const bad = `"><script>x</script>`
	f := &engine.Fault{Label: bad, Detail: &engine.Detail{For: []engine.Evidence{{Says: bad, Asks: []engine.Asked{{Readings: []string{bad}, Value: bad, Limit: bad}},
		Chains: []engine.Chain{{Condition: bad, State: bad, StateLabel: bad}}}}}}
	var b bytes.Buffer
	if err := Templates().ExecuteTemplate(&b, "chain", NewChain(f, nil, "id")); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "<script") || !strings.Contains(b.String(), "&lt;script") {
		t.Errorf("not escaped:\n%s", b.String())
	}
}

func TestWrap(t *testing.T) {
	for _, c := range []struct {
		reason, text string
		width        float64
		most         int
		want         string
	}{
		{"short text is one line", "a b", 100, 5, "a b"},
		{"no text is one empty line", "", 100, 5, ""},
		{"broken at spaces", "aaaa bbbb cccc", 60, 5, "aaaa|bbbb|cccc"},
		{"a long word is broken within", "aaaaaaaaaaaa", 60, 5, "aaaaaa|aaaaaa"},
		{"the rest is left out", "aaaa bbbb cccc dddd", 60, 2, "aaaa|bbbb…"},
		{"what turns the text is shown", "a\u202eb", 60, 2, "a\ufffdb"},
		{"a word beyond all sense ends", strings.Repeat("w", 1e6), 60, 2, "wwww|www…"},
	} {
		got := strings.Join(wrap(c.text, 15, c.width, c.most), "|")
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.reason, got, c.want)
		}
		for _, line := range strings.Split(got, "|") {
			if textWidth(line, 15) > c.width {
				t.Errorf("%s: %q is wider than %v", c.reason, line, c.width)
			}
		}
	}
}
