package source

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// The limits of one file. They are far above what a person writes and low enough that a hostile file costs
// little: the worst known one of MaxBytes takes about half a second and 150 MB.
const (
	MaxBytes = 1 << 20
	MaxDepth = 20      // lists and mappings inside each other
	MaxNodes = 100_000 // keys, values, lists and mappings together
)

// Parse reads the one YAML document of a file. What is refused, each with its place: text that is not UTF-8 or
// holds control characters, an empty file, YAML that is wrong, a second document, anchors, aliases, merge keys, tags,
// keys that are not words, and files beyond the limits. Duplicate keys are found by who reads the mapping.
// The Node is zero when nothing can be read; otherwise what was refused is left out of it without a second report.
func Parse(f *File, report *Report) Node {
	if p := checkText(f); p != nil {
		report.Add(*p)
		return Node{}
	}
	doc, p := parseYAML(f)
	if p != nil {
		report.Add(*p)
		return Node{}
	}
	w := walker{file: f, report: report}
	w.walk(doc, 1)
	if w.beyond {
		return Node{}
	}
	return Node{file: f, yaml: doc}
}

// checkText finds the first thing that keeps the file from being text, or nil.
func checkText(f *File) *Problem {
	if len(f.Text) > MaxBytes {
		return &Problem{Pos: f.Whole(), Text: fmt.Sprintf("the file has more than %d bytes", MaxBytes)}
	}
	for i := 0; i < len(f.Text); {
		c := f.Text[i]
		if c >= ' ' && c < 0x7f || c == '\n' || c == '\t' {
			i++
			continue
		}
		r, n := utf8.DecodeRune(f.Text[i:])
		if text, hint := badRune(r, n, f.Text[i:]); text != "" {
			return &Problem{Pos: f.PosAt(i), Width: 1, Text: text, Hint: hint}
		}
		i += n
	}
	return nil
}

// badRune says what is wrong with the character that rest begins with; "" when nothing is.
func badRune(r rune, n int, rest []byte) (text, hint string) {
	switch {
	case r == utf8.RuneError && n == 1:
		return "not UTF-8 text", "save the file as UTF-8"
	case r == 0:
		return "a NUL byte: this is not a text file", "save the file as UTF-8 text"
	case r == '\r' && !bytes.HasPrefix(rest, []byte("\r\n")):
		return "a carriage return without a line feed", "end lines with LF or CR LF"
	case r == '\u0085' || r == '\u2028' || r == '\u2029':
		return fmt.Sprintf("the line break %U, which many editors do not show as one", r), "end lines with LF or CR LF"
	case r < ' ' && r != '\r' || r == 0x7f || r > 0x7f && r < 0xa0 || r == '\ufeff' || r >= 0xfffe && r <= 0xffff:
		return fmt.Sprintf("the control character %U", r), "take it out"
	}
	return "", ""
}

// parseYAML gives the content of the file's only document.
func parseYAML(f *File) (doc *yaml.Node, p *Problem) {
	d := yaml.NewDecoder(bytes.NewReader(f.Text))
	defer func() {
		if r := recover(); r != nil {
			doc, p = nil, &Problem{Pos: f.Whole(), Text: fmt.Sprintf("cannot be read as YAML: %v", r)}
		}
	}()
	var first, second yaml.Node
	switch err := d.Decode(&first); {
	case errors.Is(err, io.EOF):
		return nil, &Problem{Pos: f.Whole(), Text: "the file is empty", Hint: "delete it, or write something in it"}
	case err != nil:
		return nil, syntaxProblem(f, d, err)
	}
	switch err := d.Decode(&second); {
	case errors.Is(err, io.EOF):
	case err != nil:
		return nil, syntaxProblem(f, d, err)
	default:
		return nil, &Problem{Pos: Pos{f, second.Line, second.Column}, Width: 1,
			Text: "a second document begins here", Hint: "one document a file: take out the line \"---\", or make it a file of its own"}
	}
	content := first.Content[0]
	if content.Kind == yaml.ScalarNode && content.Tag == "!!null" {
		return nil, &Problem{Pos: f.Whole(), Text: "the file is empty", Hint: "delete it, or write something in it"}
	}
	return content, nil
}

// walker refuses what YAML allows and rule files do not.
type walker struct {
	file   *File
	report *Report
	nodes  int
	beyond bool // the limits
}

func (w *walker) refuse(n *yaml.Node, text, hint string) {
	w.report.Add(Problem{Pos: Pos{w.file, n.Line, n.Column}, Width: 1, Text: text, Hint: hint})
}

func (w *walker) walk(n *yaml.Node, depth int) {
	if w.nodes++; w.nodes > MaxNodes {
		if w.nodes == MaxNodes+1 {
			w.refuse(n, fmt.Sprintf("more than %d keys and values in one file", MaxNodes), "split the file")
		}
		w.beyond = true
		return
	}
	switch {
	case n.Kind == yaml.AliasNode:
		w.refuse(n, fmt.Sprintf("the alias %q: aliases are not used here", "*"+n.Value), "write the value out")
		return
	case n.Anchor != "":
		w.refuse(n, fmt.Sprintf("the anchor %q: anchors are not used here", "&"+n.Anchor), "take it out; text that begins with '&' wants quotes")
	case n.Style&yaml.TaggedStyle != 0:
		w.refuse(n, fmt.Sprintf("the tag %q: tags are not used here", n.Tag), "take it out; text that begins with '!' wants quotes")
	}
	if n.Kind == yaml.ScalarNode {
		return
	}
	if depth > MaxDepth {
		w.refuse(n, fmt.Sprintf("lists and mappings more than %d deep", MaxDepth), "")
		w.beyond = true
		return
	}
	for i, c := range n.Content {
		if n.Kind == yaml.MappingNode && i%2 == 0 && !w.key(c) {
			continue
		}
		w.walk(c, depth+1)
	}
}

// key refuses keys that are not words; false means that there is nothing to look into.
func (w *walker) key(k *yaml.Node) bool {
	switch {
	case k.Kind == yaml.AliasNode:
	case k.Kind != yaml.ScalarNode:
		w.refuse(k, "a list or mapping as a key", "a key is a word")
		return false
	case k.Tag == "!!merge":
		w.refuse(k, "the merge key \"<<\": merging is not used here", "write the keys out")
		return false
	}
	return true
}
