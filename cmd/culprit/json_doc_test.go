package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"culprit/cases"
	"culprit/engine"
)

// tables reads the tables of a page about JSON: by heading, what is said of each key under "there".
func tables(t *testing.T, page string) map[string]map[string]string {
	t.Helper()
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	row := regexp.MustCompile("^\\| `([a-z_0-9]+)` \\| [^|]+ \\| (always|if any) \\| [^|]+ \\|$")
	found := map[string]map[string]string{}
	heading := ""
	for line := range strings.Lines(string(text)) {
		line = strings.TrimRight(line, "\n")
		if h, ok := strings.CutPrefix(line, "### "); ok {
			heading = h
			found[heading] = map[string]string{}
		} else if m := row.FindStringSubmatch(line); m != nil {
			if _, twice := found[heading][m[1]]; twice {
				t.Errorf("%s: %s stands there twice", heading, m[1])
			}
			found[heading][m[1]] = m[2]
		}
	}
	return found
}

// TestTrainersContract: docs/json-trainers.md has every key that these commands write, says of each whether it is always
// there, and has no other. What is as in a verdict is told in docs/json.md, which the engine holds.
func TestTrainersContract(t *testing.T) {
	const page = "../../docs/json-trainers.md"
	docs, verdict := tables(t, page), tables(t, "../../docs/json.md")
	used := map[string]bool{}
	var walk func(x reflect.Type)
	walk = func(x reflect.Type) {
		for x.Kind() == reflect.Pointer || x.Kind() == reflect.Slice || x.Kind() == reflect.Array {
			x = x.Elem()
		}
		heading := strings.TrimPrefix(strings.ToLower(x.Name()), "shown") // a shownCard is a Card with its cases
		if x.Kind() != reflect.Struct || used[heading] {
			return
		}
		if x == reflect.TypeFor[engine.Evidence]() || x == reflect.TypeFor[engine.Assumed]() || x == reflect.TypeFor[engine.Chain]() {
			if len(verdict[heading]) == 0 {
				t.Errorf("docs/json.md has no %s", heading)
			}
			return
		}
		used[heading] = true
		want := map[string]string{}
		for _, f := range reflect.VisibleFields(x) {
			name, option, _ := strings.Cut(f.Tag.Get("json"), ",")
			switch {
			case f.Anonymous, !f.IsExported():
			case name == "":
				t.Errorf("%s.%s has no JSON name", x.Name(), f.Name)
			default:
				want[name] = map[bool]string{true: "if any", false: "always"}[option == "omitempty"]
			}
		}
		if diff := cmp.Diff(want, docs[heading]); diff != "" {
			t.Errorf("%s (-program +docs):\n%s", heading, diff)
		}
		for _, f := range reflect.VisibleFields(x) {
			if f.IsExported() && !f.Anonymous {
				walk(f.Type)
			}
		}
	}
	for _, x := range []reflect.Type{
		reflect.TypeFor[rehearsal](), reflect.TypeFor[engine.Apart](), reflect.TypeFor[proofreading](), reflect.TypeFor[engine.FindingKind](),
		reflect.TypeFor[shownCard](), reflect.TypeFor[engine.Graph](),
	} {
		walk(x)
	}
	for heading := range docs {
		if !used[heading] {
			t.Errorf("the docs tell of %q, which is nowhere", heading)
		}
	}
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	for _, version := range []int{rehearsalVersion, engine.ApartVersion, proofreadingVersion, engine.GraphVersion} {
		if want := fmt.Sprintf("of this form: %d", version); strings.Count(string(text), want) != 4 {
			t.Errorf("the docs do not say four times %q", want)
		}
	}
}

// TestTrainersListsAreNeverNull: what is always there is not null, but where the docs say so, whatever the cases.
func TestTrainersListsAreNeverNull(t *testing.T) {
	file := filepath.Join(t.TempDir(), "cases.yaml")
	text := `cases:
  wrong: {vehicle: brackenby-1800, readings: {engine_warm: yes, valve_duty: 15}, expect: [{fault: ignition-misfire, rank: 1}], because: A wrong rank}
  leads: {vehicle: brackenby-1800, readings: {engine_warm: yes, valve_duty: 15}, not_leading: [unmeasured-air], because: A wrong leader}
  refused: {readings: {co: 1 bar}, not_leading: [unmeasured-air], because: A wrong unit}
  bare: {readings: {co: null}, not_leading: [unmeasured-air], because: Nothing read}
`
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	all, err := cases.LoadPaths(file)
	if err != nil {
		t.Fatal(err)
	}
	pack, err := engine.Open(engine.Sources{})
	if err != nil {
		t.Fatal(err)
	}
	counter := cases.NewCounter(pack)
	run := rehearsal{Cases: []rehearsed{}}
	for _, c := range all {
		r := c.Run(t.Context(), pack)
		counter.Add(c.ID, r)
		run.Cases = append(run.Cases, describeRun(c, r))
	}
	run.Coverage = counter.Coverage()
	seen := 0
	var walk func(path string, x any)
	walk = func(path string, x any) {
		seen++
		switch x := x.(type) {
		case nil:
			if !strings.HasSuffix(path, ".best") && !strings.HasSuffix(path, ".least") && !strings.HasSuffix(path, ".most") && !strings.HasSuffix(path, ".decibans") {
				t.Errorf("%s is null", path)
			}
		case map[string]any:
			for k, item := range x {
				walk(path+"."+k, item)
			}
		case []any:
			for _, item := range x {
				walk(path+"[]", item)
			}
		}
	}
	plain := func(path string, x any) {
		text, err := json.Marshal(x)
		if err != nil {
			t.Fatal(err)
		}
		var all any
		if err := json.Unmarshal(text, &all); err != nil {
			t.Fatal(err)
		}
		walk(path, all)
	}
	plain("rehearsal", run)
	apart := func(from engine.Sources) {
		p, err := engine.Open(from)
		if err != nil {
			t.Fatal(err)
		}
		a, err := p.Apart(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		plain("apart", a)
	}
	apart(engine.Sources{})
	small := t.TempDir()
	if err := os.WriteFile(filepath.Join(small, "pack.yaml"), []byte("faults: {one: {label: One, per_1000: 1}, two: {label: Two, per_1000: 1}}\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	apart(engine.Sources{Pack: small})
	tiny, err := engine.Open(engine.Sources{Pack: small})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []*engine.Pack{pack, tiny} {
		known := &knownCases{pack: p, all: all}
		for _, listed := range p.List() {
			if listed.Kind == "fault" && listed.ID != "unmeasured-air" && listed.ID != "one" {
				continue // each takes a while, and all are alike
			}
			cards, err := p.Show(listed.ID)
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range cards {
				plain("show."+listed.ID, shownCard{c, known.exercise(c)})
			}
		}
		g, err := p.Graph()
		if err != nil {
			t.Fatal(err)
		}
		plain("graph", g)
	}
	if seen < 1000 {
		t.Errorf("%d values: this looks at little", seen)
	}
}
