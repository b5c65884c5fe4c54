package engine

import (
	"errors"
	"maps"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"culprit/engine/source"
)

// TestJobShape: the schema of jobs is made of the keys that ParseJob takes.
func TestJobShape(t *testing.T) {
	keys := map[string]map[string]bool{}
	var walk func(s *source.Shape)
	walk = func(s *source.Shape) {
		if s == nil {
			return
		}
		for _, k := range s.Keys {
			if keys[s.Thing] == nil {
				keys[s.Thing] = map[string]bool{}
			}
			keys[s.Thing][k.Name] = true
			walk(k.Shape)
		}
		for _, c := range s.Choices {
			walk(c)
		}
		walk(s.Of)
	}
	walk(JobShape())
	for thing, want := range map[string][]string{"job": jobKeys, "set": setKeys, "figures": figureKeys, "trace": readingKeys} {
		if diff := cmp.Diff(slices.Sorted(slices.Values(want)), slices.Sorted(maps.Keys(keys[thing]))); diff != "" {
			t.Errorf("%s (-ParseJob +schema):\n%s", thing, diff)
		}
	}
	for key := range keys["measured"] {
		if !slices.Contains(readingKeys, key) {
			t.Errorf("a reading has no key %q", key)
		}
	}
}

func TestSchema(t *testing.T) {
	for _, kind := range SchemaKinds {
		if text, err := Schema(kind); err != nil || len(text) == 0 {
			t.Errorf("%s: %d bytes, %v", kind, len(text), err)
		}
	}
	for _, kind := range []string{"", "verdicts", "../schema/rules", "rules.schema.json"} {
		if text, err := Schema(kind); !errors.Is(err, ErrNoSchema) || text != nil {
			t.Errorf("%q: %d bytes, %v", kind, len(text), err)
		}
	}
}
