package schema

import (
	"bytes"
	"encoding/json"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"culprit/engine"
	"culprit/engine/source"
)

// verdictRecord is a verdict from whatever command: a stream adds the place of its
// line, and who asks for it gets what to do next.
type verdictRecord struct {
	File string `json:"file,omitempty"`
	Line int    `json:"line,omitempty"`
	*engine.Verdict
	Next *engine.Next `json:"next,omitempty"`
}

// records are what the program writes: the structures are the source, and the pages
// of docs, which other tests hold to them, say what each key means.
var records = []struct {
	name, title, about string
	of                 reflect.Type
}{
	{"verdict", "Verdict", "What culprit rank --format json prints, and stream --full for each line.", reflect.TypeFor[verdictRecord]()},
	{"brief", "Brief record", "What culprit stream writes for a line that it can answer.", reflect.TypeFor[engine.Brief]()},
	{"error", "Error record", "What culprit stream writes in the place of a line that it cannot answer.", reflect.TypeFor[engine.ErrorRecord]()},
}

// words are the values of keys that have no others, by structure and field. That is
// promised for one version.
var words = map[string][]any{
	"Verdict.Version":     {engine.VerdictVersion},
	"Brief.Version":       {engine.BriefVersion},
	"ErrorRecord.Version": {engine.ErrorVersion},
	"Next.Version":        {engine.NextVersion},
	"Warning.Kind":        {engine.WarnSetUp, engine.WarnWaiting, engine.WarnDoubtful, engine.WarnConflict},
	"LineError.Kind":      {engine.LineBroken, engine.LineTooLong, engine.LineRefused, engine.LineImpossible, engine.LineTooWide, engine.LineProgram},
	"Rule.Status":         {engine.Holds, engine.DoesNotHold, engine.CannotTell, engine.DoesNotApply},
	"Next.Do":             {engine.DoSetUp, engine.DoCheck, engine.DoRepair, engine.DoLastResort, engine.DoAgain, engine.DoNothing},
	"Advised.Do":          {engine.DoSetUp, engine.DoCheck, engine.DoRepair, engine.DoLastResort, engine.DoAgain, engine.DoNothing},
}

// meanings reads the tables of the pages about JSON: by heading and key.
func meanings(t testing.TB) map[string]map[string]string {
	t.Helper()
	row := regexp.MustCompile("^\\| `([a-z_0-9]+)` \\| [^|]+ \\| (?:always|if any) \\| ([^|]+) \\|$")
	found := map[string]map[string]string{}
	for _, page := range []string{"json.md", "next.md"} {
		text, err := os.ReadFile("../../docs/" + page)
		if err != nil {
			t.Fatal(err)
		}
		heading := ""
		for line := range strings.Lines(string(text)) {
			line = strings.TrimRight(line, "\n")
			if h, ok := strings.CutPrefix(line, "### "); ok {
				heading = h
			} else if m := row.FindStringSubmatch(line); m != nil {
				if found[heading] == nil {
					found[heading] = map[string]string{}
				}
				found[heading][m[1]] = m[2]
			}
		}
	}
	return found
}

// describer makes schemas of structures.
type describer struct {
	t        testing.TB
	meanings map[string]map[string]string
	defs     map[string]any
}

// object is the schema of a structure. What embedding adds counts as its own.
func (d *describer) object(x reflect.Type) map[string]any {
	properties, required := map[string]any{}, []string{}
	d.fields(x, properties, &required)
	return map[string]any{"type": "object", "properties": properties, "required": required}
}

func (d *describer) fields(x reflect.Type, properties map[string]any, required *[]string) {
	for f := range x.Fields() {
		of := f.Type
		if f.Anonymous {
			if of.Kind() == reflect.Pointer {
				of = of.Elem()
			}
			d.fields(of, properties, required)
			continue
		}
		name, option, _ := strings.Cut(f.Tag.Get("json"), ",")
		s := d.value(of, option != "omitempty")
		if w := words[x.Name()+"."+f.Name]; len(w) == 1 {
			s = map[string]any{"const": w[0]}
		} else if w != nil {
			s["enum"] = w
		}
		heading := strings.ToLower(x.Name())
		switch heading {
		case "setup":
			heading = "set-up"
		case "verdictrecord":
			heading = "fullrecord"
		}
		s["description"] = d.meanings[heading][name]
		if s["description"] == "" {
			d.t.Errorf("the docs do not say what %s of %s is", name, heading)
		}
		properties[name] = s
		if option != "omitempty" {
			*required = append(*required, name)
		}
	}
}

// value is the schema of a type; a pointer that is always there may be null.
func (d *describer) value(x reflect.Type, always bool) map[string]any {
	switch x.Kind() {
	case reflect.Pointer:
		s := d.value(x.Elem(), false)
		if always {
			return map[string]any{"anyOf": []any{s, map[string]any{"type": "null"}}}
		}
		return s
	case reflect.Slice:
		return map[string]any{"type": "array", "items": d.value(x.Elem(), false)}
	case reflect.Struct:
		name := strings.ToLower(x.Name())
		if d.defs[name] == nil {
			d.defs[name] = true // it is being made
			d.defs[name] = d.object(x)
		}
		return map[string]any{"$ref": "#/$defs/" + name}
	case reflect.String:
		return map[string]any{"type": "string"}
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.Int:
		return map[string]any{"type": "integer"}
	case reflect.Float64:
		return map[string]any{"type": "number"}
	}
	d.t.Fatalf("%v is nothing that a record has", x)
	return nil
}

// recordSchema makes the schema of a record.
func recordSchema(t testing.TB, name, title, about string, of reflect.Type) []byte {
	t.Helper()
	d := &describer{t: t, meanings: meanings(t), defs: map[string]any{}}
	s := d.object(of)
	s["$schema"], s["$id"], s["title"], s["description"] = source.Draft, "urn:culprit:schema:"+name, title, about
	if len(d.defs) > 0 {
		s["$defs"] = d.defs
	}
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(s); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// TestRecordsUpToDate: the schemas of records are what the structures and the docs
// say, schemas by the rules of their draft, and the program carries them.
func TestRecordsUpToDate(t *testing.T) {
	meta, err := jsonschema.NewCompiler().Compile(source.Draft)
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range records {
		file := r.name + ".schema.json"
		want := recordSchema(t, r.name, r.title, r.about, r.of)
		if *update {
			if err := os.WriteFile(file, want, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		got, err := engine.Schema(r.name)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), string(got)); diff != "" {
			t.Errorf("%s is not what the structures say; go test ./rules/schema -update (-structures +file):\n%s", file, diff)
		}
		if err := meta.Validate(document(t, r.name)); err != nil {
			t.Errorf("%s: %v", r.name, err)
		}
		if kind := engine.SchemaKinds[len(kinds)+i]; kind != r.name {
			t.Errorf("the program calls %q what is %q here", kind, r.name)
		}
	}
	if len(engine.SchemaKinds) != len(kinds)+len(records) {
		t.Errorf("the program has the schemas %v", engine.SchemaKinds)
	}
}
