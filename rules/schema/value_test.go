package schema

import (
	"bytes"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"gopkg.in/yaml.v3"

	"culprit/cases"
	"culprit/engine"
	"culprit/engine/rulefile"
	"culprit/engine/source"
)

// value gives what an editor makes of a file: the data of YAML 1.2 or of JSON. False is a file that has none.
func value(kind, text string) (any, bool) {
	if kind == "job" {
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
		return v, err == nil
	}
	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(strings.TrimPrefix(text, "\ufeff")), &doc); err != nil || len(doc.Content) != 1 {
		return nil, false
	}
	return data(doc.Content[0]), true
}

func data(n *yaml.Node) any {
	switch n.Kind {
	case yaml.MappingNode:
		m := map[string]any{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			m[n.Content[i].Value] = data(n.Content[i+1])
		}
		return m
	case yaml.SequenceNode:
		list := []any{}
		for _, c := range n.Content {
			list = append(list, data(c))
		}
		return list
	}
	switch n.Tag {
	case "!!null":
		return nil
	case "!!bool":
		return strings.EqualFold(n.Value, "true")
	case "!!int", "!!float":
		var x float64
		if err := n.Decode(&x); err != nil || math.IsInf(x, 0) || math.IsNaN(x) {
			return nil // JSON has no such number
		}
		return x
	}
	return n.Value
}

// form is what the program has against the form of a file, without looking up names.
func form(kind, text string) error {
	switch kind {
	case "rules":
		return rulefile.ReadForm(source.NewFile("a.yaml", []byte(text)))
	case "cases":
		_, err := cases.Load(fstest.MapFS{"a.yaml": {Data: []byte(text)}})
		return err
	}
	_, err := engine.ParseJob("job.json", []byte(text))
	return err
}

// whole is what the program has against a file, all told: as a pack, as cases that run, as a job that is ranked.
func whole(t testing.TB, pack *engine.Pack, kind, text string) error {
	switch kind {
	case "rules":
		_, err := rulefile.Load(rulefile.Folder{FS: fstest.MapFS{"a.yaml": {Data: []byte(text)}}})
		return err
	case "cases":
		all, err := cases.Load(fstest.MapFS{"a.yaml": {Data: []byte(text)}})
		for _, c := range all {
			if r := c.Run(t.Context(), pack); r.Verdict == nil {
				return r.Failures
			}
		}
		return err
	}
	job, err := engine.ParseJob("job.json", []byte(text))
	if err == nil {
		_, err = pack.Diagnose(t.Context(), job, engine.Options{})
	}
	return err
}

// told shows the message of a problem with its place.
func told(err error) string {
	if p, ok := err.(source.Problems); ok {
		var b bytes.Buffer
		p.Format(&b)
		return b.String()
	}
	return err.Error()
}
