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
		if w.midLine && strings.TrimSpace(cut(f.Line(p.Pos.Line), p.Pos.Column-1)) == "" {
			continue
		}
		p.Text, p.Hint = w.text, w.hint
		switch began := f.placeOf(m.began); {
		case w.atStart:
			p.Pos = began
		case w.opened && began.Line != p.Pos.Line:
			p.Other = &began
		}
		break
	}
	p.explain()
	if tab, ok := tabInIndentation(f, p.Pos.Line); ok {
		return &Problem{Pos: tab, Width: 1, Text: "a tab in the indentation", Hint: "indent with spaces"}
	}
	return p
}

// explain replaces what the parser saw by what the author most likely did, where the lines tell that.
func (p *Problem) explain() {
	switch p.Text {
	case colonNoKey:
		p.explainColon()
	case valueEnded:
		before, at := cut(p.Pos.File.Line(p.Pos.Line), p.Pos.Column-1), cut(p.Pos.File.Line(p.Pos.Line), p.Pos.Column)
		switch at[len(before):] {
		case "}":
			p.Text, p.Hint = "a '}' without a '{'", "take it away, or put quotes around the text"
		case "]":
			p.Text, p.Hint = "a ']' without a '['", "take it away, or put quotes around the text"
		}
	}
}

// explainColon looks at the line above a ':' that makes no key. A key there without a blank behind its ':' is text, and so is what
// stands further in than a key that has its value.
func (p *Problem) explainColon() {
	f, n := p.Pos.File, p.Pos.Line-1
	for n > 0 && strings.TrimSpace(f.Line(n)) == "" {
		n--
	}
	line, above := f.Line(p.Pos.Line), f.Line(n)
	if m := keyAndText().FindStringSubmatchIndex(above); m != nil && m[5] == m[4] && !keyAndText().MatchString(cut(line, p.Pos.Column-1)) {
		p.Pos = f.PosAt(f.starts[n-1] + m[3])
		p.Text, p.Hint = fmt.Sprintf("no blank behind the ':' of %q", above[m[2]:m[3]]), `write "key: value"`
	} else if m != nil && m[5] > m[4] && indentation(line) > m[2] && strings.IndexByte(line, ':') == len(cut(line, p.Pos.Column-1)) {
		p.Pos = f.PosAt(f.starts[p.Pos.Line-1] + indentation(line))
		p.Text = fmt.Sprintf("this is further in than %q above it, and so it is part of its text", above[m[2]:m[3]])
		p.Hint = `keys of one mapping begin in one column; quotes go around text that has ": " in it`
	}
}

// keyAndText is a line with a key and, behind blanks or not, the beginning of its text.
var keyAndText = Pattern(`^ *(?:- )?([A-Za-z_][A-Za-z0-9_-]*):( *)[^ \[{|>'"#]`)

// indentation is how many blanks a line begins with.
func indentation(line string) int { return len(line) - len(strings.TrimLeft(line, " ")) }

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

// cut gives the first n characters of a line.
func cut(line string, n int) string {
	runes := []rune(line)
	return string(runes[:min(n, len(runes))])
}

// What explain can say more about.
const (
	colonNoKey = "a ':' that makes no key here"
	valueEnded = "the value has ended before this"
)

// syntaxWords turns the parser's words into ours. The first row that fits is used.
var syntaxWords = []struct {
	problem, context string
	text, hint       string
	atStart          bool // point at where the construct began and not at where the parser gave up
	opened           bool // name both places, where they are on different lines
	midLine          bool // only when something stands before it on the line
}{
	{problem: "could not find expected ':'", atStart: true,
		text: "a key without ':'", hint: `write "key: value", and indent text that goes on over several lines`},
	{problem: "mapping values are not allowed",
		text: colonNoKey, hint: `quotes go around text that has ": " in it; keys of one mapping line up, or stand between '{' and '}' with ',' between them`},
	{problem: "found character that cannot start any token",
		text: "text cannot begin with this character", hint: "put quotes around the text"},
	{problem: "did not find expected key", midLine: true,
		text: valueEnded, hint: "text with quotes ends at its closing quote, and a quote inside single quotes is written twice"},
	{problem: "did not find expected key",
		text: "this does not line up with the keys above it", hint: "keys of one mapping begin in one column"},
	{problem: "did not find expected '-' indicator",
		text: "this does not line up with the list above it", hint: "entries of a list begin with '-' in one column"},
	{problem: "did not find expected ',' or ']'", opened: true,
		text: "expected ',' or ']' here", hint: "a list that begins with '[' ends with ']', and ',' stands between its entries"},
	{problem: "did not find expected ',' or '}'", opened: true,
		text: "expected ',' or '}' here", hint: "a mapping that begins with '{' ends with '}', and ',' stands between its keys"},
	{problem: "found unexpected end of stream", context: "quoted scalar", atStart: true, text: "this quote is never closed"},
	{problem: "found unexpected document indicator", context: "quoted scalar", atStart: true, text: "this quote is never closed"},
	{problem: "found unknown escape character",
		text: "no such escape in double quotes", hint: `write "\\" for a backslash, or use single quotes`},
	{problem: "did not find expected hexdecimal number", text: "this escape needs hexadecimal digits"},
	{problem: "found a tab character", text: "a tab in the indentation", hint: "indent with spaces"},
	{problem: "did not find expected node content", text: "expected a value here"},
	{problem: "did not find expected <document start>",
		text: "this does not belong to what stands above it", hint: "keys of one mapping begin in one column"},
	{problem: "exceeded max depth", text: fmt.Sprintf("lists and mappings more than %d deep", MaxDepth)},
	{problem: "not allowed in this context",
		text: "this cannot stand here", hint: "a list or mapping as a value begins on a line of its own, further in"},
	{problem: "did not find expected comment or line break", context: "block scalar", atStart: true,
		text: "text after '|' or '>' begins on the next line"},
	{problem: "indentation indicator", context: "block scalar", atStart: true, text: "the number after '|' or '>' is from 1 to 9"},
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

// placeOf turns a parser's mark into a place that shows something: the end of the text, and empty lines before it,
// become the end of the last line with text.
func (f *File) placeOf(m mark) Pos {
	f.index()
	line, column := m.line+1, m.column+1
	for line > 1 && (line > len(f.starts) || column == 1 || column > MaxBytes) && f.Line(line) == "" {
		line--
		column = MaxBytes + 1
	}
	return f.PosAt(f.offset(line, column))
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
