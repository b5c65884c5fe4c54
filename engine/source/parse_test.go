package source

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"
)

// parse gives everything reported about a text, one a line.
func parse(text string) (Node, Problems) {
	var report Report
	top := Parse(NewFile("f.yaml", []byte(text)), &report)
	return top, report.Problems
}

// The first row of each group is what a person is likely to get wrong.
func TestParseRefuses(t *testing.T) {
	distinct := reasons(t)
	for _, row := range []struct{ reason, text, want string }{
		{"a forgotten colon", "a: 1\nb 2\nc: 3\n", "f.yaml:2:1: a key without ':'"},
		{"a colon in text", "a: b: c\n", "f.yaml:1:5: a ':' that makes no key here"},
		{"no blank after a key's colon", "a:b\nc: d\n", `f.yaml:1:2: no blank behind the ':' of "a"`},
		{"no blank after the colon of an entry's key", "a:\n  - b:c\n    d: e\n", `f.yaml:2:6: no blank behind the ':' of "b"`},
		{"a key too far in", "a: 1\n  b: 2\n", `f.yaml:2:3: this is further in than "a" above it, and so it is part of its text`},
		{"a key too far in behind an empty line", "a: bc\n\n    d: e\n", `f.yaml:3:5: this is further in than "a" above it, and so it is part of its text`},
		{"a colon in text below a key without a blank", "a:\n  b:c\nd: e: f\n", "f.yaml:3:5: a ':' that makes no key here"},
		{"a colon in text further in", "a: b\n  c d: e\n", `f.yaml:2:3: this is further in than "a" above it, and so it is part of its text`},
		{"a brace too many", "a: {b: c}}\n", "f.yaml:1:10: a '}' without a '{'"},
		{"a bracket too many", "a: [b]]\nc: d\n", "f.yaml:1:7: a ']' without a '['"},
		{"a key between two columns", "a:\n  b: 1\n c: 2\n", "f.yaml:3:2: this does not line up with the keys above it"},
		{"a list among keys", "a: b\n- c\n", "f.yaml:2:1: this does not line up with the keys above it"},
		{"keys after a list", "- a\nb: c\n", "f.yaml:2:1: this does not line up with the list above it"},
		{"a list without its bracket", "a: [1, 2\nb: 3\n", "f.yaml:2:2: expected ',' or ']' here"},
		{"a mapping without its brace", "a: {b: 1\nc: 2\n", "f.yaml:2:2: expected ',' or '}' here"},
		{"a brace open at the end of the file: after the last text", "a: {b: c\r\n\r\n\r\n", "f.yaml:1:9: expected ',' or '}' here"},
		{"a missing comma", "a: [\"b\" \"c\"]\n", "f.yaml:1:9: expected ',' or ']' here"},
		{"two commas", "a: {b: c,, d: e}\n", "f.yaml:1:10: expected a value here"},
		{"a stray bracket", "a: ]\n", "f.yaml:1:4: expected a value here"},
		{"an apostrophe in single quotes", "a: 'it's'\n", "f.yaml:1:8: the value has ended before this"},
		{"text after a quoted value", "a: \"b\" c\n", "f.yaml:1:8: the value has ended before this"},
		{"an open single quote", "a: 'never\nb: c\n", "f.yaml:1:4: this quote is never closed"},
		{"an open double quote", "a: 1\nb: \"never\nc: d\n", "f.yaml:2:4: this quote is never closed"},
		{"a quote that a document ends", "a: 'b\n---\nc\n", "f.yaml:1:4: this quote is never closed"},
		{"an unknown escape", "a: \"\\q\"\n", "f.yaml:1:5: no such escape in double quotes"},
		{"an escape without its digits", "a: \"\\xZZ\"\n", "f.yaml:1:7: this escape needs hexadecimal digits"},
		{"a tab before the first key", "\ta: 1\n", "f.yaml:1:1: a tab in the indentation"},
		{"a tab before a nested key", "a:\n\tb: 1\n", "f.yaml:2:1: a tab in the indentation"},
		{"a tab after spaces", "a:\n  b: 1\n  \tc: 2\n", "f.yaml:3:3: a tab in the indentation"},
		{"a tab after folded text", "a: >\n b\nc: d\n\te: f\n", "f.yaml:4:1: a tab in the indentation"},
		{"a tab before literal text", "a: |\n\tb\n", "f.yaml:2:1: a tab in the indentation"},
		{"text that begins with '@'", "a: @b\n", "f.yaml:1:4: text cannot begin with this character"},
		{"text that begins with '%'", "a: %b\n", "f.yaml:1:4: text cannot begin with this character"},
		{"a list on the line of its key", "a: - b\n", "f.yaml:1:4: this cannot stand here"},
		{"text on the line of a '|'", "a: |x\n  b\n", "f.yaml:1:4: text after '|' or '>' begins on the next line"},
		{"an indentation of nothing", "a: |0\n  b\n", "f.yaml:1:4: the number after '|' or '>' is from 1 to 9"},
		{"keys after a finished mapping", "{a: b}\nc: d\n", "f.yaml:2:1: this does not belong to what stands above it"},
		{"an unknown directive", "%FOO\n---\na: b\n", "f.yaml:1:5: not valid YAML: found unknown directive name"},

		{"a second document", "a: 1\n---\nb: 2\n", "f.yaml:2:1: a second document begins here"},
		{"a second document that is empty", "a: 1\n---\n", "f.yaml:2:1: a second document begins here"},
		{"an alias of nothing", "a: *b\n", "f.yaml:1:4: the alias \"*b\": aliases are not used here"},
		{"an anchor and its alias", "a: &x b\nc: *x\n",
			"f.yaml:1:4: the anchor \"&x\": anchors are not used here\nf.yaml:2:4: the alias \"*x\": aliases are not used here"},
		{"an anchor on a mapping", "a: &x {b: c}\n", "f.yaml:1:4: the anchor \"&x\": anchors are not used here"},
		{"an alias as a key", "a: &x b\n*x : c\n",
			"f.yaml:1:4: the anchor \"&x\": anchors are not used here\nf.yaml:2:1: the alias \"*x\": aliases are not used here"},
		{"a merge key", "<<: {a: b}\n", "f.yaml:1:1: the merge key \"<<\": merging is not used here"},
		{"a tag of YAML", "a: !!str c\n", "f.yaml:1:4: the tag \"!!str\": tags are not used here"},
		{"a tag of somebody", "a: !c d\n", "f.yaml:1:4: the tag \"!c\": tags are not used here"},
		{"a list as a key", "[a, b]: c\n", "f.yaml:1:1: a list or mapping as a key"},
		{"a mapping as a key", "? {a: b}\n: c\n", "f.yaml:1:3: a list or mapping as a key"},

		{"no bytes", "", "f.yaml: the file is empty"},
		{"only a comment", "# nothing yet\n", "f.yaml: the file is empty"},
		{"only a document mark", "---\n", "f.yaml: the file is empty"},
		{"only a byte order mark", "\ufeff", "f.yaml: the file is empty"},
		{"a NUL byte", "a: 1\nb: c\x00\n", "f.yaml:2:5: a NUL byte: this is not a text file"},
		{"an image", "\x89PNG\r\n\x1a\n\x00\x00", "f.yaml:1:1: not UTF-8 text"},
		{"UTF-16", "\xff\xfea\x00:\x00", "f.yaml:1:1: not UTF-8 text"},
		{"Latin-1", "a: f\xfcr\n", "f.yaml:1:5: not UTF-8 text"},
		{"a bell", "a: ä\ab\n", "f.yaml:1:5: the control character U+0007"},
		{"a delete", "a: b\x7f\n", "f.yaml:1:5: the control character U+007F"},
		{"a C1 control", "a: b\u0081\n", "f.yaml:1:5: the control character U+0081"},
		{"a second byte order mark", "a: b\ufeff\n", "f.yaml:1:5: the control character U+FEFF"},
		{"a noncharacter", "a: \uffff\n", "f.yaml:1:4: the control character U+FFFF"},
		{"line ends of old", "a: b\rc: d\r", "f.yaml:1:5: a carriage return without a line feed"},
		{"a line separator", "a: b\u2028\n", "f.yaml:1:5: the line break U+2028, which many editors do not show as one"},

		{"a flow list too deep", strings.Repeat("[", 21) + strings.Repeat("]", 21), "f.yaml:1:21: lists and mappings more than 20 deep"},
		{"a block list too deep", strings.Repeat("- ", 21) + "a", "f.yaml:1:41: lists and mappings more than 20 deep"},
	} {
		distinct(row.reason)
		t.Run(row.reason, func(t *testing.T) {
			_, problems := parse(row.text)
			if got := problems.Error(); got != row.want {
				t.Errorf("%q:\ngot  %s\nwant %s", row.text, got, row.want)
			}
		})
	}
}

func TestParseAccepts(t *testing.T) {
	distinct := reasons(t)
	for _, row := range []struct{ reason, text string }{
		{"a byte order mark", "\ufeffa: b\n"},
		{"CR LF", "a: b\r\nc:\r\n  - d\r\n"},
		{"no line break at the end", "a: b"},
		{"a document mark before and after", "---\na: b\n...\n"},
		{"a directive", "%YAML 1.1\n---\na: b\n"},
		{"letters of all kinds", "ä: ö\n中: 文\n😀: ☺\n"},
		{"tabs inside text and before comments", "a: b\tc\t# d\n"},
		{"twenty levels", strings.Repeat("[", 20) + strings.Repeat("]", 20)},
	} {
		distinct(row.reason)
		t.Run(row.reason, func(t *testing.T) {
			if top, problems := parse(row.text); len(problems) > 0 || top.IsZero() {
				t.Errorf("%q: %v", row.text, problems)
			}
		})
	}
}

// What is refused inside a document leaves the rest of it to be read; what cannot be read leaves nothing.
func TestParseGivesWhatCanBeRead(t *testing.T) {
	distinct := reasons(t)
	for _, row := range []struct {
		reason, text string
		zero         bool
	}{
		{"an anchor is refused by itself", "a: &x b\n", false},
		{"a list as a key too", "[a]: b\nc: d\n", false},
		{"wrong YAML has no tree", "a: [\n", true},
		{"too deep is not walked", strings.Repeat("[", 21) + strings.Repeat("]", 21), true},
	} {
		distinct(row.reason)
		if top, problems := parse(row.text); top.IsZero() != row.zero || len(problems) == 0 {
			t.Errorf("%s: zero %v, %v", row.reason, top.IsZero(), problems)
		}
	}
}

// The places of syntax errors come from fields of the YAML library that it does not promise. When this fails after an
// upgrade, parserMarks and eventMark are to be mended.
func TestParserKeepsItsMarks(t *testing.T) {
	d := yaml.NewDecoder(strings.NewReader("a: 1\nb: 'c\n"))
	var n yaml.Node
	if err := d.Decode(&n); err == nil {
		t.Fatal("an open quote was accepted")
	}
	m, ok := parserMarks(d)
	if !ok || m.problem == "" || m.began != (mark{1, 3}) {
		t.Errorf("the parser's marks are %+v, %v; want the quote at 1:3 (from zero)", m, ok)
	}
}

// Without the library's marks the line of its message is used.
func TestSyntaxProblemWithoutMarks(t *testing.T) {
	f := NewFile("f.yaml", []byte("a:\n  b\n"))
	p := plainSyntaxProblem(f, yaml.NewDecoder(strings.NewReader("")), fmt.Errorf("yaml: line 2: something odd"))
	if got, want := p.Error(), "f.yaml:2:3: not valid YAML: something odd"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	p = plainSyntaxProblem(f, yaml.NewDecoder(strings.NewReader("")), fmt.Errorf("yaml: something odd"))
	if got, want := p.Error(), "f.yaml: not valid YAML: something odd"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

type hostile struct{ reason, text string }

// hostileFiles are as large as a file may be and built to be dear.
func hostileFiles() []hostile {
	full := func(unit string) string { return strings.Repeat(unit, MaxBytes/len(unit)) }
	return []hostile{
		{"open brackets", full("[")},
		{"open braces", full("{a: ")},
		{"nested list marks", full("- ")},
		{"nested key marks", full("? ")},
		{"a list of a million entries", "[" + full("a,")[:MaxBytes-2] + "]"},
		{"many keys", full("a: \n")},
		{"comments between keys", full("a:\n#\n")},
		{"comments after entries", full("- #\n")},
		{"one word", full("a")},
		{"one quoted text of blank lines", "'" + full("\n")[:MaxBytes-2] + "'"},
		{"one literal of blank lines", "a: |\n" + full(" \n")[:MaxBytes-8]},
		{"a text of many words", full("b ")},
		{"an alias bomb", "a: &a [x,x,x,x,x,x,x,x,x]\nb: &b [*a,*a,*a,*a,*a,*a,*a,*a,*a]\nc: &c [*b,*b,*b,*b,*b,*b,*b,*b,*b]\n" +
			"d: &d [*c,*c,*c,*c,*c,*c,*c,*c,*c]\ne: &e [*d,*d,*d,*d,*d,*d,*d,*d,*d]\nf: [*e,*e,*e,*e,*e,*e,*e,*e,*e]\n"},
		{"anchors", full("&a ")},
		{"many aliases", "a: &a b\nc: [" + full("*a,")[:MaxBytes-20] + "]"},
		{"many documents", full("--- a\n")},
		{"a byte too many", full("a") + "b"},
		{"ten megabytes", strings.Repeat("a: b\n", 2_000_000)},
		{"wide letters on one line", "[" + full("'ä' ")[:MaxBytes/5*5-8]},
	}
}

// What is wrong with each is told in few words. How long it takes is told by BenchmarkHostileFile.
func TestHostileFilesAreToldInFewWords(t *testing.T) {
	distinct := reasons(t)
	for _, row := range hostileFiles() {
		distinct(row.reason)
		t.Run(row.reason, func(t *testing.T) {
			var report Report
			Parse(NewFile("f.yaml", []byte(row.text)), &report)
			var b bytes.Buffer
			report.Problems.Sort()
			if err := report.Problems.Format(&b); err != nil || b.Len() > 50_000 {
				t.Errorf("a report of %d bytes, %v", b.Len(), err)
			}
		})
	}
}

func BenchmarkHostileFile(b *testing.B) {
	for _, row := range hostileFiles() {
		b.Run(row.reason, func(b *testing.B) {
			for b.Loop() {
				var report Report
				Parse(NewFile("f.yaml", []byte(row.text)), &report)
			}
		})
	}
}

func BenchmarkParse(b *testing.B) {
	text := []byte(strings.Repeat("- {a: some text, b: [1, 2, 3], c: 'd e f'}\n", 1000))
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		var report Report
		if Parse(NewFile("f.yaml", text), &report).IsZero() {
			b.Fatal(report.Problems)
		}
	}
}
