package engine

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"testing"
)

// randomLines makes lines of readings that a bench could give, on cars of the
// shipped pack; the same for the same seed.
func randomLines(t testing.TB, many int, seed uint64) []string {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 0))
	numbers := []struct {
		id       string
		from, to float64
	}{
		{"idle_speed", 700, 1000}, {"valve_duty", 10, 40}, {"timing_idle", 4, 14}, {"regulator_current", 0, 22}, {"regulator_current_2500", 5, 16},
		{"regulator_swing", 0, 5}, {"co", 0, 5}, {"co2", 11, 15.5}, {"o2", 0, 4}, {"hc", -20, 900}, {"system_pressure", 4, 6}, {"lower_pressure", 4, 5.6},
	}
	lines := make([]string, many)
	for i := range lines {
		readings := map[string]any{}
		for _, n := range numbers {
			if r.IntN(3) > 0 {
				readings[n.id] = float64(int(100*(n.from+(n.to-n.from)*r.Float64()))) / 100
			}
		}
		for _, id := range []string{"engine_warm", "electrical_load_off", "breather_vented", "purge_disconnected"} {
			if k := r.IntN(6); k > 0 {
				readings[id] = k > 1
			}
		}
		job := map[string]any{"name": fmt.Sprintf("job %d", i), "readings": readings}
		if r.IntN(5) > 0 {
			job["vehicle"] = []string{"brackenby-1800", "ostrel-2000"}[r.IntN(2)]
		}
		text, err := json.Marshal(job)
		if err != nil {
			t.Fatal(err)
		}
		lines[i] = string(text)
	}
	return lines
}

// brokenLines are twenty ways of being wrong and two more, with the kind of error and a
// part of what is said.
var brokenLines = []struct{ because, text, kind, path, says string }{
	{"the JSON is cut off", `{"readings": {"co": 1.9`, LineBroken, "", "the JSON ends too early"},
	{"a brace too many", `{"readings": {}}}`, LineBroken, "", "not JSON"},
	{"two jobs on a line", `{"readings": {}} {"readings": {}}`, LineBroken, "", "something follows the end of the job"},
	{"plain text", `co 1.9`, LineBroken, "", "not JSON"},
	{"a list", `[{"readings": {}}]`, LineBroken, "", "the job is a list"},
	{"a number", `42`, LineBroken, "", "the job is a number"},
	{"null", `null`, LineBroken, "", "the job is null"},
	{"no readings", `{"name": "x"}`, LineBroken, "", "the job has no readings"},
	{"a key that a job has not", `{"readings": {}, "reading": 1}`, LineBroken, "reading", `a job has no key "reading"`},
	{"a key twice", `{"readings": {"co": 1, "co": 2}}`, LineBroken, "readings", `the key "co" stands here twice`},
	{"no UTF-8", "{\"readings\": {\"co\": \"\xff\"}}", LineBroken, "", "not UTF-8"},
	{"a number beyond all numbers", `{"readings": {"co": 1e999}}`, LineBroken, "readings.co", "too large"},
	{"one of many samples that is no number", `{"readings": {"sensor_trace": {"every": "50 ms", "values": [0.1, 0.8, "x", 0.1]}}}`, LineBroken, "readings.sensor_trace.values[2]", "must be a number, not a text"},
	{"not a number, as some programs write it", `{"readings": {"co": NaN}}`, LineBroken, "", "not JSON"},
	{"a wrong kind of reading", `{"readings": {"co": [1, 2]}}`, LineBroken, "readings.co", "a reading is not a list"},
	{"too deep", `{"truth": ` + strings.Repeat("[", 20) + strings.Repeat("]", 20) + `, "readings": {}}`, LineBroken, "", "more than 16 deep"},
	{"an unknown reading", `{"readings": {"valve_dutty": 15}}`, LineRefused, "readings.valve_dutty", `there is no reading "valve_dutty"`},
	{"a key that a trace has not", `{"readings": {"sensor_trace": {"value": 1, "every": "50 ms", "values": [1, 2, 3]}}}`, LineBroken, "readings.sensor_trace.value", `a trace has no key "value"`},
	{"an unknown vehicle", `{"vehicle": "brackenby", "readings": {}}`, LineRefused, "vehicle", "there is no vehicle"},
	{"a unit that does not fit", `{"readings": {"co": "1 bar"}}`, LineRefused, "readings.co", "bar"},
	{"an unknown repair", `{"sets": [{"readings": {}}, {"repaired": ["nothing"], "readings": {}}]}`, LineRefused, "sets[1].repaired[0]", `there is no fault "nothing"`},
	{"too long", `{"readings": {}, "note": "` + strings.Repeat("x", 5000) + `"}`, LineTooLong, "", "the line has more than 4096 bytes"},
}

// stream runs a stream over a text and gives its records, one a line.
func runStream(t testing.TB, p *Pack, text string, o StreamOptions) ([]string, Summary) {
	t.Helper()
	var out bytes.Buffer
	sum, err := p.Stream(t.Context(), strings.NewReader(text), &out, o)
	if err != nil {
		t.Fatal(formatted(err))
	}
	records := strings.SplitAfter(out.String(), "\n")
	if records[len(records)-1] != "" {
		t.Fatalf("the last record has no line feed: %q", records[len(records)-1])
	}
	records = records[:len(records)-1]
	if len(records) != sum.Jobs {
		t.Errorf("%d records, %d counted", len(records), sum.Jobs)
	}
	return records, sum
}

func encoded(t testing.TB, record any) string {
	t.Helper()
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(record); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// steps gives a few bytes at a time.
type steps struct {
	io.Reader
	most int
}

func (s steps) Read(p []byte) (int, error) { return s.Reader.Read(p[:min(len(p), s.most)]) }
