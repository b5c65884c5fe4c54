// Package schema holds the JSON Schemas of rule files, case files and jobs, and of verdicts and other records. Its tests write
// them (go test ./rules/schema -update) from the tables by which these files are read, and from the structures that the records
// are made of, and hold the two to each other.
package schema

import (
	"bytes"
	"flag"
	"os"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"culprit/cases"
	"culprit/engine"
	"culprit/engine/rulefile"
	"culprit/engine/source"
)

var update = flag.Bool("update", false, "write the schemas anew from the tables")

// kinds are the schemas: what each is made from.
var kinds = []struct {
	name, title, about string
	shape              *source.Shape
}{
	{"rules", "Rule file", "One file of a rule pack. What a schema cannot see, culprit proofread tells.", rulefile.Shape()},
	{"cases", "Case file", "Jobs with known answers, for culprit rehearse.", cases.Shape()},
	{"job", "Job", "The readings of one car, for culprit rank.", engine.JobShape()},
}

// TestUpToDate: the schemas are what the tables say, and the program carries them.
func TestUpToDate(t *testing.T) {
	var names []string
	for _, k := range kinds {
		names = append(names, k.name)
		file := k.name + ".schema.json"
		want := k.shape.Schema("urn:culprit:schema:"+k.name, k.title, k.about)
		if *update {
			if err := os.WriteFile(file, want, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		got, err := engine.Schema(k.name)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), string(got)); diff != "" {
			t.Errorf("%s is not what the tables say; go test ./rules/schema -update (-tables +file):\n%s", file, diff)
		}
	}
	if diff := cmp.Diff(engine.SchemaKinds[:len(kinds)], names); diff != "" {
		t.Error(diff)
	}
}

// TestMetaSchema: the schemas are schemas by the rules of draft 2020-12 itself.
func TestMetaSchema(t *testing.T) {
	meta, err := jsonschema.NewCompiler().Compile(source.Draft)
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range kinds {
		if err := meta.Validate(document(t, k.name)); err != nil {
			t.Errorf("%s: %v", k.name, err)
		}
	}
	wrong, err := jsonschema.UnmarshalJSON(strings.NewReader(`{"properties": {"a": {"minItems": -1}}}`))
	if err != nil || meta.Validate(wrong) == nil {
		t.Errorf("a wrong schema passes: %v", err)
	}
}

// TestEveryKeyIsExplained: an editor has something to show at every key, and knows all keys.
func TestEveryKeyIsExplained(t *testing.T) {
	for _, k := range kinds {
		seen := 0
		var walk func(at string, x any)
		walk = func(at string, x any) {
			switch x := x.(type) {
			case []any:
				for _, item := range x {
					walk(at, item)
				}
			case map[string]any:
				properties, _ := x["properties"].(map[string]any)
				if x["type"] != "object" {
					properties = nil // a condition on keys that are explained elsewhere
				}
				for name, p := range properties {
					seen++
					p := p.(map[string]any)
					for _, word := range []string{"title", "description"} {
						if s, _ := p[word].(string); s == "" {
							t.Errorf("%s: %s.%s has no %s", k.name, at, name, word)
						}
					}
				}
				if properties != nil && x["additionalProperties"] != false {
					t.Errorf("%s: %s takes keys that nobody knows", k.name, at)
				}
				for name, item := range x {
					walk(at+"."+name, item)
				}
			}
		}
		walk("", document(t, k.name))
		if seen < 10 {
			t.Errorf("%s: %d keys", k.name, seen)
		}
	}
}

func document(t testing.TB, kind string) any {
	t.Helper()
	text, err := engine.Schema(kind)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

var compiled = sync.OnceValues(func() (map[string]*jsonschema.Schema, error) {
	all := map[string]*jsonschema.Schema{}
	for _, k := range kinds {
		text, err := engine.Schema(k.name)
		if err != nil {
			return nil, err
		}
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
		if err != nil {
			return nil, err
		}
		c := jsonschema.NewCompiler()
		c.UseRegexpEngine(ecma)
		if err := c.AddResource(k.name, doc); err != nil {
			return nil, err
		}
		if all[k.name], err = c.Compile(k.name); err != nil {
			return nil, err
		}
	}
	return all, nil
})

// validate says what the schema of a kind has against a value.
func validate(t testing.TB, kind string, value any) error {
	t.Helper()
	all, err := compiled()
	if err != nil {
		t.Fatal(err)
	}
	return all[kind].Validate(value)
}

// ecma gives \s and \S the meaning that they have in the patterns of JSON Schema (ECMA-262, 22.2.2.9, CharacterClassEscape),
// where every Unicode space is one.
func ecma(pattern string) (jsonschema.Regexp, error) {
	const spaces = `\t\n\v\f\r\x{feff}\p{Zs}\x{2028}\x{2029}`
	match, err := regexp.Compile(strings.NewReplacer(`\s`, "["+spaces+"]", `\S`, "[^"+spaces+"]").Replace(pattern))
	return ecmaRegexp{match, pattern}, err
}

type ecmaRegexp struct {
	*regexp.Regexp
	written string
}

func (r ecmaRegexp) String() string { return r.written }
