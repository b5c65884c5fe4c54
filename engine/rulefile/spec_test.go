package rulefile

import (
	"strings"
	"testing"

	"culprit/engine/quantity"
	"culprit/engine/truth"
)

// figures makes Figures of texts such as "from=5 bar".
func figures(t *testing.T, texts ...string) Figures {
	t.Helper()
	var f Figures
	for _, text := range texts {
		name, figure, _ := strings.Cut(text, "=")
		q, err := quantity.Parse(figure)
		if err != nil {
			t.Fatal(err)
		}
		*f.field(name) = &q
	}
	return f
}

func unit(t *testing.T, name string) quantity.Unit {
	t.Helper()
	u, err := quantity.ParseUnit(name)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

func TestSpec(t *testing.T) {
	pressure := &Reading{ID: "system_pressure", Unit: unit(t, "bar")}
	distinct := reasons(t)
	for _, row := range []struct {
		reason string
		texts  []string
		want   truth.Spec
	}{
		{"a range", []string{"from=5.2", "to=5.6"}, truth.Spec{From: 5.2, To: 5.6, HasFrom: true, HasTo: true}},
		{"a least value alone", []string{"from=2.5"}, truth.Spec{From: 2.5, HasFrom: true}},
		{"a largest value alone", []string{"to=2.5"}, truth.Spec{To: 2.5, HasTo: true}},
		{"a reference and how far from it", []string{"reference=5.5", "within=0.5"},
			truth.Spec{From: 5, To: 6, Reference: 5.5, HasFrom: true, HasTo: true, HasReference: true}},
		{"a reference with a range that is not even", []string{"reference=5.5", "from=5", "to=7"},
			truth.Spec{From: 5, To: 7, Reference: 5.5, HasFrom: true, HasTo: true, HasReference: true}},
		{"a reference with one end", []string{"reference=5.5", "from=5"},
			truth.Spec{From: 5, Reference: 5.5, HasFrom: true, HasReference: true}},
		{"a reference at the end of its range", []string{"reference=5", "from=5"},
			truth.Spec{From: 5, Reference: 5, HasFrom: true, HasReference: true}},
		{"units of its own (100 kPa are 1 bar by definition)", []string{"reference=550 kPa", "within=500 mbar"},
			truth.Spec{From: 5, To: 6, Reference: 5.5, HasFrom: true, HasTo: true, HasReference: true}},
		{"below zero", []string{"from=-3", "to=-1"}, truth.Spec{From: -3, To: -1, HasFrom: true, HasTo: true}},
	} {
		distinct(row.reason)
		t.Run(row.reason, func(t *testing.T) {
			got, errs := pressure.Spec(figures(t, row.texts...))
			if len(errs) > 0 || got != row.want {
				t.Errorf("got %+v, %v; want %+v", got, errs, row.want)
			}
		})
	}
}

// A difference of 9 degF is one of 5 degC or 5 K, and 194 degF are 90 degC (by definition of the scale).
func TestSpecConvertsDistancesAsDistances(t *testing.T) {
	temp := &Reading{ID: "coolant_temp", Unit: unit(t, "degC")}
	near := func(a, b float64) bool { return a-b < 1e-9 && b-a < 1e-9 }
	for _, within := range []string{"9 degF", "9 degF difference", "5 K", "5 degC", "5"} {
		got, errs := temp.Spec(figures(t, "reference=194 degF", "within="+within))
		if len(errs) > 0 || !near(got.Reference, 90) || !near(got.From, 85) || !near(got.To, 95) {
			t.Errorf("within %s: got %+v, %v", within, got, errs)
		}
	}
	if got, errs := temp.Spec(figures(t, "from=5 K")); len(errs) != 1 {
		t.Errorf("a difference as a limit: got %+v, %v", got, errs)
	}
}

func TestSpecRefuses(t *testing.T) {
	pressure := &Reading{ID: "system_pressure", Unit: unit(t, "bar")}
	distinct := reasons(t)
	for _, row := range []struct {
		reason  string
		reading *Reading
		texts   []string
		want    string // all errors
	}{
		{"a reading that is no number", &Reading{ID: "engine_warm", Kind: truth.YesNo}, []string{"from=1"}, `a spec is for a number, and the kind of "engine_warm" is yes/no`},
		{"nothing", pressure, nil, "no figures"},
		{"the wrong way round", pressure, []string{"from=6", "to=5"}, `from: "from" is not below "to"`},
		{"a range without room", pressure, []string{"from=5", "to=5"}, `from: "from" is not below "to"`},
		{"the wrong way round in other units", pressure, []string{"from=600 kPa", "to=5"}, `from: "from" is not below "to"`},
		{"a reference alone", pressure, []string{"reference=5"}, `reference: "reference" alone does not say what is in order`},
		{"within alone", pressure, []string{"within=5"}, `within: "within" goes with "reference"`},
		{"within with a range only", pressure, []string{"within=5", "from=1"}, `within: "within" goes with "reference"`},
		{"within and a range", pressure, []string{"reference=5", "within=1", "to=7"}, `within: either "within" or "from" and "to", not both`},
		{"within of nothing", pressure, []string{"reference=5", "within=0"},
			`within: "within" is how far from the reference is still in order, and has to be above zero`},
		{"within below zero", pressure, []string{"reference=5", "within=-1"},
			`within: "within" is how far from the reference is still in order, and has to be above zero`},
		{"a reference below its range", pressure, []string{"reference=4", "from=5", "to=7"}, `reference: "reference" is below "from"`},
		{"a reference above its range", pressure, []string{"reference=8", "to=7"}, `reference: "reference" is above "to"`},
		{"units that do not fit, each said", pressure, []string{"from=5 mA", "to=6 V"},
			`from: "5 mA" is a current; here a pressure is wanted: bar, mbar, kPa, psi, inHg; to: "6 V" is a voltage; here a pressure is wanted: bar, mbar, kPa, psi, inHg`},
		{"an uncertainty", pressure, []string{"from=5 +- 0.1"}, "from: a figure has no ± of its own"},
	} {
		distinct(row.reason)
		t.Run(row.reason, func(t *testing.T) {
			spec, errs := row.reading.Spec(figures(t, row.texts...))
			var all []string
			for _, e := range errs {
				all = append(all, e.Error())
			}
			if got := strings.Join(all, "; "); got != row.want {
				t.Errorf("got  %s\nwant %s", got, row.want)
			}
			if spec != (truth.Spec{}) {
				t.Errorf("a spec came with the errors: %+v", spec)
			}
		})
	}
}
