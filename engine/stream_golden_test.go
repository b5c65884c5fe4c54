package engine

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"culprit/engine/belief"
)

// TestGoldenRecords holds a record of each kind: brief ones with each warning and
// with what to do next, a whole verdict, and each kind of error. Those of the
// shipped pack change with its rules; see -update.
func TestGoldenRecords(t *testing.T) {
	const golden = "testdata/records.jsonl"
	const many = belief.MaxLive + 1
	p := shipped(t)
	odd := tiny(t, strings.Replace(widePack(many), "readings:", "readings:\n  one: {label: One, kind: yes/no}\n  two: {label: Two, kind: yes/no}", 1)+`
  only-then: {says: Only then, when: one, shows: {apart: 1}, otherwise: 0, because: Only the fault does it}
  then-surely: {says: Then surely, when: two, shows: {apart: 1}, otherwise: 0.5, because: The fault always does it}
`)
	wide, err := odd.WriteJob(&Job{Name: "wide", Readings: allOdd(many)})
	if err != nil {
		t.Fatal(err)
	}
	twenty := strings.ReplaceAll(strings.ReplaceAll(twentyReadings, "\n", ""), "\t", "")
	var got []string
	add := func(p *Pack, o StreamOptions, lines ...string) {
		t.Helper()
		records, _ := runStream(t, p, strings.Join(lines, "\n"), o)
		got = append(got, records...)
	}
	add(p, StreamOptions{}, twenty, `{"name": "bare", "readings": {}}`,
		`{"name": "warned", "vehicle": "brackenby-1800", "readings": {"engine_warm": true, "valve_duty": 15, "idle_speed": 850, "breather_vented": false, "hc": -5}}`,
		`{"name": "waiting", "vehicle": "brackenby-1800", "readings": {"engine_warm": true, "idle_speed": 870, "valve_duty": 36}}`,
		strings.NewReplacer(`"regulator_current": 16.5`, `"regulator_current": 2`, `"regulator_current_2500": 11`, `"regulator_current_2500": 12.5`,
			`"o2": 0.5`, `"o2": 3.5`, `"co": 0.6`, `"co": 0.1`).Replace(twenty))
	add(p, StreamOptions{Next: true, Most: 1, File: "jobs.jsonl"}, twenty)
	add(p, StreamOptions{Full: true, Most: 1}, strings.ReplaceAll(hiddenLeak, "\n", ""))
	add(p, StreamOptions{MaxLine: 100}, `{"readings": {"co": 1.9`, `{"readings": {"valve_dutty": 15, "co": "1 bar"}}`, strings.Repeat("x", 101))
	add(odd, StreamOptions{}, strings.ReplaceAll(string(wide), "\n", " "), `{"name": "never", "readings": {"one": true, "two": false}}`)
	add(p, StreamOptions{before: func(int) { panic("a test did this") }}, `{"readings": {}}`)
	text := strings.Join(got, "")
	if *update {
		if err := os.WriteFile(golden, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(decoded(t, kept), decoded(t, []byte(text)), cmpopts.EquateApprox(1e-9, 1e-12)); diff != "" {
		t.Errorf("the records differ; is it the rules that changed? go test ./engine -update (-want +got):\n%s", diff)
	}
	for _, kind := range []string{WarnSetUp, WarnWaiting, WarnDoubtful, WarnConflict, LineBroken, LineTooLong, LineRefused, LineImpossible, LineTooWide, LineProgram} {
		if !bytes.Contains(kept, []byte(`"kind":"`+kind+`"`)) {
			t.Errorf("no golden is of kind %q", kind)
		}
	}
}

// decoded are the values of a text of JSON lines.
func decoded(t *testing.T, text []byte) []any {
	t.Helper()
	var all []any
	for d := json.NewDecoder(bytes.NewReader(text)); d.More(); {
		var v any
		if err := d.Decode(&v); err != nil {
			t.Fatal(err)
		}
		all = append(all, v)
	}
	return all
}
