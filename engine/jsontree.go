package engine

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"culprit/engine/source"
)

// MaxJobBytes is the size of the largest job taken as JSON.
const MaxJobBytes = 16 << 20

// maxJobDepth is how deep lists and objects may stand in each other.
const maxJobDepth = 16

// node is a JSON value with its place.
type node struct {
	kind   nodeKind
	text   string // strings, and numbers as written
	yes    bool
	keys   []string
	items  []*node // of an object: in the order of keys
	place  place
	keysAt []place
}

type nodeKind uint8

const (
	jsonNull nodeKind = iota
	jsonText
	jsonNumber
	jsonYesNo
	jsonList
	jsonObject
)

var nodeNames = [...]string{
	jsonNull: "null", jsonText: "a text", jsonNumber: "a number", jsonYesNo: "true or false", jsonList: "a list", jsonObject: "an object",
}

func (k nodeKind) String() string { return nodeNames[k] }

// reader turns JSON into nodes. The decoder finds the tokens; the reader keeps
// their places and refuses duplicate keys, depth and anything after the value.
type reader struct {
	file     *source.File
	decoder  *json.Decoder
	problems Problems
}

// readJSON reads the one JSON value of a text. The list of problems is empty or
// says all that is wrong with its form; the node is nil when it cannot be read.
func readJSON(f *source.File) (*node, Problems) {
	r := &reader{file: f}
	switch {
	case len(f.Text) > MaxJobBytes:
		r.fail(place{pos: f.Whole()}, "", "the job has %d bytes; the limit is %d", len(f.Text), MaxJobBytes)
		return nil, r.problems
	case !utf8.Valid(f.Text):
		r.fail(place{pos: f.Whole()}, "save it as UTF-8", "the job is not UTF-8 text")
		return nil, r.problems
	case len(bytes.TrimSpace(f.Text)) == 0:
		r.fail(place{pos: f.Whole()}, `a job is an object: {"readings": {…}}`, "the job is empty")
		return nil, r.problems
	}
	r.decoder = json.NewDecoder(bytes.NewReader(f.Text))
	r.decoder.UseNumber()
	n, err := r.value(0)
	if err == nil {
		if _, more := r.token(); more == nil {
			r.fail(r.at(), "a job is one JSON value", "something follows the end of the job")
		} else if !errors.Is(more, io.EOF) {
			err = more
		}
	}
	if err != nil {
		r.syntax(err)
		return nil, r.problems
	}
	return n, r.problems
}

func (r *reader) fail(at place, hint, format string, args ...any) {
	r.problems = append(r.problems, source.Problem{Pos: at.pos, Width: max(1, at.width), Text: fmt.Sprintf(format, args...), Hint: hint})
}

// errDeep stops the reading of a value that is nested too deep.
var errDeep = errors.New("too deep")

func (r *reader) syntax(err error) {
	end := place{pos: r.file.PosAt(int(r.decoder.InputOffset()))}
	var bad *json.SyntaxError
	switch {
	case errors.Is(err, errDeep):
		r.fail(end, "", "lists and objects stand more than %d deep in each other", maxJobDepth)
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		r.fail(place{pos: r.file.PosAt(len(strings.TrimRight(string(r.file.Text), " \t\r\n")))}, "", "the JSON ends too early")
	case errors.As(err, &bad):
		r.fail(place{pos: r.file.PosAt(max(0, int(bad.Offset)-1))}, "", "this is not JSON: %s", bad.Error())
	default:
		r.fail(end, "", "this is not JSON: %v", err)
	}
}

// token gives the next token; at() is its place afterwards.
func (r *reader) token() (json.Token, error) { return r.decoder.Token() }

// at is the place of the token just read: between what was read before it,
// separators skipped, and where the decoder stands now.
func (r *reader) at() place {
	end := int(r.decoder.InputOffset())
	start := end
	text := r.file.Text
	if start > 0 {
		start = r.tokenStart(end)
	}
	return place{pos: r.file.PosAt(start), width: utf8.RuneCount(text[start:end])}
}

// tokenStart walks back over the token that ends at end.
func (r *reader) tokenStart(end int) int {
	text := r.file.Text
	i := end - 1
	switch text[i] {
	case '"':
		for i--; i > 0; i-- {
			if text[i] != '"' {
				continue
			}
			slashes := 0
			for i-1-slashes >= 0 && text[i-1-slashes] == '\\' {
				slashes++
			}
			if slashes%2 == 0 {
				break
			}
		}
		return max(i, 0)
	case '{', '}', '[', ']':
		return i
	}
	for i > 0 && !strings.ContainsRune(" \t\r\n,:[{", rune(text[i-1])) {
		i--
	}
	return i
}

func (r *reader) value(depth int) (*node, error) {
	t, err := r.token()
	if err != nil {
		return nil, err
	}
	return r.from(t, depth)
}

func (r *reader) from(t json.Token, depth int) (*node, error) {
	n := &node{place: r.at()}
	switch t := t.(type) {
	case nil:
	case bool:
		n.kind, n.yes = jsonYesNo, t
	case json.Number:
		n.kind, n.text = jsonNumber, t.String()
	case string:
		n.kind, n.text = jsonText, t
	case json.Delim:
		if depth >= maxJobDepth {
			return nil, errDeep
		}
		if t == '[' {
			return n, r.list(n, depth)
		}
		return n, r.object(n, depth)
	}
	return n, nil
}

func (r *reader) list(n *node, depth int) error {
	n.kind = jsonList
	for r.decoder.More() {
		item, err := r.value(depth + 1)
		if err != nil {
			return err
		}
		n.items = append(n.items, item)
	}
	_, err := r.token()
	return err
}

func (r *reader) object(n *node, depth int) error {
	n.kind = jsonObject
	first := map[string]place{}
	for r.decoder.More() {
		t, err := r.token()
		if err != nil {
			return err
		}
		key, at := t.(string), r.at()
		item, err := r.value(depth + 1)
		if err != nil {
			return err
		}
		if before, twice := first[key]; twice {
			r.fail(at, "", "the key %q stands here twice", key)
			r.problems[len(r.problems)-1].Other = &before.pos
			continue
		}
		first[key] = at
		n.keys, n.keysAt, n.items = append(n.keys, key), append(n.keysAt, at), append(n.items, item)
	}
	_, err := r.token()
	return err
}
