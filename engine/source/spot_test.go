package source

import (
	"strings"
	"testing"

	"gopkg.in/yaml.v3"
)

// scalars gives the Spot of every scalar of a document, keys too, in order.
func scalars(t testing.TB, text string) []Spot {
	t.Helper()
	f := NewFile("test.yaml", []byte(text))
	var report Report
	top := Parse(f, &report)
	if len(report.Problems) > 0 {
		t.Fatalf("%q: %v", text, report.Problems)
	}
	var spots []Spot
	var visit func(n *yaml.Node)
	visit = func(n *yaml.Node) {
		if n.Kind == yaml.ScalarNode {
			spots = append(spots, spot(f, n))
		}
		for _, c := range n.Content {
			visit(c)
		}
	}
	visit(top.yaml)
	return spots
}

// Each row has a file in which one scalar holds the word "here" once; its place in the file is known by looking for the
// word in the file, which no scalar style can hide. So no number in this table can be mistyped.
func TestPlaceOfAWordInAScalar(t *testing.T) {
	distinct := reasons(t)
	for _, row := range []struct{ reason, text string }{
		{"plain", "a: b here c\n"},
		{"plain with letters of more than one byte before it", "ä: ß ü here\n"},
		{"plain with letters outside the first plane", "a: 😀😀 here\n"},
		{"plain over two lines folds into a space", "a: b\n  c here\n"},
		{"plain over lines with blank ones between", "a: b\n\n\n  c here\n"},
		{"plain over lines with blanks at their ends", "a: b  \n   c\t \n  here d\n"},
		{"plain in a flow mapping", "a: {b: c here, d: e}\n"},
		{"plain in a flow list over lines", "a: [b,\n c\n here, d]\n"},
		{"plain as a key", "b here: c\n"},
		{"single quotes", "a: 'b here'\n"},
		{"single quotes, doubled ones before it", "a: 'it''s ''here'''\n"},
		{"single quotes over lines", "a: 'b\n\n  c ''\n  here'\n"},
		{"double quotes", "a: \"b here\"\n"},
		{"double quotes with escapes of every length before it", `a: "\t\x41\u00e4\U0001F600\"\\ here"` + "\n"},
		{"double quotes with escapes of several bytes", `a: "\N\_\L\P here"` + "\n"},
		{"double quotes over lines", "a: \"b\n  c\n\n  here\"\n"},
		{"double quotes with an escaped line break", "a: \"b\\\n   c \\\n   here\"\n"},
		{"double quotes with an escaped break and blank lines", "a: \"b\\\n\n\n   here\"\n"},
		{"double quotes, the first line empty", "a: \"\n  here\"\n"},
		{"literal", "a: |\n  b\n  c here\n"},
		{"literal with a blank line", "a: |\n  b\n\n  here\n"},
		{"literal with a line of blanks longer than the indentation", "a: |\n  b\n     \n  here\n"},
		{"literal that begins with blank lines", "a: |\n\n \n  here\n"},
		{"literal stripped", "a: |-\n  b\n  here\n"},
		{"literal kept", "a: |+\n  b\n  here\n\n\n"},
		{"literal with an indentation indicator", "a: |2\n    b\n  here\n"},
		{"literal with both indicators", "a: |1-\n   b\n c here\n"},
		{"literal with a comment in its first line", "a: | # a remark\n  here\n"},
		{"literal with deeper lines", "a: |\n  b\n    c\n   here\n"},
		{"literal with tabs after the indentation", "a: |\n  b\n  \there\n"},
		{"literal deep in a mapping", "a:\n  b:\n    c: |\n      d\n      here\n    e: f\n"},
		{"literal in a list", "a:\n- |\n here\n"},
		{"literal without a line break at its end", "a: |\n  b\n  here"},
		{"folded", "a: >\n  b\n  c here\n"},
		{"folded with a blank line", "a: >\n  b\n\n  here\n"},
		{"folded with several blank lines", "a: >\n  b\n\n\n\n  c\n  here\n"},
		{"folded with deeper lines, which do not fold", "a: >\n  b\n    c\n    d\n  e\n  here\n"},
		{"folded with deeper lines and blank ones", "a: >\n  b\n\n    c\n\n  e\n  here\n"},
		{"folded that begins with blank lines", "a: >\n\n\n  b\n  here\n"},
		{"folded stripped with an indicator", "a: >-1\n  b\n c\n here\n"},
		{"folded kept", "a: >+\n  here\n\n"},
		{"a byte order mark", "\ufeffhere: b\n"},
		{"a byte order mark before a literal", "\ufeffa: |\n  here\n"},
	} {
		distinct(row.reason)
		for _, breaks := range []string{"\n", "\r\n"} {
			text := strings.ReplaceAll(row.text, "\n", breaks)
			t.Run(row.reason+map[string]string{"\n": "", "\r\n": ", CR LF"}[breaks], func(t *testing.T) {
				want := NewFile("", []byte(text))
				at := want.PosAt(strings.Index(string(want.Text), "here"))
				for _, s := range scalars(t, text) {
					offset := strings.Index(s.text, "here")
					if offset < 0 {
						continue
					}
					got, width := s.At(offset, len("here"))
					if got.Line != at.Line || got.Column != at.Column || width != 4 {
						t.Errorf("in %q: got %v width %d, want %d:%d width 4", text, got, width, at.Line, at.Column)
					}
					return
				}
				t.Fatalf("no scalar of %q holds the word", text)
			})
		}
	}
}

func TestPlaceAtTheEdges(t *testing.T) {
	distinct := reasons(t)
	for _, row := range []struct {
		reason        string
		text          string
		offset, width int
		line, column  int
		underlined    int
	}{
		{"past the end of a plain scalar: just after it", "a: bcd\n", 3, 1, 1, 7, 1},
		{"far past the end", "a: bcd\n", 99, 99, 1, 7, 1},
		{"before the start", "a: bcd\n", -5, 1, 1, 4, 1},
		{"no width is one caret", "a: bcd\n", 1, 0, 1, 5, 1},
		{"the end of a literal: after its last word, not on the next line", "a: |\n  bcd\n  ef\n", 7, 1, 3, 5, 1},
		{"the end of a quoted scalar: on the quote", "a: 'bcd'\n", 3, 1, 1, 8, 1},
		{"a width over a line break stops at the end of the line", "a: |\n  bcd\n  ef\n", 1, 6, 2, 4, 2},
		{"a width over a folded break", "a: bcd\n  ef\n", 1, 6, 1, 5, 2},
		{"an escape is underlined whole", `a: "\u00e4b"`, 0, 2, 1, 5, 6},
		{"half of an escape too", `a: "\u00e4b"`, 1, 1, 1, 5, 6},
		{"a doubled quote is underlined whole", `a: 'b''c'`, 1, 1, 1, 6, 2},
		{"wide letters count one each", "a: 'öäü'\n", 2, 4, 1, 6, 2},
		{"an empty scalar: its quote", "a: ''\n", 0, 1, 1, 4, 1},
		{"only blanks: where they begin", "a: '  '\n", 1, 1, 1, 5, 1},
	} {
		distinct(row.reason)
		t.Run(row.reason, func(t *testing.T) {
			s := scalars(t, row.text)[1]
			got, width := s.At(row.offset, row.width)
			if got.Line != row.line || got.Column != row.column || width != row.underlined {
				t.Errorf("got %v width %d, want %d:%d width %d", got, width, row.line, row.column, row.underlined)
			}
		})
	}
}

// Law: of every scalar that shows anything the map can be made, it covers the text without gaps, goes forward in the file, and
// only escapes, doubled quotes and folded line breaks are not copies.
func FuzzScalarMap(f *testing.F) {
	for _, seed := range []string{
		"a: b\n", "a: b\n  c\n\n  d\n", "'it''s': \"\\x41\\\n  b\"\n", "a: |2-\n   b\n  c\n\n", "a: >+\n\n  b\n  c\n\n\n  d\n   e\n",
		"[a\n b, 'c\n\n d', \"e\\\n f\\t\"]", "? |\n b\n: >\n c\n", "\ufeffa: ! 'b'\r\nc: |\r\n  d\r\n\r\n  e", "a: >1\n  b\n c\n", "- - |\n   x\n  - >\n   y\n\n\n   z\n",
		"a: |\n  \n   \n  b\n", "a: \"b \\\n\n  c\"", "%YAML 1.1\n--- >\n b\n...\n", "a: | # b\n\n\n c", "--- |1\n  a\n b",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		file := NewFile("fuzz.yaml", []byte(text))
		var report Report
		top := Parse(file, &report)
		if len(report.Problems) > 0 {
			return
		}
		var visit func(n *yaml.Node)
		visit = func(n *yaml.Node) {
			if n.Kind == yaml.ScalarNode && strings.Trim(n.Value, " \n") != "" {
				checkMap(t, file, n)
			}
			for _, c := range n.Content {
				visit(c)
			}
		}
		visit(top.yaml)
	})
}

func checkMap(t *testing.T, file *File, n *yaml.Node) {
	t.Helper()
	if file.Text[file.offset(n.Line, n.Column)] == '!' {
		return // the tag that says nothing
	}
	m, ok := mapScalar(file, n.Line, n.Column, n.Style, n.Value)
	if !ok {
		t.Fatalf("no map of %q at %d:%d of %q", n.Value, n.Line, n.Column, file.Text)
	}
	to, end := 0, 0
	for _, r := range m {
		if r.from != to || r.to <= r.from || r.src < end || r.end <= r.src || r.end > len(file.Text) {
			t.Fatalf("run %+v after %d, %d in %q", r, to, end, file.Text)
		}
		to, end = r.to, r.end
		// What is not a copy is an escape, a doubled quote or a folded line break.
		was := string(file.Text[r.src:r.end])
		if got := n.Value[r.from:r.to]; got != was && !strings.ContainsRune("\\' \t\r\n", rune(was[0])) {
			t.Fatalf("%q came from %q in %q", got, was, file.Text)
		}
	}
	if to != len(n.Value) {
		t.Fatalf("map of %d bytes of %q", to, n.Value)
	}
}
