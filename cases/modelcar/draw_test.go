package modelcar

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"
)

// One seed, one car, whatever is asked of it first.
func TestSameSeedSameCar(t *testing.T) {
	faults := []Fault{{"injector-leaking", 0.4}, {"throttle-gummed", 0.7}}
	whole, err := ill(t, 7, Options{}, faults...).Readings(ReadingIDs())
	if err != nil {
		t.Fatal(err)
	}
	ids := ReadingIDs()
	slices.Reverse(ids)
	c := ill(t, 7, Options{}, faults...)
	for _, id := range ids {
		one, err := c.Readings([]string{id})
		if err != nil {
			t.Fatal(err)
		}
		a, _ := json.Marshal(whole[id])
		b, _ := json.Marshal(one[id])
		if string(a) != string(b) {
			t.Errorf("%s is %s of all and %s alone", id, a, b)
		}
	}
	other, _ := ill(t, 8, Options{}, faults...).Readings([]string{"co"})
	if other["co"].Number == whole["co"].Number {
		t.Error("another seed gives the same CO")
	}
}

// Readings of one seed, written down once: whoever's machine it is, they are these. They change when the model
// does, and tickets of before then give other readings.
func TestReadingsOfOneSeed(t *testing.T) {
	got, err := ill(t, 7, Options{}, Fault{"injector-leaking", 0.4}).Readings([]string{"valve_duty", "regulator_current", "regulator_current_2500", "co", "o2", "hc", "rest_pressure_10min"})
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(got)
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"co":1.66,"hc":193,"o2":1.07,"regulator_current":5.8,"regulator_current_2500":8.8,"rest_pressure_10min":2.54,"valve_duty":30.2}`
	if string(text) != want {
		t.Errorf("got  %s\nwant %s", text, want)
	}
}

// A fault that is not there, or of no size, changes nothing.
func TestNoSeverityNoFault(t *testing.T) {
	for _, k := range FaultKinds {
		a, b := sound(t, 3, Options{}), ill(t, 3, Options{}, Fault{k.ID, 0})
		if len(b.Faults()) != 0 || *a.atIdle() != *b.atIdle() {
			t.Errorf("%s of severity 0 changes the car", k.ID)
		}
	}
}

// Every kind of fault shows somewhere: some reading of 20 cars differs from that of the same cars without it.
func TestEveryFaultShows(t *testing.T) {
	if len(FaultKinds) < 30 {
		t.Fatalf("%d kinds of fault", len(FaultKinds))
	}
	ids := ReadingIDs()
	for _, k := range FaultKinds {
		shows := 0
		for seed := range uint64(20) {
			o := Options{Breather: true, Purge: true}
			a, _ := sound(t, seed, o).Readings(ids)
			b, _ := ill(t, seed, o, Fault{k.ID, 1}).Readings(ids)
			for id, v := range a {
				w, there := b[id]
				if id == "complaint" || id == "sensor_trace" {
					continue
				}
				if !there || v.Number != w.Number || v.Yes != w.Yes || v.Word != w.Word {
					shows++
					break
				}
			}
		}
		if shows < 18 {
			t.Errorf("%s shows in %d of 20 cars", k.ID, shows)
		}
	}
}

func TestDrawRefuses(t *testing.T) {
	for _, row := range []struct {
		why    string
		faults []Fault
		o      Options
		want   string
	}{
		{"unknown fault", []Fault{{"warp-core", 1}}, Options{}, `fault "warp-core" cannot be staged`},
		{"the same twice", []Fault{{"purge-open", 1}, {"purge-open", 0.5}}, Options{}, `fault "purge-open" stands twice`},
		{"unknown car", nil, Options{Vehicle: "pumpkin"}, `there is no model car "pumpkin"`},
	} {
		if _, err := Draw(1, row.faults, row.o); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v", row.why, err)
		}
	}
	if _, err := sound(t, 1, Options{}).Readings([]string{"mood"}); err == nil || !strings.Contains(err.Error(), `no reading "mood"`) {
		t.Errorf("an unknown reading: %v", err)
	}
	for _, s := range []float64{-1, math.Inf(1), 2} {
		if f := ill(t, 1, Options{}, Fault{"purge-open", s}).Faults(); len(f) > 0 && f[0].Severity > 1 {
			t.Errorf("a severity of %v stays %v", s, f[0].Severity)
		}
	}
}

// The tables speak of what there is, once each, and every number has a unit or none and a source.
func TestTables(t *testing.T) {
	ids := ReadingIDs()
	if len(slices.Compact(slices.Sorted(slices.Values(ids)))) != len(ids) {
		t.Error("a reading stands twice")
	}
	soundly := map[string]bool{}
	for _, u := range Sound {
		soundly[u.Reading] = true
	}
	for _, l := range Looks {
		if _, ok := Kind(l.Fault); !ok || !soundly[l.Reading] || l.Often <= 0 || l.Often > 1 || l.From <= 0 || l.From > 1 {
			t.Errorf("odd look %+v", l)
		}
	}
	words := map[string]int{}
	for _, k := range Complaints {
		words[k.Fault]++
	}
	for _, k := range FaultKinds {
		if words[k.ID] != 1 {
			t.Errorf("%d complaints of %s", words[k.ID], k.ID)
		}
		if k.Full <= 0 || k.What == "" {
			t.Errorf("%s has no size", k.ID)
		}
	}
	for i, p := range Parameters {
		if p.Name == "" || p.Source == "" || p.Tolerance < 0 {
			t.Errorf("parameter %d has no name or source: %+v", i, p)
		}
	}
}

// Meters err within their limits, evenly, and show steps.
func TestMeters(t *testing.T) {
	m := Meter{Within: 0.06, Percent: 5, Step: 0.01, Least: 0, Most: 15}
	for _, row := range []struct{ value, e, want float64 }{
		{0.5, 1, 0.56}, {0.5, -1, 0.44}, {0.5, 0, 0.5}, {4, 1, 4.2}, {4, -0.5, 3.9}, {0.02, -1, 0}, {20, 0, 15},
	} {
		if got := m.read(row.value, row.e); math.Abs(got-row.want) > 1e-9 {
			t.Errorf("%v with an error of %v of its limit: shows %v, want %v", row.value, row.e, got, row.want)
		}
	}
}
