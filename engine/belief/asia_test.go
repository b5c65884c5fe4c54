package belief

import (
	"fmt"
	"math"
	"testing"
)

// Asia (Lauritzen and Spiegelhalter 1988, "Local computations with
// probabilities on graphical structures and their application to expert
// systems"; tables as in the manual of the R package gRain): P(a) .01; P(s) .5;
// P(t|a) .05/.01; P(l|s) .10/.01; P(b|s) .60/.30; e = t or l; P(x|e) .98/.05;
// P(d) given e and b .9, e alone .7, b alone .8, neither .1.
//
// In our terms smoking and tuberculosis are faults. Then e is a condition with
// leak .01 (lung cancer without smoking), smoking .10 and tuberculosis 1,
// exactly; b one with leak .30 and smoking .60. The visit a, tuberculosis'
// parent, turns into a finding that it shows, by Bayes' rule. The table of d is
// no noisy-OR; see dyspnoea.
const (
	smoke, tub    = 0, 1
	either, bronc = 0, 1

	xray     = 0
	breath   = 1 // the noisy-OR part of d
	onEither = 2 // e itself, to hang a likelihood on
	onBronc  = 3
	onSmoke  = 4
	visit    = 5
)

const (
	breathLeak = 0.1
	breathFrom = 0.9 // from e and from b alike
	tubPrior   = 0.01*0.05 + 0.99*0.01
)

func asia() Model {
	sure := func(c int) Finding { return Finding{[]Outcome{{States: []Shown{{c, 0, 1}}}}} }
	return Model{
		Faults:     faults(0.5, tubPrior),
		Conditions: []Condition{{[]float64{0.01}}, {[]float64{0.30}}},
		Links:      []Link{{smoke, either, 0, 0.10}, {tub, either, 0, 1}, {smoke, bronc, 0, 0.60}},
		Findings: []Finding{
			{[]Outcome{{Leak: 0.05, States: []Shown{{either, 0, 0.98}}}}},
			{[]Outcome{{Leak: breathLeak, States: []Shown{{either, 0, breathFrom}, {bronc, 0, breathFrom}}}}},
			sure(either), sure(bronc),
			direct(0, 1), // smoking
			{[]Outcome{{Leak: 0.01 * 0.95 / (1 - tubPrior), Faults: []FromFault{{tub, 0.01 * 0.05 / tubPrior}}}}},
		},
	}
}

// dyspnoea returns virtual findings that stand for d or its absence, and the
// factor that their likelihoods lack. Any positive table p over (e, b) is
//
//	factor * u^e * v^b * L(q(e, b))
//
// if L(q) = holds*q + none*(1-q) has its odds ratio p11 p00 / (p10 p01), where q
// is the noisy-OR of the finding breath. The ratio holds:none that makes it so
// is solved for here; u, v and the factor follow from three rows.
func dyspnoea(t *testing.T, present bool) ([]Seen, float64) {
	t.Helper()
	p := [4]float64{0.1, 0.7, 0.8, 0.9} // neither, e, b, both
	likelihood := func(x float64) []float64 { return []float64{1, x} }
	low := 0.0
	if !present {
		for i := range p {
			p[i] = 1 - p[i]
		}
		// Below this the odds ratio falls again.
		likelihood, low = func(x float64) []float64 { return []float64{x, 1} }, 0.12
	}
	both := 1 - (1-breathFrom)*(1-breathFrom)/(1-breathLeak)
	row := func(x, q float64) float64 { return likelihood(x)[0]*q + likelihood(x)[1]*(1-q) }
	excess := func(x float64) float64 {
		return row(x, both)*row(x, breathLeak)/(row(x, breathFrom)*row(x, breathFrom)) - p[3]*p[0]/(p[1]*p[2])
	}
	x := root(t, low, 1, excess)
	factor := p[0] / row(x, breathLeak)
	u, v := p[1]/(factor*row(x, breathFrom)), p[2]/(factor*row(x, breathFrom))
	around(t, "the fourth row", factor*u*v*row(x, both), p[3], 1e-12)
	return []Seen{{breath, likelihood(x)}, {onEither, []float64{u, 1}}, {onBronc, []float64{v, 1}}}, factor
}

// root finds a root of f by bisection.
func root(t *testing.T, low, high float64, f func(float64) float64) float64 {
	t.Helper()
	if f(low)*f(high) > 0 {
		t.Fatalf("no root between: %v and %v", f(low), f(high))
	}
	for range 200 {
		if mid := (low + high) / 2; f(low)*f(mid) <= 0 {
			high = mid
		} else {
			low = mid
		}
	}
	return (low + high) / 2
}

// asiaSeen turns words such as "a -s d x" into evidence, and returns the factor
// that its probability lacks.
func asiaSeen(t *testing.T, words ...string) (e Evidence, factor float64) {
	t.Helper()
	factor = 1
	for _, word := range words {
		present := word[0] != '-'
		seen := holdsNot
		if present {
			seen = holds
		}
		switch word[len(word)-1] {
		case 'a':
			e.Seen = append(e.Seen, seen(visit))
		case 's':
			e.Seen = append(e.Seen, seen(onSmoke))
		case 'x':
			e.Seen = append(e.Seen, seen(xray))
		case 'd':
			seen, f := dyspnoea(t, present)
			e.Seen = append(e.Seen, seen...)
			factor *= f
		default:
			t.Fatalf("unknown word %q", word)
		}
	}
	return e, factor
}

func asiaEvidence(t *testing.T, n *Network, words ...string) float64 {
	t.Helper()
	e, factor := asiaSeen(t, words...)
	return factor * math.Exp(posterior(t, n, e).LogEvidence)
}

// TestAsia checks the posteriors computed by enumeration of the published
// tables; those of the row without evidence and P(a, d) = .004501375 are printed
// in gRain's manual too. Lung cancer, which e swallows, is left out.
func TestAsia(t *testing.T) {
	n := must(t, asia())
	for _, row := range []struct {
		words                                          []string
		evidence, smoke, tub, bronc, either, xray, dys float64
	}{
		{nil, 1, .5, .0104, .45, .064828, .110290, .435971},
		{[]string{"x"}, .110290040, .687754, .092411, .506326, .576040, 1, .640766},
		{[]string{"d"}, .435970600, .633997, .018845, .833967, .120536, .162098, 1},
		{[]string{"a", "d"}, .004501375, .625920, .087751, .811402, .182300, .219539, 1},
		{[]string{"a", "x"}, .001450925, .637007, .337716, .491102, .690628, 1, .681101},
		{[]string{"a", "d", "x"}, .000988227, .702025, .391712, .628822, .813769, 1, 1},
		{[]string{"a", "d", "-x"}, .003513148, .604512, .002249, .862761, .004672, 0, 1},
		{[]string{"s", "d", "x"}, .055519168, 1, .075266, .713706, .791454, 1, 1},
		{[]string{"a", "-s", "d", "x"}, .000294467, 0, .632329, .458960, .752472, 1, 1},
	} {
		e, _ := asiaSeen(t, row.words...)
		p := posterior(t, n, e)
		states, err := n.States(e)
		if err != nil {
			t.Fatal(err)
		}
		name := fmt.Sprint(row.words)
		evidence := asiaEvidence(t, n, row.words...)
		around(t, name+" P(evidence)", evidence, row.evidence, 6e-10)
		around(t, name+" smoke", p.Faults[smoke], row.smoke, 6e-7)
		around(t, name+" tub", p.Faults[tub], row.tub, 6e-7)
		around(t, name+" bronc", states[bronc][0], row.bronc, 6e-7)
		around(t, name+" either", states[either][0], row.either, 6e-7)
		if row.xray > 0 && row.xray < 1 {
			around(t, name+" xray", asiaEvidence(t, n, append([]string{"x"}, row.words...)...)/evidence, row.xray, 6e-7)
		}
		if row.dys < 1 {
			around(t, name+" dys", asiaEvidence(t, n, append([]string{"d"}, row.words...)...)/evidence, row.dys, 6e-7)
			around(t, name+" no dys", asiaEvidence(t, n, append([]string{"-d"}, row.words...)...)/evidence, 1-row.dys, 6e-7)
		}
	}
}

// TestAsiasConflict: Jensen's measure as a general Bayesian-network tool's
// manual defines it, ln(prod P(e_i) / P(e)), by enumeration of the published
// tables. d is three virtual findings here, so where it is among the evidence
// the measure is put together from the probabilities of evidence.
func TestAsiasConflict(t *testing.T) {
	n := must(t, asia())
	for _, row := range []struct {
		words []string
		want  float64
	}{
		{[]string{"x", "d"}, -.38509},
		{[]string{"x", "-d"}, .45113},
		{[]string{"-s", "x", "d"}, .46172},
		{[]string{"x", "-s"}, .47082},
		{[]string{"-s", "d"}, .31197},
		{[]string{"a", "d"}, -.03198},
		{[]string{"x"}, 0},
	} {
		got := -math.Log(asiaEvidence(t, n, row.words...))
		whole := true
		for _, word := range row.words {
			got += math.Log(asiaEvidence(t, n, word))
			whole = whole && word[len(word)-1] != 'd'
		}
		around(t, fmt.Sprint(row.words), got, row.want, 6e-6)
		if !whole {
			continue
		}
		e, _ := asiaSeen(t, row.words...)
		c, err := n.Conflict(e, nil)
		if err != nil {
			t.Fatal(err)
		}
		around(t, fmt.Sprint("Conflict ", row.words), c.Value, row.want, 6e-6)
		for i, without := range c.Without {
			around(t, fmt.Sprint("one finding left of ", row.words, i), without, 0, 0)
		}
	}
}
