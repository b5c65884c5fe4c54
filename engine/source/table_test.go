package source

import (
	"math"
	"strings"
	"testing"
)

type shelf struct {
	label Got[string]
	size  Got[float64]
	open  Got[bool]
	kind  Got[string]
	books Got[[]Got[string]]
	notes Got[[]Got[string]]
	owner Got[string]
	rows  Got[[]Entry[row]]
	lamp  Got[row]
}

type row struct{ length Got[float64] }

var rowTable = NewTable("row",
	Key("length", Number(NumberFrom(0, true, 10, false)), func(r *row) *Got[float64] { return &r.length }, "in metres").Required(),
)

var shelfTable = NewTable("shelf",
	Key("label", Text, func(s *shelf) *Got[string] { return &s.label }, "its name").Required(),
	Key("size", Number(NumberFrom(math.Inf(-1), false, math.Inf(1), false)), func(s *shelf) *Got[float64] { return &s.size }, "in metres"),
	Key("open", YesNo, func(s *shelf) *Got[bool] { return &s.open }, "whether it has no door"),
	Key("kind", Word("wood", "steel"), func(s *shelf) *Got[string] { return &s.kind }, "what it is made of"),
	Key("books", ListOf("a list of books", Text), func(s *shelf) *Got[[]Got[string]] { return &s.books }, "what stands there"),
	Key("notes", OneOrMore("a list of notes", Text), func(s *shelf) *Got[[]Got[string]] { return &s.notes }, "remarks"),
	Key("owner", ID("a person", Spelt(`^[a-z]+$`)), func(s *shelf) *Got[string] { return &s.owner }, "whose it is"),
	Key("rows", MapOf("row", Spelt(`^[a-z]+$`), "lower case letters", rowTable.Type()), func(s *shelf) *Got[[]Entry[row]] { return &s.rows }, "its rows"),
	Key("lamp", rowTable.Type(), func(s *shelf) *Got[row] { return &s.lamp }, "its lamp"),
)

// readShelf gives the shelf and all that was reported, sorted.
func readShelf(t *testing.T, text string) (shelf, Problems) {
	t.Helper()
	var report Report
	top := Parse(NewFile("f.yaml", []byte(text)), &report)
	if top.IsZero() {
		t.Fatal(report.Problems)
	}
	s, _ := shelfTable.Type().Read(&report, top)
	report.Problems.Sort()
	return s, report.Problems
}

func TestTableReportsWithHints(t *testing.T) {
	distinct := reasons(t)
	for _, row := range []struct{ reason, text, want string }{
		{"a required key is missing at the top", "size: 1\n", `1:1: a shelf without "label"`},
		{"not a mapping", "just text\n", `1:1: wanted a mapping with the keys of a shelf here, not the text "just text" | write {label: just text}`},
		{"a value alone in the place of a mapping", "label: b\nlamp: 3\n", `2:7: "lamp" wants a mapping with the keys of a row, not the number 3 | write {length: 3}`},
		{"a value alone that no key takes", "label: b\nlamp: 30\n", `2:7: "lamp" wants a mapping with the keys of a row, not the number 30 | write {length: …}`},
		{"text that would read otherwise inside a mapping", "'a, b'\n", `1:2: wanted a mapping with the keys of a shelf here, not the text "a, b" | write {label: …}`},
		{"a list in the place of a mapping", "label: b\nlamp: [3]\n", `2:7: "lamp" wants a mapping with the keys of a row, not a list`},
		{"a key with a slip", "lable: a\nlabel: b\n", `1:1: unknown key "lable" in a shelf | did you mean "label"?`},
		{"a key like none", "label: b\ncolour: red\n",
			`2:1: unknown key "colour" in a shelf | a shelf has the keys label, size, open, kind, books, notes, owner, rows and lamp`},
		{"a key given twice: both places, the first counts", "label: b\nlabel: c\n", `2:1: key "label" is given twice | also 1:1`},
		{"a comma in text within braces", "{label: b, and more}", `1:12: unknown key "and more" in a shelf | if this is text with a comma in it, put quotes around the text`},
		{"a decimal comma within braces", "{label: b, size: 1,5}", `1:20: unknown key "5" in a shelf | write a decimal point, not a comma`},

		{"a number as text", "label: 5\n", `1:8: "label" wants text, not the number 5 | put quotes around it if it is meant as text`},
		{"a yes/no value as text", "label: true\n", `1:8: "label" wants text, not the yes/no value "true" | put quotes around it if it is meant as text`},
		{"nothing as text: at the key", "label:\n", `1:1: "label" wants text, not nothing`},
		{"null as text: at the key", "label: null\n", `1:1: "label" wants text, not nothing`},
		{"empty text", "label: ''\n", `1:8: "label" wants text, not empty text`},
		{"a list as text", "label: [a]\n", `1:8: "label" wants text, not a list`},
		{"a mapping as text", "label: {a: b}\n", `1:8: "label" wants text, not a mapping`},

		{"text as a number", "label: a\nsize: wide\n", `2:7: "size" wants a number, not the text "wide"`},
		{"a quoted number", "label: a\nsize: '5'\n", `2:8: "size" wants a number, not the text "5" | take away the quotes`},
		{"a decimal comma", "label: a\nsize: 1,5\n", `2:7: "size" wants a number, not the text "1,5" | write a decimal point, not a comma`},
		{"hexadecimal", "label: a\nsize: 0x1F\n", `2:7: "size" wants a number, not the number 0x1F`},
		{"grouped digits", "label: a\nsize: 1_000\n", `2:7: "size" wants a number, not the number 1_000`},
		{"infinity", "label: a\nsize: .inf\n", `2:7: "size" wants a number, not the number .inf`},
		{"not a number", "label: a\nsize: .nan\n", `2:7: "size" wants a number, not the number .nan`},
		{"beyond what a number can be", "label: a\nsize: 1e999\n", `2:7: "size" wants a number, not the text "1e999"`},

		{"a word for yes", "label: a\nopen: on\n", `2:7: "open" wants yes or no, not the text "on"`},
		{"a quoted yes", "label: a\nopen: 'yes'\n", `2:8: "open" wants yes or no, not the text "yes" | take away the quotes`},
		{"one for yes", "label: a\nopen: 1\n", `2:7: "open" wants yes or no, not the number 1`},
		{"a capital yes", "label: a\nopen: Yes\n", `2:7: "open" wants yes or no, not the text "Yes" | write yes`},

		{"a word with a slip", "label: a\nkind: stel\n", `2:7: "kind" wants wood or steel, not the text "stel" | did you mean "steel"?`},
		{"a word like none", "label: a\nkind: glass\n", `2:7: "kind" wants wood or steel, not the text "glass"`},
		{"a list for a word", "label: a\nkind: [wood]\n", `2:7: "kind" wants wood or steel, not a list`},

		{"text for a list", "label: a\nbooks: b\n", `2:8: "books" wants a list of books, not the text "b" | write [b]`},
		{"an empty list: at the key", "label: a\nbooks: []\n", `2:1: an empty list, where a list of books is wanted`},
		{"a wrong entry of a list", "label: a\nbooks: [b, 5]\n", `2:12: wanted text here, not the number 5 | put quotes around it if it is meant as text`},
		{"a mapping for one or more", "label: a\nnotes: {b: c}\n", `2:8: "notes" wants text or a list of notes, not a mapping`},

		{"an id that cannot be one", "label: a\nowner: Ann Lee\n", `2:8: "owner" wants the id of a person, not the text "Ann Lee"`},
		{"a wrong value under an id", "label: a\nrows: {top: {length: 0}}\n", `2:22: "length" wants a number above 0 and up to 10, not the number 0`},
		{"a required key is missing under an id", "label: a\nrows:\n  top: {}\n", `3:3: row "top" has no "length"`},
		{"a required key is missing under a key", "label: a\nlamp: {}\n", `2:1: "lamp" has no "length"`},
		{"an id twice: both places", "label: a\nrows:\n  top: {length: 1}\n  top: {length: 2}\n", `4:3: row "top" is defined twice | also 3:3`},
		{"an id that cannot be one as a key, and its value", "label: a\nrows: {Top 1: {length: x}}\n",
			`2:8: "Top 1" cannot be the id of a row | lower case letters; 2:24: "length" wants a number above 0 and up to 10, not the text "x"`},
		{"an empty mapping of ids", "label: a\nrows: {}\n", `2:1: an empty mapping, where a mapping from ids to a mapping with the keys of a row is wanted`},
		{"a list for a mapping of ids", "label: a\nrows: [b]\n", `2:7: "rows" wants a mapping from ids to a mapping with the keys of a row, not a list | write {b: …}`},
		{"an id alone for a mapping of ids", "label: a\nrows: b\n", `2:7: "rows" wants a mapping from ids to a mapping with the keys of a row, not the text "b" | write {b: …}`},
		{"an id that cannot be one for its capitals", "label: a\nrows: {Top: {length: 1}}\n", `2:8: "Top" cannot be the id of a row | lower case letters: top`},
		{"a decimal comma among ids", "label: a\nrows: {top: {length: 1}, 5}\n", `2:26: "5" cannot be the id of a row | write a decimal point, not a comma`},
		{"an id without a blank behind its ':'", "label: a\nrows: {top:1}\n", `2:8: "top:1" cannot be the id of a row | a blank follows the ':' behind top`},

		{"all at once", "size: a\nopen: b\nkind: c\n",
			`1:1: a shelf without "label"; 1:7: "size" wants a number, not the text "a"; 2:7: "open" wants yes or no, not the text "b"; 3:7: "kind" wants wood or steel, not the text "c"`},
	} {
		distinct(row.reason)
		t.Run(row.reason, func(t *testing.T) {
			_, problems := readShelf(t, row.text)
			var got []string
			for _, p := range problems {
				one := strings.TrimPrefix(p.Error(), "f.yaml:")
				if p.Hint != "" {
					one += " | " + p.Hint
				}
				if p.Other != nil {
					one += " | also " + strings.TrimPrefix(p.Other.String(), "f.yaml:")
				}
				got = append(got, one)
			}
			if all := strings.Join(got, "; "); all != row.want {
				t.Errorf("%q:\ngot  %s\nwant %s", row.text, all, row.want)
			}
		})
	}
}

func TestTableReads(t *testing.T) {
	s, problems := readShelf(t, `
label: tall
size: -1.5e1
open: yes
kind: steel
books: [one, "two"]
notes: three
owner: no
rows:
  top: {length: 10}
  low: {length: .5}
`)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if s.label.V != "tall" || s.size.V != -15 || !s.open.V || s.kind.V != "steel" || s.owner.V != "no" {
		t.Errorf("scalars: %+v", s)
	}
	if len(s.books.V) != 2 || s.books.V[1].V != "two" || len(s.notes.V) != 1 || s.notes.V[0].V != "three" {
		t.Errorf("lists: %+v %+v", s.books.V, s.notes.V)
	}
	if len(s.rows.V) != 2 || s.rows.V[1].ID != "low" || s.rows.V[1].V.length.V != 0.5 {
		t.Errorf("mapping: %+v", s.rows.V)
	}
	if s.lamp.Set || s.lamp.Line != 0 {
		t.Errorf("a key that is not there: %+v", s.lamp)
	}
	if got := s.books.V[1].Pos.String(); got != "f.yaml:6:14" {
		t.Errorf("the second book stands at %s", got)
	}
}

// What was refused is told from what was not there, and leaves the rest as it is.
func TestTableTellsRefusedFromMissing(t *testing.T) {
	s, _ := readShelf(t, "label: 5\nrows: {top: 5, Low: {length: 1}, mid: {length: 2}}\n")
	if s.label.Set || s.label.Line != 1 {
		t.Errorf("a refused label: %+v", s.label)
	}
	var got []string
	for _, r := range s.rows.V {
		got = append(got, r.ID+map[bool]string{true: " set", false: " refused"}[r.Set])
	}
	if all := strings.Join(got, ", "); all != "top refused, Low refused, mid set" {
		t.Errorf("rows: %s", all)
	}
}

// An alias was reported by Parse; nobody says a second time that something is wrong there.
func TestTableIsSilentAboutAliases(t *testing.T) {
	_, problems := readShelf(t, "label: &a b\nsize: *a\nopen: *a\nkind: *a\nbooks: *a\nnotes: [*a]\nowner: *a\nrows: *a\nlamp: *a\n")
	if len(problems) != 9 {
		t.Errorf("one anchor and eight aliases gave %d problems:\n%v", len(problems), problems)
	}
}

func TestTableIsSilentAboutWhatParseRefused(t *testing.T) {
	var report Report
	top := Parse(NewFile("f.yaml", []byte("a: [\n")), &report)
	_, ok := shelfTable.Type().Read(&report, top)
	if ok || len(report.Problems) != 1 {
		t.Errorf("reading what could not be parsed: %v, %v", ok, report.Problems)
	}
}

func TestTableDescribesItself(t *testing.T) {
	shape := shelfTable.Type().Shape
	var got []string
	for _, k := range shape.Keys {
		got = append(got, k.Name+": "+k.Shape.Name)
	}
	want := "label: text, size: a number, open: yes or no, kind: wood or steel, books: a list of books, notes: text or a list of notes, " +
		"owner: the id of a person, rows: a mapping from ids to a mapping with the keys of a row, lamp: a mapping with the keys of a row"
	if all := strings.Join(got, ", "); all != want {
		t.Errorf("got  %s\nwant %s", all, want)
	}
	if !shape.Keys[0].Required || shape.Keys[1].Required || shape.Keys[0].Doc != "its name" {
		t.Errorf("%+v", shape.Keys[:2])
	}
}

func TestTableRefusesAKeyTwice(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a table with a key twice was made")
		}
	}()
	length := Key("length", Text, func(s *shelf) *Got[string] { return &s.label }, "")
	NewTable("shelf", length, length)
}
