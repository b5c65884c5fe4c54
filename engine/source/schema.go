package source

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
)

// Draft is the dialect of JSON Schema that [Shape.Schema] writes.
const Draft = "https://json-schema.org/draft/2020-12/schema"

// Schema writes the shape as a JSON Schema (draft 2020-12), so that editors complete keys, tell what they mean, and mark what
// cannot be. It takes everything that the shape's reader takes; what a schema cannot see (names that nothing has, units that do
// not fit, sums, expressions, how a number is written) it takes too. Things with a name of their own (Thing) stand under
// "$defs" once; two different ones of one name are a mistake in the tables, and panic.
func (s *Shape) Schema(id, title, description string) []byte {
	w := schemaWriter{of: make(map[string]*Shape)}
	top := w.body(s)
	top.Schema, top.ID, top.Title, top.Description, top.Defs = Draft, id, title, description, w.defs
	return encodeJSON(top, "  ")
}

// schema is the part of the language that is used here, in the order in which it is written.
type schema struct {
	Schema               string    `json:"$schema,omitempty"`
	ID                   string    `json:"$id,omitempty"`
	Title                string    `json:"title,omitempty"`
	Description          string    `json:"description,omitempty"`
	Ref                  string    `json:"$ref,omitempty"`
	Type                 any       `json:"type,omitempty"`
	Enum                 []any     `json:"enum,omitempty"`
	Pattern              string    `json:"pattern,omitempty"`
	Minimum              *float64  `json:"minimum,omitempty"`
	ExclusiveMinimum     *float64  `json:"exclusiveMinimum,omitempty"`
	Maximum              *float64  `json:"maximum,omitempty"`
	ExclusiveMaximum     *float64  `json:"exclusiveMaximum,omitempty"`
	MinItems             int       `json:"minItems,omitempty"`
	Items                *schema   `json:"items,omitempty"`
	AnyOf                []*schema `json:"anyOf,omitempty"`
	Not                  *schema   `json:"not,omitempty"`
	MinProperties        int       `json:"minProperties,omitempty"`
	PropertyNames        *schema   `json:"propertyNames,omitempty"`
	Required             []string  `json:"required,omitempty"`
	Properties           named     `json:"properties,omitempty"`
	AdditionalProperties any       `json:"additionalProperties,omitempty"`
	Defs                 named     `json:"$defs,omitempty"`
}

// named is an object whose order is kept.
type named []namedSchema

type namedSchema struct {
	name string
	is   *schema
}

// MarshalJSON writes the object.
func (n named) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	for i, x := range n {
		b.WriteString(map[bool]string{true: "{", false: ","}[i == 0])
		b.Write(encodeJSON(x.name, ""))
		b.WriteString(":")
		b.Write(encodeJSON(x.is, ""))
	}
	b.WriteString("}")
	return b.Bytes(), nil
}

// encodeJSON writes what is known to be writable, with < and > as they are.
func encodeJSON(x any, indent string) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", indent)
	if err := e.Encode(x); err != nil {
		panic(err) // only finite numbers, strings and lists of them
	}
	return b.Bytes()
}

type schemaWriter struct {
	defs named
	of   map[string]*Shape // what stands under a name in defs
}

// write gives the schema of a shape where it is used: a reference where the thing has a name.
func (w *schemaWriter) write(s *Shape) *schema {
	if s.Thing == "" || s.Form == FormMap {
		return w.body(s)
	}
	name := strings.ReplaceAll(s.Thing, " ", "-")
	switch before := w.of[name]; before {
	case s:
	case nil:
		w.of[name] = s
		at := len(w.defs)
		w.defs = append(w.defs, namedSchema{name: name})
		is := w.body(s)
		is.Title = s.Name
		w.defs[at].is = is
	default:
		panic(fmt.Sprintf("two things are called %q", s.Thing))
	}
	return &schema{Ref: "#/$defs/" + name}
}

// full is text that is not blank.
const full = `\S`

func (w *schemaWriter) body(s *Shape) *schema {
	switch s.Form {
	case FormText:
		return textSchema(s)
	case FormScalar:
		if s.Pattern != "" {
			return &schema{Type: []string{"number", "string"}, Pattern: s.Pattern}
		}
		return &schema{Type: []string{"string", "number", "boolean"}, Pattern: full}
	case FormNumber:
		return numberSchema(s)
	case FormYesNo:
		return &schema{Enum: []any{true, false, "yes", "no"}} // yes is text in YAML 1.2 and true in 1.1
	case FormNothing:
		return &schema{Type: "null"}
	case FormAny:
		return &schema{}
	case FormWord:
		words := make([]any, len(s.Words))
		for i, word := range s.Words {
			words[i] = word
		}
		return &schema{Enum: words}
	case FormList:
		return &schema{Type: "array", MinItems: atLeastOne(s), Items: w.write(s.Of)}
	case FormMap:
		return &schema{Type: "object", MinProperties: atLeastOne(s), PropertyNames: &schema{Pattern: s.Pattern}, AdditionalProperties: w.write(s.Of)}
	case FormEither:
		is := &schema{}
		for _, c := range s.Choices {
			is.AnyOf = append(is.AnyOf, w.write(c))
		}
		return is
	}
	return w.record(s)
}

func (w *schemaWriter) record(s *Shape) *schema {
	is := &schema{Type: "object", AdditionalProperties: false}
	for _, k := range s.Keys {
		value := w.write(k.Shape)
		value.Title, value.Description = k.Shape.Name, k.Doc
		is.Properties = append(is.Properties, namedSchema{k.Name, value})
		if k.Required {
			is.Required = append(is.Required, k.Name)
		}
	}
	if first, second := s.Rivals[0], s.Rivals[1]; first != "" {
		null := &schema{Type: "null"}
		is.AnyOf = []*schema{
			{Required: []string{first}, Properties: named{{second, null}}},
			{Required: []string{second}, Properties: named{{first, null}, {second, &schema{Not: null}}}},
		}
	}
	return is
}

// textSchema lets an id be true or false, which YAML readers take for more than a word.
func textSchema(s *Shape) *schema {
	switch {
	case s.Pattern != "" && !s.Empty:
		return &schema{Type: []string{"string", "boolean"}, Pattern: s.Pattern}
	case s.Pattern != "":
		return &schema{Type: "string", Pattern: s.Pattern}
	case s.Empty:
		return &schema{Type: "string"}
	}
	return &schema{Type: "string", Pattern: full}
}

func numberSchema(s *Shape) *schema {
	is := &schema{Type: "number", Minimum: s.Least, Maximum: s.Most}
	if s.Whole {
		is.Type = "integer"
	}
	if s.Above {
		is.Minimum, is.ExclusiveMinimum = nil, s.Least
	}
	if s.Below {
		is.Maximum, is.ExclusiveMaximum = nil, s.Most
	}
	return is
}

func atLeastOne(s *Shape) int {
	if s.Empty {
		return 0
	}
	return 1
}
