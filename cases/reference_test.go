package cases

import (
	"flag"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"culprit/engine/rulefile"
	"culprit/engine/source"
)

var update = flag.Bool("update", false, "write the keys of case files in docs/rule-files.md anew; look at the difference before you commit it")

const referencePath = "../docs/rule-files.md"

type keyTable struct {
	heading string
	shape   *source.Shape
}

// keyTables are the records of a case file with the headings under which the reference has them. The figures of a case
// have none: they stand where those of a vehicle do.
var keyTables = []keyTable{
	{"Keys of a case file", fileTable.Type().Shape},
	{"Keys of a case", caseTable.Type().Shape},
	{"Keys of an expected fault", expectedTable.Type().Shape},
	{"Keys of a value with its unit", measuredTable.Type().Shape},
	{"Keys of a trace", traceTable.Type().Shape},
}

func TestReferenceIsUpToDate(t *testing.T) {
	b, err := os.ReadFile(referencePath)
	if err != nil {
		t.Fatal(err)
	}
	const begin, end = "<!-- generated: keys of cases -->\n", "<!-- end: keys of cases -->\n"
	before, rest, ok := strings.Cut(string(b), begin)
	_, after, closed := strings.Cut(rest, end)
	if !ok || !closed {
		t.Fatalf("%s wants %q and %q after it", referencePath, begin, end)
	}
	want := before + begin + "\n" + renderKeys(t) + end + after
	if *update {
		if err := os.WriteFile(referencePath, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(want, string(b)); diff != "" {
		t.Errorf("the reference is not what the code says; run go test ./cases -update (-code +reference):\n%s", diff)
	}
}

// Every record that can be reached from a case file has its table, so that a new one cannot be forgotten.
func TestReferenceHasEveryRecord(t *testing.T) {
	var visit func(s *source.Shape)
	visit = func(s *source.Shape) {
		if s == nil {
			return
		}
		if s.Form == source.FormRecord && s != figuresTable.Type().Shape {
			heading(t, s)
		}
		visit(s.Of)
		for _, c := range s.Choices {
			visit(c)
		}
		for _, k := range s.Keys {
			visit(k.Shape)
		}
	}
	visit(Shape())
}

// The reference has one table of figures for vehicles and cases, so the two take the same keys.
func TestFiguresOfCasesAreThoseOfVehicles(t *testing.T) {
	for s := range rulefile.Tables() {
		if s.Thing != "spec" {
			continue
		}
		if diff := cmp.Diff(keyNames(s), keyNames(figuresTable.Type().Shape)); diff != "" {
			t.Errorf("figures of a vehicle and of a case differ (-vehicle +case):\n%s", diff)
		}
		return
	}
	t.Fatal("rule files have no figures")
}

func keyNames(s *source.Shape) []string {
	var out []string
	for _, k := range s.Keys {
		out = append(out, k.Name)
	}
	return out
}

func renderKeys(t *testing.T) string {
	var b strings.Builder
	for _, table := range keyTables {
		b.WriteString("### " + table.heading + "\n\n| key | must be there | what stands there | what it means |\n|---|---|---|---|\n")
		for _, k := range table.shape.Keys {
			must := ""
			if k.Required {
				must = "yes"
			}
			b.WriteString("| `" + k.Name + "` | " + must + " | " + describe(t, k.Shape) + " | " + k.Doc + " |\n")
		}
		b.WriteString("\n")
	}
	return b.String()
}

// describe says what may stand somewhere, and links to the keys where it has keys of its own.
func describe(t *testing.T, s *source.Shape) string {
	switch {
	case s.Thing == "value":
		return "[a value](#the-value-of-a-reading)"
	case s == figuresTable.Type().Shape:
		return "[the keys of a spec](#keys-of-a-spec)"
	case s.Form == source.FormRecord:
		name := heading(t, s)
		return "[the k" + name[1:] + "](#" + strings.ToLower(strings.ReplaceAll(name, " ", "-")) + ")"
	case s.Form == source.FormMap:
		return "ids, each with " + describe(t, s.Of)
	case s.Form == source.FormList && s.Of.Form == source.FormRecord:
		return "a list, each with " + describe(t, s.Of)
	case s.Form == source.FormList:
		return s.Name + ": `[…]`"
	}
	return s.Name
}

// heading tells under which heading the keys of a record stand.
func heading(t *testing.T, s *source.Shape) string {
	t.Helper()
	i := slices.IndexFunc(keyTables, func(k keyTable) bool { return k.shape == s })
	if i < 0 {
		t.Fatalf("the keys of %s have no table in the reference: %v", s.Thing, keyNames(s))
	}
	return keyTables[i].heading
}
