package main

import (
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"culprit/engine"
)

// TestSensitivityPage does what docs/sensitivity.md shows.
func TestSensitivityPage(t *testing.T) { holdGuide(t, "sensitivity.md") }

// TestSwayContract: docs/sensitivity.md has every key of the JSON form, and no
// other.
func TestSwayContract(t *testing.T) {
	const page = "../../docs/sensitivity.md"
	docs := tables(t, page)
	want := map[string]map[string]string{}
	for _, x := range []reflect.Type{
		reflect.TypeFor[engine.Sways](), reflect.TypeFor[engine.Standing](),
		reflect.TypeFor[engine.NumberSway](), reflect.TypeFor[engine.TurnAt](),
	} {
		keys := map[string]string{}
		for f := range x.Fields() {
			name, option, _ := strings.Cut(f.Tag.Get("json"), ",")
			keys[name] = map[bool]string{true: "if any", false: "always"}[option == "omitempty"]
		}
		want[strings.ToLower(x.Name())] = keys
	}
	want["sways"]["case"] = "always" // the command adds it
	if diff := cmp.Diff(want, docs); diff != "" {
		t.Errorf("(-program +docs):\n%s", diff)
	}
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	if version := fmt.Sprintf("of this form: %d |", engine.SwaysVersion); !strings.Contains(string(text), version) {
		t.Errorf("the page does not say %q", version)
	}
}
