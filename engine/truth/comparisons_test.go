package truth

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"culprit/engine/quantity"
)

func TestComparisons(t *testing.T) {
	const one = 0.841344746068543 // see TestConformanceProbability
	j := newJob(t, derive{id: "sum", from: "x + y"}, derive{id: "big", from: "x > 10", kind: YesNo})
	j.number("co", 1.5, 0.1).number("o2", 0.5, 0).number("x", 3, 4).number("y", 4, 3).yes("warm", true)
	j.spec("co", Spec{From: 0.5, To: 1.4, HasFrom: true, HasTo: true}).spec("o2", Spec{To: 1, HasTo: true})
	at := func(id string) []int { return []int{j.index(id)} }
	half := func(p float64) Truth { return Truth{p, p} }
	for _, c := range []struct {
		reason, src string
		want        []Comparison
	}{
		{"below a limit", "co < 1.6", []Comparison{{Text: "co < 1.6", Reads: at("co"), Truth: half(one), Numeric: true, Known: true, Value: 1.5, U: 0.1,
			Unit: quantity.Percent, To: 1.6, HasTo: true}}},
		{"above, the limit first", "1.6 < co", []Comparison{{Text: "1.6 < co", Reads: at("co"), Truth: half(1 - one), Numeric: true, Known: true, Value: 1.5, U: 0.1,
			Unit: quantity.Percent, From: 1.6, HasFrom: true}}},
		{"a range", "between(co, 1, 2)", []Comparison{{Text: "between(co, 1, 2)", Reads: at("co"), Truth: half(1 - 2*2.866516e-7), Numeric: true, Known: true, Value: 1.5, U: 0.1,
			Unit: quantity.Percent, From: 1, To: 2, HasFrom: true, HasTo: true}}},
		{"two readings: the left against the right", "co > o2", []Comparison{{Text: "co > o2", Reads: []int{0, 2}, Truth: holds, Numeric: true, Known: true, Value: 1.5, U: 0.1,
			Unit: quantity.Percent, From: 0.5, HasFrom: true}}},
		{"arithmetic", "x + y < 7", []Comparison{{Text: "x + y < 7", Reads: append(at("x"), at("y")...), Truth: half(0.5), Numeric: true, Known: true, Value: 7, U: 5,
			To: 7, HasTo: true}}},
		{"a size, whole as it was written", "abs(co - 1.5) > 0.1", []Comparison{{Text: "abs(co - 1.5) > 0.1", Reads: at("co"), Truth: half(2 - 2*one), Numeric: true, Known: true, U: 0.1,
			Unit: quantity.Percent, From: 0.1, HasFrom: true}}},
		{"the least of several is one question", "min(co, o2, 9) < 2", []Comparison{{Text: "min(co, o2, 9) < 2", Reads: []int{0, 2}, Truth: holds, Numeric: true, Known: true, Value: 0.5,
			Unit: quantity.Percent, To: 2, HasTo: true}}},
		{"against the specification", "high(co)", []Comparison{{Text: "high(co)", Reads: at("co"), Truth: half(one), AgainstSpec: true, Numeric: true, Known: true, Value: 1.5, U: 0.1,
			Unit: quantity.Percent, From: 1.4, HasFrom: true}}},
		{"in order, of one side", "ok(o2)", []Comparison{{Text: "ok(o2)", Reads: at("o2"), Truth: holds, AgainstSpec: true, Numeric: true, Known: true, Value: 0.5,
			Unit: quantity.Percent, To: 1, HasTo: true}}},
		{"a figure is missing", "low(o2)", []Comparison{{Text: "low(o2)", Reads: at("o2"), Truth: undecided, AgainstSpec: true, Numeric: true, Known: true, Value: 0.5, Unit: quantity.Percent}}},
		{"a reading is missing", "hc > 300", []Comparison{{Text: "hc > 300", Reads: at("hc"), Truth: undecided, Numeric: true, Unit: quantity.PPM, From: 300, HasFrom: true}}},
		{"the limit is missing", "co > co2", []Comparison{{Text: "co > co2", Reads: []int{0, 1}, Truth: undecided, Numeric: true, Known: true, Value: 1.5, U: 0.1, Unit: quantity.Percent}}},
		{"a derived number by its own name", "sum > 2", []Comparison{{Text: "sum > 2", Reads: at("sum"), Truth: half(one), Numeric: true, Known: true, Value: 7, U: 5, From: 2, HasFrom: true}}},
		{"a yes/no, under a not", "not warm", []Comparison{{Text: "warm", Reads: at("warm"), Truth: holds, Negated: true, Known: true}}},
		{"a derived yes/no by its own name", "big", []Comparison{{Text: "big", Reads: at("big"), Truth: half(0.04005915686381709), Known: true}}}, // Φ(-1.75), Abramowitz and Stegun 1964, table 26.1 (from memory: 0.04006)
		{"a word that it is not", `look != "white"`, []Comparison{{Text: "look is white", Reads: at("look"), Truth: undecided, Negated: true}}},
		{"known", "known(look)", []Comparison{{Text: "known(look)", Reads: at("look"), Truth: fails}}},
		{"in the order written, twice negated is not", "not (warm and not (co < 1.6))", []Comparison{
			{Text: "warm", Reads: at("warm"), Truth: holds, Negated: true, Known: true},
			{Text: "co < 1.6", Reads: at("co"), Truth: half(one), Numeric: true, Known: true, Value: 1.5, U: 0.1, Unit: quantity.Percent, To: 1.6, HasTo: true}}},
	} {
		got := j.compile(c.src).Comparisons(j.v)
		if diff := cmp.Diff(c.want, got, cmpopts.EquateApprox(0, 1e-12)); diff != "" {
			t.Errorf("%s: %s (-want +got)\n%s", c.reason, c.src, diff)
		}
	}
	e, err := j.s.Compile("co + 1", Number, InDerived)
	if err != nil {
		t.Fatal(err)
	}
	if got := e.Comparisons(j.v); got != nil {
		t.Errorf("a number asks %v", got)
	}
}

// TestComparisonsAreWrittenAsTheyWereSaid: a large or small limit keeps the digits of the rule (from the definition of powers of ten).
func TestComparisonsAreWrittenAsTheyWereSaid(t *testing.T) {
	j := newJob(t, derive{id: "r_1e", from: "x + 0"})
	for _, c := range []struct{ reason, src, want string }{
		{"just below a million", "hc > 999999", "hc > 999999"},
		{"a million, as open circuits are entered", "hc >= 1000000", "hc >= 1000000"},
		{"a million, said with a power", "hc >= 1e6", "hc >= 1000000"},
		{"more digits than six", "hc > 1234567.5", "hc > 1234567.5"},
		{"within a call, both limits", "between(hc, 1000000, 25000000)", "between(hc, 1000000, 25000000)"},
		{"below nought", "hc > -2000000", "hc > -2000000"},
		{"on the left", "1500000 < hc", "1500000 < hc"},
		{"a factor", "hc * 2000000 > 3", "hc * 2000000 > 3"},
		{"very small", "hc > 0.00002", "hc > 0.00002"},
		{"so large that the digits would be counted", "hc > 1e20", "hc > 1e+20"},
		{"a name that looks like a number with an exponent", "r_1e + 6 > 1", "r_1e + 6 > 1"},
	} {
		got := j.compile(c.src).Comparisons(j.v)
		if len(got) != 1 || got[0].Text != c.want {
			t.Errorf("%s: %s asks %+v, want %q", c.reason, c.src, got, c.want)
		}
	}
}

// TestReads: an expression tells what it names, once each and in order.
func TestReads(t *testing.T) {
	j := newJob(t, derive{id: "sum", from: "x + y"})
	for _, c := range []struct {
		reason, src  string
		reads, specs []string
	}{
		{"in the order of the scope", "warm and co > o2 and co > 1", []string{"co", "o2", "warm"}, nil},
		{"derived by its own name", "sum > 1", []string{"sum"}, nil},
		{"specifications", "high(co) or ok(o2) and low(co)", []string{"co", "o2"}, []string{"co", "o2"}},
		{"known counts", "known(look)", []string{"look"}, nil},
	} {
		e := j.compile(c.src)
		names := func(of []int) (ids []string) {
			for _, i := range of {
				ids = append(ids, j.s.Reading(i).ID)
			}
			return ids
		}
		if got := names(e.Reads()); !cmp.Equal(got, c.reads) {
			t.Errorf("%s: %s reads %q, want %q", c.reason, c.src, got, c.reads)
		}
		if got := names(e.Specs()); !cmp.Equal(got, c.specs) {
			t.Errorf("%s: %s needs the specification of %q, want %q", c.reason, c.src, got, c.specs)
		}
		if e.Source() != c.src || e.Kind() != YesNo {
			t.Errorf("%s: source %q, kind %v", c.reason, e.Source(), e.Kind())
		}
	}
	e, err := j.s.Compile("reference(co) * 2", Number, InDerived)
	if err != nil {
		t.Fatal(err)
	}
	if !cmp.Equal(e.Reads(), []int{0}) || !cmp.Equal(e.Specs(), []int{0}) || e.Kind() != Number {
		t.Errorf("a reference names %v and needs the specification of %v", e.Reads(), e.Specs())
	}
}

// TestKinds: names of kinds read back as what they are.
func TestKinds(t *testing.T) {
	for i, name := range Kinds() {
		k, ok := ParseKind(name)
		if !ok || k != Kind(i) || k.String() != name {
			t.Errorf("%q reads as %v (%t)", name, k, ok)
		}
	}
	if _, ok := ParseKind("colour"); ok {
		t.Error("a colour is no kind")
	}
}
