package schema

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"culprit/engine"
)

// strict compiles the schema of a record so that it refuses keys that it does not
// know: what the program writes has to be told of, though a reader need not know it.
func strict(t testing.TB, kind string) *jsonschema.Schema {
	t.Helper()
	doc := document(t, kind)
	var close func(x any)
	close = func(x any) {
		switch x := x.(type) {
		case []any:
			for _, item := range x {
				close(item)
			}
		case map[string]any:
			if _, ok := x["properties"]; ok && x["type"] == "object" {
				x["additionalProperties"] = false
			}
			for _, item := range x {
				close(item)
			}
		}
	}
	close(doc)
	c := jsonschema.NewCompiler()
	if err := c.AddResource(kind, doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(kind)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// widePack is a pack in which three faults bring every one of too many conditions, and a job
// of it that sees them all.
func widePack() (rules, job string) {
	const many = 22
	var readings, conditions, given, all strings.Builder
	links := [3]strings.Builder{}
	for c := range many {
		id := string(rune('a' + c))
		readings.WriteString("  odd_" + id + ": {label: Odd, kind: yes/no}\n")
		conditions.WriteString("  c" + id + ": {label: C, states: {on: on}, of_itself: {on: rarely}}\n")
		given.WriteString("  r" + id + ": {says: Odd, when: odd_" + id + ", shows: {c" + id + ".on: usually}, otherwise: rarely, because: It shows}\n")
		for f := range links {
			links[f].WriteString("      - {condition: c" + id + ", state: on, how_often: often}\n")
		}
		all.WriteString(`"odd_` + id + `": true, `)
	}
	rules = "readings:\n" + readings.String() + "conditions:\n" + conditions.String() + "faults:\n  apart: {label: Apart, per_1000: 10}\n"
	for f := range links {
		rules += "  f" + string(rune('0'+f)) + ":\n    label: F\n    per_1000: 50\n    brings:\n" + links[f].String()
	}
	return rules + "rules:\n" + given.String(), `{"readings": {` + strings.TrimSuffix(all.String(), ", ") + `}}`
}

// TestRecordsAreValid: whatever the program writes, for jobs of all kinds and lines
// of all kinds of wrong, is as its schema says, to the last key.
func TestRecordsAreValid(t *testing.T) {
	var lines []string
	files, err := filepath.Glob("../../cases/*.json")
	if err != nil || len(files) == 0 {
		t.Fatalf("%v, %v", files, err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var line bytes.Buffer
		if err := json.Compact(&line, text); err != nil {
			t.Fatal(err)
		}
		lines = append(lines, line.String())
	}
	lines = append(lines, `{}`, `x`, ``, `{"readings": {"zz": 1, "co": "1 bar"}}`, `{"vehicle": "zz", "readings": {}}`, `{"readings": {"co": 99, "engine_warm": false, "hc": -5}}`,
		`{"readings": {"regulator_current": 22, "valve_duty": 15, "co": 0.1, "o2": 3.5}}`, `{"note": "`+strings.Repeat("x", 9000)+`"}`,
		`{"readings": {`+strings.Repeat(`"a": 1, `, 100)+`"a": 1}}`,
		`{"vehicle": "brackenby-1800", "sets": [{"label": "before", "readings": {"engine_warm": true, "valve_duty": 15, "leak_found": true}},
			{"repaired": ["unmeasured-air"], "found": "boot split", "readings": {"engine_warm": true, "valve_duty": "28 %"}}]}`)
	for i, l := range lines {
		lines[i] = strings.ReplaceAll(l, "\n", " ")
	}
	schemas := map[string]*jsonschema.Schema{}
	for _, r := range records {
		schemas[r.name] = strict(t, r.name)
	}
	seen, kinds := map[string]int{}, map[string]bool{}
	check := func(p *engine.Pack, lines []string, o engine.StreamOptions) {
		t.Helper()
		var out bytes.Buffer
		o.MaxLine = 8192
		if _, err := p.Stream(context.Background(), strings.NewReader(strings.Join(lines, "\n")), &out, o); err != nil {
			t.Fatal(err)
		}
		for text := range strings.Lines(out.String()) {
			v, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
			if err != nil {
				t.Fatal(err)
			}
			kind := map[bool]string{true: "verdict", false: "brief"}[o.Full]
			if e, ok := v.(map[string]any)["error"].(map[string]any); ok {
				kind = "error"
				kinds[e["kind"].(string)] = true
			}
			seen[kind]++
			if err := schemas[kind].Validate(v); err != nil {
				t.Errorf("%s: %v\n%.300s", kind, err, text)
			}
		}
	}
	p := open(t)
	check(p, lines, engine.StreamOptions{})
	check(p, lines, engine.StreamOptions{Full: true, Most: 100, File: "jobs.jsonl"})
	check(p, lines[len(lines)-4:], engine.StreamOptions{Full: true, Next: true})
	check(p, lines[len(lines)-4:], engine.StreamOptions{Next: true})
	rules, job := widePack()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "wide.yaml"), []byte(rules), 0o644); err != nil {
		t.Fatal(err)
	}
	wide, err := engine.Open(engine.Sources{Pack: dir})
	if err != nil {
		t.Fatal(err)
	}
	check(wide, []string{job}, engine.StreamOptions{})
	for kind, least := range map[string]int{"verdict": 8, "brief": 8, "error": 8} {
		if seen[kind] < least {
			t.Errorf("%d records of kind %s: this looks at little", seen[kind], kind)
		}
	}
	for _, kind := range []string{engine.LineBroken, engine.LineTooLong, engine.LineRefused, engine.LineTooWide} {
		if !kinds[kind] {
			t.Errorf("no record is %q", kind)
		}
	}
}

// TestGoldensAreValid: the kept verdict and the kept records are as the schemas say.
func TestGoldensAreValid(t *testing.T) {
	const folder = "../../engine/testdata/"
	text, err := os.ReadFile(folder + "whistle-at-idle.verdict.json")
	if err != nil {
		t.Fatal(err)
	}
	all := map[string][][]byte{"verdict": {text}}
	if text, err = os.ReadFile(folder + "records.jsonl"); err != nil {
		t.Fatal(err)
	}
	for line := range bytes.Lines(text) {
		kind := "brief"
		switch {
		case bytes.Contains(line, []byte(`"error":`)):
			kind = "error"
		case bytes.Contains(line, []byte(`"live_states":`)):
			kind = "verdict"
		}
		all[kind] = append(all[kind], line)
	}
	for _, r := range records {
		if len(all[r.name]) == 0 {
			t.Errorf("no golden is of kind %s", r.name)
		}
		for _, text := range all[r.name] {
			v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
			if err != nil {
				t.Fatal(err)
			}
			if err := strict(t, r.name).Validate(v); err != nil {
				t.Errorf("%s: %v\n%.300s", r.name, err, text)
			}
		}
	}
}

// TestRecordSchemasRefuse: a schema of a record is not one that lets all pass, and
// lets pass what a later program may add.
func TestRecordSchemasRefuse(t *testing.T) {
	const brief = `{"version": 1, "line": 3, "faults": [{"fault": "a", "probability": 0.5}], "no_fault": 0.1, "warnings": [{"kind": "doubtful", "readings": ["co"]}]}`
	const failure = `{"version": 1, "line": 3, "error": {"kind": "broken", "problems": [{"message": "x"}]}}`
	for _, c := range []struct{ because, kind, text string }{
		{"another version", "brief", strings.Replace(brief, `"version": 1`, `"version": 2`, 1)},
		{"a key is missing", "brief", strings.Replace(brief, `"no_fault": 0.1, `, ``, 1)},
		{"null for a list", "brief", strings.Replace(brief, `["co"]`, `null`, 1)},
		{"an unknown kind of warning", "brief", strings.Replace(brief, `doubtful`, `strange`, 1)},
		{"text for a number", "brief", strings.Replace(brief, `0.5`, `"0.5"`, 1)},
		{"an unknown kind of error", "error", strings.Replace(failure, `broken`, `bent`, 1)},
		{"half a line", "error", strings.Replace(failure, `3`, `3.5`, 1)},
		{"a brief record is no error record", "error", brief},
		{"a brief record is no verdict", "verdict", brief},
	} {
		if err := validateRecord(t, c.kind, c.text); err == nil {
			t.Errorf("%s: it passes", c.because)
		}
	}
	for kind, text := range map[string]string{"brief": brief, "error": failure} {
		for _, text := range []string{text, strings.Replace(text, `{"`, `{"new": 1, "`, 1), strings.Replace(text, `"line"`, `"new": [], "line"`, 1)} {
			if err := validateRecord(t, kind, text); err != nil {
				t.Errorf("%s: %v", text, err)
			}
		}
	}
}

func validateRecord(t testing.TB, kind, text string) error {
	t.Helper()
	c := jsonschema.NewCompiler()
	if err := c.AddResource(kind, document(t, kind)); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(kind)
	if err != nil {
		t.Fatal(err)
	}
	v, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(v)
}
