package engine

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestWrittenJobIsTheSame: what is written reads back to the same values, and ranks the same.
func TestWrittenJobIsTheSame(t *testing.T) {
	p := shipped(t)
	texts := map[string]string{
		"every form": `{"name": "N <&>", "note": "n\u0007", "vehicle": "brackenby-1800", "spec": {"co": {"to": 1.2, "source": "page 3"}}, "truth": {"faults": ["x"]},
			"readings": {"co": 1.9, "co2": "13.4 %", "o2": {"value": 1.3, "unit": "%", "within": 0.06}, "hc": {"value": 290}, "engine_warm": true,
			"electrical_load_off": "no", "complaint": "hesitates", "leak_found": null, "idle_speed": 8.5e2,
			"sensor_trace": {"every": "50 ms", "values": [0.1, null, 0.8, 0.1, 0.9]}}}`,
		"sets": `{"sets": [{"label": "before", "note": "cold", "readings": {"co": 1.9}}, {"repaired": ["injector-leaking"], "found": "drips", "readings": {}}]}`,
	}
	files, err := filepath.Glob("../cases/*.json")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		texts[name] = string(text)
	}
	for name, text := range texts {
		j := parse(t, text)
		written, err := p.WriteJob(j)
		if err != nil {
			t.Fatal(err)
		}
		again := parse(t, string(written))
		if diff := cmp.Diff(values(t, text), values(t, string(written))); diff != "" {
			t.Errorf("%s (-was +is)\n%s", name, diff)
		}
		a, _ := json.Marshal(diagnose(t, p, j))
		b, _ := json.Marshal(diagnose(t, p, again))
		if string(a) != string(b) {
			t.Errorf("%s: ranks otherwise", name)
		}
	}
}

func values(t *testing.T, text string) (v any) {
	t.Helper()
	if err := json.Unmarshal([]byte(text), &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// Figures that come from no file are written, too.
func TestWrittenFigures(t *testing.T) {
	p := shipped(t)
	text, err := p.WriteJob(&Job{Spec: map[string]Figures{"co": {From: "0.3", To: "1.2 %"}}, Readings: map[string]Value{"co": Measured(1, "%", 0.1), "hc": InUnit(300, "ppm")}})
	if err != nil {
		t.Fatal(err)
	}
	j := parse(t, string(text))
	if j.Spec["co"] != (Figures{From: "0.3", To: "1.2 %"}) {
		t.Errorf("the figures are %+v", j.Spec)
	}
	if v := diagnose(t, p, j); v.Readings[0].InSpec.Least < 0.99 {
		t.Errorf("%+v", v.Readings[0])
	}
}

func TestWrittenJobHasNumbersOfJSON(t *testing.T) {
	inf := 1e308
	if _, err := shipped(t).WriteJob(job(map[string]Value{"co": Number(inf * 10)})); err == nil || !strings.Contains(err.Error(), "readings.co: +Inf is not a number of JSON") {
		t.Errorf("%v", err)
	}
}
