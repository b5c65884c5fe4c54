package source

import (
	"fmt"
	"reflect"
	"regexp"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// syntaxProblem says where the parser stopped and why, in words for people who do not know YAML's grammar.
//
// The library's error text has a line only, and not always the right one, but its parser keeps both the place where
// it stopped and the place where the construct began. They are read here by reflection (only read). Should a later
// version hide them, the line from the error text is used: see TestParserKeepsItsMarks.
func syntaxProblem(f *File, d *yaml.Decoder, err error) *Problem {
	m, ok := parserMarks(d)
	if !ok || m.problem == "" {
		return plainSyntaxProblem(f, d, err)
	}
	p := &Problem{Pos: f.placeOf(m.stopped), Width: 1, Text: "not valid YAML: " + m.problem}
	for _, w := range syntaxWords {
		if !strings.Contains(m.problem, w.problem) || !strings.Contains(m.context, w.context) {
			continue
		}
		p.Text, p.Hint = w.text, w.hint
		if w.atStart {
			p.Pos = f.placeOf(m.began)
		}
		break
	}
	if tab, ok := tabInIndentation(f, p.Pos.Line); ok {
		return &Problem{Pos: tab, Width: 1, Text: "a tab in the indentation", Hint: "indent with spaces"}
	}
	return p
}

// plainSyntaxProblem makes do with the error text, or with the event that was being read.
func plainSyntaxProblem(f *File, d *yaml.Decoder, err error) *Problem {
	text := strings.TrimPrefix(err.Error(), "yaml: ")
	p := &Problem{Pos: f.Whole(), Width: 1, Text: "not valid YAML: " + text}
	if name, ok := strings.CutPrefix(text, "unknown anchor '"); ok {
		name, _, _ = strings.Cut(name, "'")
		p.Text, p.Hint = fmt.Sprintf("the alias %q: aliases are not used here", "*"+name), "put quotes around text that begins with '*'"
		if m, ok := eventMark(d); ok {
			p.Pos = f.placeOf(m)
		}
		return p
	}
	if m := regexp.MustCompile(`^line (\d+): (.*)`).FindStringSubmatch(text); m != nil {
		line, _ := strconv.Atoi(m[1])
		p.Pos = Pos{f, line, 1 + len(f.Line(line)) - len(strings.TrimLeft(f.Line(line), " "))}
		p.Text = "not valid YAML: " + m[2]
	}
	return p
}

// syntaxWords turns the parser's words into ours. The first row that fits is used; atStart points at where the
// construct began and not at where the parser gave up.
var syntaxWords = []struct {
	problem, context string
	text, hint       string
	atStart          bool
}{
	{"could not find expected ':'", "", "a key without ':'", "write \"key: value\", and indent text that goes on over several lines", true},
	{"mapping values are not allowed", "", "a ':' that makes no key here", "put quotes around text that has a ':' in it, and line up keys of one mapping", false},
	{"found character that cannot start any token", "", "text cannot begin with this character", "put quotes around the text", false},
	{"did not find expected key", "", "this does not line up with the keys above it", "keys of one mapping begin in one column; text with quotes ends at its closing quote", false},
	{"did not find expected '-' indicator", "", "this does not line up with the list above it", "entries of a list begin with '-' in one column", false},
	{"did not find expected ',' or ']'", "", "expected ',' or ']' here", "a list that begins with '[' ends with ']', and ',' stands between its entries", false},
	{"did not find expected ',' or '}'", "", "expected ',' or '}' here", "a mapping that begins with '{' ends with '}', and ',' stands between its keys", false},
	{"found unexpected end of stream", "quoted scalar", "this quote is never closed", "", true},
	{"found unexpected document indicator", "quoted scalar", "this quote is never closed", "", true},
	{"found unknown escape character", "", "no such escape in double quotes", "write \"\\\\\" for a backslash, or use single quotes", false},
	{"did not find expected hexdecimal number", "", "this escape needs hexadecimal digits", "", false},
	{"found a tab character", "", "a tab in the indentation", "indent with spaces", false},
	{"did not find expected node content", "", "expected a value here", "", false},
	{"did not find expected <document start>", "", "this does not belong to what stands above it", "keys of one mapping begin in one column", false},
	{"exceeded max depth", "", fmt.Sprintf("lists and mappings more than %d deep", MaxDepth), "", false},
	{"not allowed in this context", "", "this cannot stand here", "a list or mapping as a value begins on a line of its own, further in", false},
	{"did not find expected comment or line break", "block scalar", "text after '|' or '>' begins on the next line", "", true},
	{"indentation indicator", "block scalar", "the number after '|' or '>' is from 1 to 9", "", true},
}

// tabInIndentation finds a tab in the white space that line begins with.
func tabInIndentation(f *File, line int) (Pos, bool) {
	text := f.Line(line)
	blank := text[:len(text)-len(strings.TrimLeft(text, " \t"))]
	i := strings.IndexByte(blank, '\t')
	return Pos{f, line, i + 1}, i >= 0
}

// mark is a place as the parser counts: from zero.
type mark struct{ line, column int }

// placeOf turns a parser's mark into a place that exists: the end of the text becomes the end of its last line.
func (f *File) placeOf(m mark) Pos {
	f.index()
	line := m.line + 1
	for line > 1 && (line > len(f.starts) || m.column == 0 && f.Line(line) == "") {
		line--
		m.column = MaxBytes
	}
	return f.PosAt(f.offset(line, m.column+1))
}

type marks struct {
	problem, context string
	stopped, began   mark
}

// parserMarks reads what the parser knows about its failure; false if this version keeps it elsewhere.
func parserMarks(d *yaml.Decoder) (m marks, ok bool) {
	p, ok := fieldAt(reflect.ValueOf(d), "parser", "parser")
	if !ok {
		return m, false
	}
	problem, ok1 := fieldAt(p, "problem")
	context, ok2 := fieldAt(p, "context")
	stopped, ok3 := readMark(p, "problem_mark")
	began, ok4 := readMark(p, "context_mark")
	if !ok1 || !ok2 || problem.Kind() != reflect.String || context.Kind() != reflect.String {
		return m, false
	}
	return marks{problem.String(), context.String(), stopped, began}, ok3 && ok4
}

// eventMark is where the event begins that the parser was at.
func eventMark(d *yaml.Decoder) (mark, bool) {
	event, ok := fieldAt(reflect.ValueOf(d), "parser", "event")
	if !ok {
		return mark{}, false
	}
	return readMark(event, "start_mark")
}

func readMark(v reflect.Value, name string) (mark, bool) {
	line, ok1 := fieldAt(v, name, "line")
	column, ok2 := fieldAt(v, name, "column")
	if !ok1 || !ok2 || !line.CanInt() || !column.CanInt() {
		return mark{}, false
	}
	return mark{int(line.Int()), int(column.Int())}, true
}

// fieldAt follows names through structs and pointers.
func fieldAt(v reflect.Value, names ...string) (reflect.Value, bool) {
	for _, name := range names {
		for v.Kind() == reflect.Pointer && !v.IsNil() {
			v = v.Elem()
		}
		if v.Kind() != reflect.Struct {
			return v, false
		}
		if v = v.FieldByName(name); !v.IsValid() {
			return v, false
		}
	}
	return v, true
}
