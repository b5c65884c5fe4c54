package rulefile

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"culprit/engine/quantity"
	"culprit/engine/source"
	"culprit/engine/truth"
)

// The reference of rule files is written for trainers; its tables come from the code that reads the files.
const referencePath = "../../docs/rule-files.md"

// generated are the parts of the reference that stand between "<!-- generated: NAME -->" and "<!-- end: NAME -->".
var generated = []struct {
	name   string
	render func() string
}{
	{"keys", renderKeys},
	{"how often", renderHowOften},
	{"functions", renderFunctions},
	{"units", renderUnits},
}

func TestReferenceIsUpToDate(t *testing.T) {
	b, err := os.ReadFile(referencePath)
	if err != nil {
		t.Fatal(err)
	}
	got, want := string(b), string(b)
	for _, g := range generated {
		begin, end := "<!-- generated: "+g.name+" -->\n", "<!-- end: "+g.name+" -->\n"
		before, rest, ok := strings.Cut(want, begin)
		_, after, closed := strings.Cut(rest, end)
		if !ok || !closed || strings.Contains(after, begin) {
			t.Fatalf("%s wants one %q and one %q after it", referencePath, begin, end)
		}
		want = before + begin + "\n" + g.render() + "\n" + end + after
	}
	if *update && got != want {
		if err := os.WriteFile(referencePath, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		got = want
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("the reference is not what the code says; run the test with -update (-code +reference):\n%s", diff)
	}
}

// The YAML of the reference whose first line names a file is one pack, which must load: a trainer will type it in.
func TestReferenceExamplesLoad(t *testing.T) {
	b, err := os.ReadFile(referencePath)
	if err != nil {
		t.Fatal(err)
	}
	var files []string
	for _, m := range exampleFile.FindAllStringSubmatch(string(b), -1) {
		files = append(files, m[1], m[0][len("```yaml\n"):len(m[0])-len("```\n")])
	}
	if len(files) < 4 {
		t.Fatalf("%d example files in %s", len(files)/2, referencePath)
	}
	if _, err := Load(folder("", files...)); err != nil {
		t.Error(err)
	}
}

var exampleFile = regexp.MustCompile("(?ms)^```yaml\n# ([a-z-]+\\.yaml)\n.*?^```\n")

// table writes rows as a Markdown table, the first being its head.
func table(rows ...[]string) string {
	var b strings.Builder
	for i, row := range rows {
		b.WriteString("|")
		for _, cell := range row {
			b.WriteString(" " + strings.ReplaceAll(cell, "|", `\|`) + " |")
		}
		b.WriteString("\n")
		if i == 0 {
			b.WriteString(strings.Repeat("|---", len(row)) + "|\n")
		}
	}
	return b.String()
}

func renderKeys() string {
	var parts []string
	for s := range Tables() {
		rows := [][]string{{"key", "must be there", "what stands there", "what it means"}}
		for _, k := range s.Keys {
			must := ""
			if k.Required {
				must = "yes"
			}
			rows = append(rows, []string{"`" + k.Name + "`", must, describe(k.Shape), k.Doc})
		}
		parts = append(parts, "### Keys of "+article(s.Thing)+"\n\n"+table(rows...))
	}
	return strings.Join(parts, "\n")
}

// describe says what may stand somewhere, and links to the keys where it has keys of its own.
func describe(s *source.Shape) string {
	switch {
	case s.Form == source.FormRecord:
		keys := "keys of " + article(s.Thing)
		return fmt.Sprintf("[the %s](#%s)", keys, strings.ReplaceAll(keys, " ", "-"))
	case s.Form == source.FormMap && s.Of.Form == source.FormRecord:
		return "ids, each with " + describe(s.Of)
	case s.Form == source.FormMap && s.Of.Form == source.FormEither:
		return "ids, each with " + s.Of.Name
	case s.Form == source.FormMap:
		return "ids, each with " + describe(s.Of)
	case s.Form == source.FormList && s.Of.Form == source.FormRecord:
		return "a list, each with " + describe(s.Of)
	case s.Form == source.FormList:
		return s.Name + ": `[…]`"
	}
	return s.Name
}

func article(thing string) string {
	if strings.ContainsRune("aeiou", rune(thing[0])) {
		return "an " + thing
	}
	return "a " + thing
}

func renderHowOften() string {
	rows := [][]string{{"word", "probability"}}
	for word, p := range HowOften {
		rows = append(rows, []string{"`" + word + "`", fmt.Sprintf("%.2f", p)})
	}
	return table(rows...)
}

func renderFunctions() string {
	rows := [][]string{{"function", "where", "what it tells"}}
	for _, f := range truth.Functions() {
		where := "everywhere"
		if f.DerivedOnly {
			where = "only in `from`"
		}
		rows = append(rows, []string{"`" + f.Name + "`", where, f.Doc})
	}
	return table(rows...)
}

func renderUnits() string {
	rows := [][]string{{"kind of quantity", "units, as messages write them"}}
	for d := quantity.Fraction; len(quantity.Units(d)) > 0; d++ {
		var symbols []string
		for _, u := range quantity.Units(d) {
			symbols = append(symbols, "`"+u.String()+"`")
		}
		rows = append(rows, []string{d.String(), strings.Join(symbols, ", ")})
	}
	return table(rows...)
}
