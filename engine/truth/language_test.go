package truth

import (
	"math"
	"strings"
	"testing"
)

// garage knows most things exactly: CO 1.5 %, CO2 14 %, O2 0.5 %, HC 100 ppm,
// current 10 mA, speed 850 /min, warm, not closed, a sooty look; ratio, x to w
// and the trace are unknown. CO's figures are 0.5 to 1 % and 0.8 % reference.
func garage(t *testing.T, derived ...derive) *job {
	j := newJob(t, derived...)
	for id, x := range map[string]float64{"co": 1.5, "co2": 14, "o2": 0.5, "hc": 100, "current": 10, "speed": 850} {
		j.number(id, x, 0)
	}
	j.yes("warm", true).yes("closed", false)
	j.v.SetChoice(j.index("look"), 1)
	return j.spec("co", Spec{From: 0.5, To: 1, Reference: 0.8, HasFrom: true, HasTo: true, HasReference: true})
}

var (
	holds     = Truth{1, 1}
	fails     = Truth{0, 0}
	undecided = Truth{0, 1}
)

// TestLanguage is every operator and every test of the language.
func TestLanguage(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range []struct {
		reason, src string
		want        Truth
	}{
		{"a yes/no stands for itself", "warm", holds},
		{"and for no", "closed", fails},
		{"not", "not closed", holds},
		{"not twice", "not not warm", holds},
		{"not of a test", "not high(co)", fails},
		{"and", "warm and closed", fails},
		{"or", "warm or closed", holds},
		{"and binds tighter than or", "warm or closed and closed", holds},
		{"brackets bind tightest", "(warm or closed) and closed", fails},
		{"not binds tighter than and", "not closed and warm", holds},

		{"below", "co < 2", holds}, {"not below", "co < 1", fails},
		{"on the limit, below", "co < 1.5", fails}, {"on the limit, at most", "co <= 1.5", holds},
		{"above", "co > 1", holds}, {"not above", "co > 2", fails},
		{"on the limit, above", "co > 1.5", fails}, {"on the limit, at least", "co >= 1.5", holds},
		{"the limit first", "1 < co", holds}, {"the limit first, at most", "1.5 <= co", holds},
		{"the limit first, above", "1.5 > co", fails}, {"the limit first, at least", "1.5 >= co", holds},
		{"two readings", "co2 > co", holds}, {"two readings, the same one", "co >= co", holds},
		{"two readings, never above itself", "co > co", fails},
		{"decimal fractions add up", "o2 + 0.1 + 0.2 <= 0.8", holds},
		{"and are not more", "o2 + 0.1 + 0.2 > 0.8", fails},
		{"what cancels is nothing", "co*1.1 - co*0.1 - co > 0", fails},
		{"nor less", "co*1.1 - co*0.1 - co < 0", fails},
		{"a sum", "co + co2 > 15", holds},
		{"a difference", "co2 - co > 12", holds},
		{"a product", "co * 2 > 2.9", holds},
		{"a quotient", "co / 3 <= 0.5", holds},
		{"a sign", "-co < -1", holds},
		{"a plus sign", "+co > 1", holds},
		{"products bind tighter than sums", "co + 2 * co <= 4.5", holds},
		{"no answer", "co / (o2 - 0.5) > 1", undecided},
		{"a size", "abs(co - 3) >= 1.5", holds}, {"a size, below", "abs(-co) < 1", fails},
		{"a size below nothing", "abs(co) < -1", fails}, {"a size above less than nothing", "abs(co) > -1", holds},
		{"the least", "min(co, o2, 3) < 1", holds}, {"the greatest", "max(co, o2, 1) < 1.6", holds},
		{"the least, above", "min(co, o2) > 1", fails}, {"the greatest, above", "max(co, o2) > 1", holds},
		{"the least of a limit and a reading", "min(co, 1) > 1.2", fails},
		{"minus the greatest", "-max(co, o2) > -1", fails},
		{"a size of the least", "abs(min(-co, o2)) > 1", holds},
		{"a size compared with a reading", "abs(-co) > o2", holds},
		{"a reading compared with a size", "o2 > abs(-co)", fails},
		{"the least of sizes", "min(abs(-co), abs(o2)) < 1", holds},

		{"between, inside", "between(co, 1, 2)", holds}, {"between, at the lower end", "between(co, 1.5, 2)", holds},
		{"between, at the upper end", "between(co, 1, 1.5)", holds}, {"between, outside", "between(co, 2, 3)", fails},
		{"between readings", "between(co, o2, co2)", holds}, {"between readings the wrong way round", "between(co, co2, o2)", fails},
		{"between, of a size", "between(abs(-co), 1, 2)", holds},

		{"a word", `look == "sooty"`, holds}, {"another word", `look == "white"`, fails},
		{"not that word", `look != "white"`, holds}, {"the word first", `"sooty" == look`, holds},

		{"high", "high(co)", holds}, {"low", "low(co)", fails}, {"ok", "ok(co)", fails},
		{"high, without a figure", "high(o2)", undecided},
		{"ok, without a reading", "ok(x)", undecided},
		{"known", "known(co)", holds}, {"not known", "known(x)", fails},
		{"known, of a yes/no", "known(warm)", holds}, {"known, of a choice", "known(look)", holds},
		{"known, of a trace", "known(signal)", fails},

		{"an unknown number", "x > 1", undecided}, {"an unknown side", "co > x * o2", undecided},
		{"unknown and no", "x > 1 and closed", fails}, {"unknown and yes", "x > 1 and warm", undecided},
		{"unknown or yes", "x > 1 or warm", holds}, {"unknown or no", "x > 1 or closed", undecided},
		{"an unknown equals nothing, not even itself", "x > 1 or not (x > 1)", undecided},
		{"an unknown where it matters not", "known(x) and x > 1", fails},
		{"a comment", "warm // as it should be", holds},
		{"a comment inside", "warm /* or not */ and warm", holds},
		{"over several lines", "warm\n  and\r\n\tco > 1", holds},
		{"a half number", "co > .5", holds}, {"grouped digits", "speed < 1_000", holds}, {"with an exponent", "speed < 1e3", holds},
	} {
		if seen[c.reason] {
			t.Fatalf("two rows of one name: %s", c.reason)
		}
		seen[c.reason] = true
		if got := garage(t).truth(c.src); got != c.want {
			t.Errorf("%s: %s is %v, want %v", c.reason, c.src, got, c.want)
		}
	}
	for _, f := range Functions() {
		if f.DerivedOnly {
			continue
		}
		used := false
		for reason := range seen {
			used = used || strings.Contains(reason, map[string]string{"abs": "a size", "min": "the least", "max": "the greatest"}[f.Name]) || strings.Contains(reason, f.Name)
		}
		if !used {
			t.Errorf("no row for %s", f.Name)
		}
	}
}

// TestUncertainLanguage: CO 1.5 with u 0.1; a margin of one u is 0.8413 (see
// TestConformanceProbability).
func TestUncertainLanguage(t *testing.T) {
	const one, two, fiveOut = 0.841344746068543, 0.977249868051821, 2.866516e-7
	for _, c := range []struct {
		reason, src string
		want        float64
	}{
		{"below", "co < 1.6", one}, {"at most is the same", "co <= 1.6", one},
		{"above", "co > 1.4", one}, {"the limit first", "1.4 < co", one},
		{"not", "not (co > 1.6)", one},
		{"twice the reading, twice the uncertainty", "2*co < 3.2", one},
		{"the same reading on both sides", "co - 0.1 < co", 1},
		{"both readings uncertain: u is 0.05 for O2, 0.1118 together", "co + o2 < 2 + 0.1118033988749895", one},
		{"a range", "between(co, 1.4, 1.6)", 2*one - 1},
		{"two tests of one reading", "co > 1.4 and co < 1.6", 2*one - 1},
		{"out of range", "co < 1.4 or co > 1.6", 2 - 2*one},
		{"the same test twice", "co > 1.4 and co > 1.4", one},
		{"the wider test adds nothing", "co > 1.4 and co > 1.3", one},
		{"the narrower adds nothing to or", "co > 1.4 or co > 1.3", two},
		{"two readings multiply", "co > 1.4 and o2 > 0.45", one * one},
		{"or of two", "co > 1.4 or o2 > 0.45", 1 - (1-one)*(1-one)},
		{"high, by five u", "high(co)", 1 - fiveOut}, {"not ok, by five u", "not ok(co)", 1 - fiveOut},
		{"a size", "abs(co - 1.5) < 0.1", 2*one - 1}, {"a size, above", "abs(1.5 - co) > 0.1", 2 - 2*one},
		{"the greatest of two", "max(co - 1.5, 2*o2 - 1) < 0.1", one * one},
		{"the least of two", "min(co - 1.5, 2*o2 - 1) > -0.1", one * one},
		{"a range of a size", "between(abs(co - 1.5), 0.1, 0.2)", 2 * (two - one)},
	} {
		j := garage(t).number("co", 1.5, 0.1).number("o2", 0.5, 0.05)
		near(t, c.reason+": "+c.src, j.p(c.src), c.want, 1e-12)
	}
}

// TestArithmetic is every operator and function that yields a number.
func TestArithmetic(t *testing.T) {
	j := garage(t, derive{id: "twice", from: "x * 2"}, derive{id: "four_times", from: "twice + twice"})
	j.number("co", 1.5, 0.1).number("o2", 0.5, 0.2).number("x", 1.5, 0.1)
	for _, c := range []struct {
		src      string
		value, u float64
		reason   string
	}{
		{"co", 1.5, 0.1, "a reading"},
		{"3", 3, 0, "a literal"},
		{"2 + 3 * 4 - 6 / 3", 12, 0, "literals alone"},
		{"co + o2", 2, math.Hypot(0.1, 0.2), "a sum"},
		{"co - o2", 1, math.Hypot(0.1, 0.2), "a difference"},
		{"co * o2", 0.75, math.Hypot(0.5*0.1, 1.5*0.2), "a product, to first order"},
		{"co / o2", 3, math.Hypot(0.1/0.5, 1.5*0.2/0.25), "a quotient, to first order"},
		{"co * co", 2.25, 0.3, "a square: the same reading twice"},
		{"-co", -1.5, 0.1, "a sign"},
		{"abs(-co)", 1.5, 0.1, "a size"},
		{"abs(co)", 1.5, 0.1, "a size of what is above nothing"},
		{"min(co, o2)", 0.5, 0.2, "the least, with its own uncertainty"},
		{"max(co, o2, 1)", 1.5, 0.1, "the greatest, with its own uncertainty"},
		{"min(4, 2, 3)", 2, 0, "the least of five or more"},
		{"min(co, 9, 8, 7, 6, 5, 4)", 1.5, 0.1, "the least of seven"},
		{"max(min(co, 2), min(o2, 2)) + co", 3, 0.2, "nested"},
		{"reference(co)", 0.8, 0, "the reference is exact"},
		{"co - reference(co)", 0.7, 0.1, "off the reference"},
		{"twice", 3, 0.2, "a derived reading"},
		{"four_times - twice", 3, 0.2, "derived readings of one"},
		{"four_times - 4 * x", 0, 0, "nothing is left of one reading"},
	} {
		value, u := j.value(c.src)
		near(t, c.reason+": value of "+c.src, value, c.value, 1e-14)
		near(t, c.reason+": u of "+c.src, u, c.u, 1e-14)
	}
}

// TestDerivedGivesWay: what a job gives wins over what it would be derived from.
func TestDerivedGivesWay(t *testing.T) {
	j := newJob(t, derive{id: "sum", from: "x + y"}, derive{id: "big", from: "sum > 10", kind: YesNo})
	if got := j.truth("big"); got != undecided || j.v.Known(j.index("sum")) || j.v.Known(j.index("big")) {
		t.Errorf("nothing given: %v", got)
	}
	j.number("x", 4, 0).number("y", 8, 0)
	if got := j.truth("big"); got != holds || !j.v.Known(j.index("sum")) || !j.v.Known(j.index("big")) {
		t.Errorf("derived: %v", got)
	}
	j.number("sum", 9, 0)
	if got := j.truth("big"); got != fails {
		t.Errorf("the sum given: %v", got)
	}
	j.yes("big", true)
	if got := j.truth("big and sum < 10"); got != holds {
		t.Errorf("both given: %v", got)
	}
	j.v.Unset(j.index("big"))
	j.v.Unset(j.index("sum"))
	if got := j.truth("big"); got != holds {
		t.Errorf("taken back: %v", got)
	}
	j.v.Reset()
	if got := j.truth("big"); got != undecided {
		t.Errorf("reset: %v", got)
	}
}

// TestDerivedUnderNot: a derived yes/no can be negated, whichever way it is asked
// first, and whether it is certain or not.
func TestDerivedUnderNot(t *testing.T) {
	const one = 0.841344746068543 // see TestConformanceProbability
	for _, c := range []struct {
		reason string
		x, u   float64
		want   Truth // of "big"
	}{
		{"certainly", 3, 0, holds}, {"certainly not", 1, 0, fails}, {"probably", 3, 1, Truth{one, one}}, {"hardly", 1, 1, Truth{1 - one, 1 - one}},
	} {
		for _, order := range [][3]string{{"big", "not big", "big"}, {"not big", "big", "not big"}} {
			j := newJob(t, derive{id: "big", from: "x > 2", kind: YesNo}).number("x", c.x, c.u)
			for _, src := range order {
				want := c.want
				if src != "big" {
					want = want.not()
				}
				got := j.truth(src)
				near(t, c.reason+": least of "+src, got.Least, want.Least, 1e-15)
				near(t, c.reason+": most of "+src, got.Most, want.Most, 1e-15)
			}
			near(t, c.reason+": both", j.p("big and not big"), 0, 1e-15)
			near(t, c.reason+": either", j.p("big or not big"), 1, 1e-15)
		}
	}
}
