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

// TestNextContract: docs/next.md has every key of an advice, says of each whether
// it is always there, and has no other. What a verdict has too is told in docs/json.md,
// which the engine holds.
func TestNextContract(t *testing.T) {
	const page = "../../docs/next.md"
	docs, verdict := tables(t, page), tables(t, "../../docs/json.md")
	used := map[string]bool{}
	var walk func(x reflect.Type)
	walk = func(x reflect.Type) {
		for x.Kind() == reflect.Pointer || x.Kind() == reflect.Slice {
			x = x.Elem()
		}
		heading := strings.ToLower(x.Name())
		if heading == "setup" {
			heading = "set-up"
		}
		if x.Kind() != reflect.Struct || used[heading] || docs[heading] == nil && verdict[heading] != nil {
			return
		}
		used[heading] = true
		want := map[string]string{}
		var keys func(x reflect.Type)
		keys = func(x reflect.Type) {
			for f := range x.Fields() {
				if f.Anonymous {
					keys(f.Type)
					continue
				}
				name, option, _ := strings.Cut(f.Tag.Get("json"), ",")
				want[name] = map[bool]string{true: "if any", false: "always"}[option == "omitempty"]
				walk(f.Type)
			}
		}
		keys(x)
		if diff := cmp.Diff(want, docs[heading]); diff != "" {
			t.Errorf("%s (-program +docs):\n%s", heading, diff)
		}
	}
	walk(reflect.TypeFor[engine.Next]())
	for heading, rows := range docs {
		if !used[heading] && len(rows) > 0 {
			t.Errorf("the docs tell of %q, which is nowhere", heading)
		}
	}
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	if want := fmt.Sprintf("version of this form: %d.", engine.NextVersion); !strings.Contains(string(text), want) {
		t.Errorf("the docs do not say %q", want)
	}
}
