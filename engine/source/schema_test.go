package source

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

type toy struct {
	name  Got[string]
	share Got[float64]
	yes   Got[bool]
	id    Got[string]
	each  Got[[]Entry[string]]
	list  Got[[]Got[string]]
	free  Got[string]
}

var toyTable = NewTable("toy",
	Key("name", Text, func(t *toy) *Got[string] { return &t.name }, "its name").Required(),
	Key("share", Number(NumberFrom(0, true, 1, false)), func(t *toy) *Got[float64] { return &t.share }, "how much"),
	Key("yes", YesNo, func(t *toy) *Got[bool] { return &t.yes }, "whether"),
	Key("id", ID("a toy", Spelt(`^[a-z]+$`)), func(t *toy) *Got[string] { return &t.id }, "another"),
	Key("each", MapOf("part", Spelt(`^[a-z]+$`), "letters", Word("big", "small")), func(t *toy) *Got[[]Entry[string]] { return &t.each }, "its parts"),
	Key("list", OneOrMore("a list of steps", Text), func(t *toy) *Got[[]Got[string]] { return &t.list }, "what to do"),
	Key("free", Scalar(Shape{Name: "an expression"}), func(t *toy) *Got[string] { return &t.free }, "a question"),
)

// The keywords are those of draft 2020-12; what each form wants was written by hand.
func TestSchema(t *testing.T) {
	got := toyTable.Type().Shape.Schema("urn:example:toy", "Toy", "To play with.")
	const want = `{
  "$schema": "https://json-schema.org/draft/2020-12/schema",
  "$id": "urn:example:toy",
  "title": "Toy",
  "description": "To play with.",
  "type": "object",
  "required": ["name"],
  "properties": {
    "name": {"title": "text", "description": "its name", "type": "string", "pattern": "\\S"},
    "share": {"title": "a number above 0 and up to 1", "description": "how much", "type": "number", "maximum": 1, "exclusiveMinimum": 0},
    "yes": {"title": "yes or no", "description": "whether", "enum": [true, false, "yes", "no"]},
    "id": {"title": "the id of a toy", "description": "another", "type": ["string", "boolean"], "pattern": "^[a-z]+$"},
    "each": {"title": "a mapping from ids to big or small", "description": "its parts", "type": "object", "minProperties": 1,
      "propertyNames": {"pattern": "^[a-z]+$"}, "additionalProperties": {"enum": ["big", "small"]}},
    "list": {"title": "text or a list of steps", "description": "what to do", "anyOf": [
      {"type": "string", "pattern": "\\S"}, {"type": "array", "minItems": 1, "items": {"type": "string", "pattern": "\\S"}}]},
    "free": {"title": "an expression", "description": "a question", "type": ["string", "number", "boolean"], "pattern": "\\S"}
  },
  "additionalProperties": false
}`
	var a, b any
	if err := json.Unmarshal([]byte(want), &a); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(got, &b); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(a, b); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	last := -1
	for _, key := range []string{"name", "share", "yes", "id", "each", "list", "free"} { // the order of the table is kept
		at := strings.Index(string(got), `"`+key+`": {`)
		if at < last {
			t.Errorf("%s stands at %d, before the key that it follows", key, at)
		}
		last = at
	}
}

// A thing that is used in two places stands there once; two things of one name would be taken for each other.
func TestSchemaOfThings(t *testing.T) {
	part := &Shape{Form: FormRecord, Name: "a part", Thing: "spare part", Keys: []KeyShape{{Name: "n", Doc: "N", Shape: Text.Shape}}}
	part.Keys = append(part.Keys, KeyShape{Name: "parts", Doc: "in itself", Shape: part})
	top := &Shape{Form: FormRecord, Name: "all", Keys: []KeyShape{{Name: "a", Doc: "A", Shape: part}, {Name: "b", Doc: "B", Shape: part}}}
	text := string(top.Schema("urn:x", "X", "Y"))
	if strings.Count(text, `"spare-part": {`) != 1 || strings.Count(text, `"$ref": "#/$defs/spare-part"`) != 3 {
		t.Error(text)
	}
	top.Keys = append(top.Keys, KeyShape{Name: "c", Doc: "C", Shape: &Shape{Form: FormRecord, Name: "another", Thing: "spare part"}})
	defer func() {
		if r := recover(); r == nil {
			t.Error("two things of one name were taken")
		}
	}()
	top.Schema("urn:x", "X", "Y")
}
