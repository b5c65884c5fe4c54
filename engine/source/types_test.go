package source

import (
	"strings"
	"testing"
)

// anything is a Type that looks at what stands there: the way to let a key take several forms.
var anything = Type[string]{&Shape{Name: "anything"}, func(r *Report, n Node) (string, bool) {
	text, isText := n.Text()
	switch {
	case n.IsNothing():
		return "nothing", true
	case n.IsNumber():
		return "number", true
	case n.IsList():
		return "list", true
	case n.IsMap():
		return "map", true
	case isText:
		return "text " + text, true
	}
	return yesNoWord(r, n)
}}

// yesNoWord reads true and false as words.
func yesNoWord(r *Report, n Node) (string, bool) {
	yes, ok := YesNo.Read(r, n)
	return map[bool]string{true: "true", false: "false"}[yes], ok
}

func TestNodesTellWhatTheyHold(t *testing.T) {
	distinct := reasons(t)
	for _, row := range []struct{ reason, text, want string }{
		{"a key alone", "{x: }", "nothing"},
		{"null", "{x: null}", "nothing"},
		{"a tilde", "{x: ~}", "nothing"},
		{"a number", "{x: 1}", "number"},
		{"a fraction", "{x: -1.5e3}", "number"},
		{"a quoted number", "{x: '1'}", "text 1"},
		{"a list", "{x: []}", "list"},
		{"a mapping", "{x: {}}", "map"},
		{"text", "{x: 75 psi}", "text 75 psi"},
		{"a date is text", "{x: 2001-02-03}", "text 2001-02-03"},
		{"a word for yes is text", "{x: yes}", "text yes"},
		{"true", "{x: true}", "true"},
	} {
		distinct(row.reason)
		t.Run(row.reason, func(t *testing.T) {
			table := NewTable("thing", Key("x", anything, func(g *Got[string]) *Got[string] { return g }, ""))
			var report Report
			got, _ := table.Type().Read(&report, Parse(NewFile("f.yaml", []byte(row.text)), &report))
			if got.V != row.want || !got.Set || len(report.Problems) > 0 {
				t.Errorf("%s holds %q (%v), want %q", row.text, got.V, report.Problems, row.want)
			}
		})
	}
}

func TestScalarTakesAnySingleValue(t *testing.T) {
	expression := Scalar(Shape{Name: "an expression"})
	distinct := reasons(t)
	for _, row := range []struct{ reason, text, want, problem string }{
		{"text", "x: a > 1", "a > 1", ""},
		{"a number as it is written", "x: 0x1F", "0x1F", ""},
		{"a yes/no value as it is written", "x: TRUE", "TRUE", ""},
		{"a date as it is written", "x: 2001-02-03", "2001-02-03", ""},
		{"quoted text", "x: ' a '", " a ", ""},
		{"nothing", "x:", "", `f.yaml:1:1: "x" wants an expression, not nothing`},
		{"blanks", "x: '  '", "", `f.yaml:1:5: "x" wants an expression, not the text "  "`},
		{"a list", "x: [a]", "", `f.yaml:1:4: "x" wants an expression, not a list`},
	} {
		distinct(row.reason)
		t.Run(row.reason, func(t *testing.T) {
			table := NewTable("thing", Key("x", expression, func(g *Got[string]) *Got[string] { return g }, ""))
			var report Report
			got, _ := table.Type().Read(&report, Parse(NewFile("f.yaml", []byte(row.text)), &report))
			if got.V != row.want || report.Problems.Error() != row.problem {
				t.Errorf("%s is %q (%v), want %q (%s)", row.text, got.V, report.Problems, row.want, row.problem)
			}
		})
	}
}

func TestReportsMerge(t *testing.T) {
	var a, b Report
	a.Add(Problem{Text: "one"})
	b.Add(Problem{Text: "two"})
	a.Merge(&b)
	if got := a.Problems.Error(); got != "?: one\n?: two" {
		t.Errorf("got %q", got)
	}
}

func TestWordsInSentences(t *testing.T) {
	for want, got := range map[string]string{
		"": listWords(nil, "or"), "a": listWords([]string{"a"}, "or"), "a or b": listWords([]string{"a", "b"}, "or"), "a, b and c": listWords([]string{"a", "b", "c"}, "and"),
		"an answer": article("answer"), "a rule": article("rule"),
		strings.Repeat("x", 60): Shorten(strings.Repeat("x", 60)), strings.Repeat("ä", 60) + "…": Shorten(strings.Repeat("ä", 61)),
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
