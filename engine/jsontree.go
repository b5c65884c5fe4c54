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

// The limits of a job taken as JSON.
const (
	MaxJobBytes  = 16 << 20
	maxJobDepth  = 16      // lists and objects in each other
	maxJobValues = 1 << 20 // values of all kinds together
	maxKeyBytes  = 200
	maxJobKeys   = 1 << 15 // of one object: more than a pack has readings
)

// node is a JSON value with its place.
type node struct {
	kind   nodeKind
	yes    bool
	close  int32 // of lists and objects: where they end
	at     span
	text   string // strings, and numbers as written
	keys   []string
	keysAt []span
	items  []node // of an object: in the order of keys
}

// end is where a value ends.
func (n *node) end() int { return max(n.at.to, int(n.close)) }

// span is a stretch of bytes. It is turned into line and column only where
// somebody has to be told of it.
type span struct{ from, to int }

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
// their places and refuses duplicate keys, and what is too deep, too much, or
// behind the end.
type reader struct {
	file    *source.File
	decoder *json.Decoder
	values  int
	last    span // of the token just read
	mistakes
}

// read reads the one JSON value of a text. What is wrong with its form goes
// into mistakes; ok is false when it cannot be read at all.
func (r *reader) read() (n node, ok bool) {
	text := r.file.Text
	whole := source.Problem{Pos: r.file.Whole()}
	switch {
	case len(text) > MaxJobBytes:
		whole.Text = fmt.Sprintf("the job has more than %d bytes", MaxJobBytes)
	case !utf8.Valid(text):
		whole.Text, whole.Hint = "the job is not UTF-8 text", "save it as UTF-8"
	case len(bytes.TrimSpace(text)) == 0:
		whole.Text, whole.Hint = "the job is empty", jobForm
	default:
		r.decoder = json.NewDecoder(bytes.NewReader(text))
		r.decoder.UseNumber()
		n, err := r.value(0)
		if err == nil {
			err = r.end()
		}
		if err != nil {
			r.syntax(err)
		}
		return n, err == nil
	}
	r.add(whole)
	return n, false
}

// errStop ends the reading of what has been reported already.
var errStop = errors.New("stop")

// end makes sure that nothing follows the job.
func (r *reader) end() error {
	_, err := r.token()
	switch {
	case errors.Is(err, io.EOF):
		return nil
	case err == nil:
		r.fail(r.last, "a job is one JSON value", "something follows the end of the job")
		return errStop
	}
	return err
}

// locate gives a span as a place in the text.
func locate(f *source.File, s span) (at source.Pos, width int) {
	return f.PosAt(s.from), utf8.RuneCount(f.Text[s.from:s.to])
}

func (r *reader) fail(s span, hint, format string, args ...any) {
	if r.stop() {
		return
	}
	at, width := locate(r.file, s)
	r.add(source.Problem{Pos: at, Width: width, Text: fmt.Sprintf(format, args...), Hint: hint})
}

// syntax reports what stopped the decoder. Its places are those of its buffer,
// so the text is gone through again for the true one.
func (r *reader) syntax(err error) {
	if errors.Is(err, errStop) {
		return
	}
	var bad *json.SyntaxError
	var all json.RawMessage
	if again := json.Unmarshal(r.file.Text, &all); errors.As(again, &bad) && !atEnd(bad, r.file.Text) {
		at := int(bad.Offset) - 1
		r.fail(span{at, at}, "", "this is not JSON: %s", bad.Error())
		return
	}
	end := len(bytes.TrimRight(r.file.Text, " \t\r\n"))
	r.fail(span{end, end}, "", endsEarly)
}

const endsEarly = "the JSON ends too early"

// atEnd tells whether the text was right as far as it went. In the middle of a
// word the decoder then complains of a blank that is not there.
func atEnd(bad *json.SyntaxError, text []byte) bool {
	last := text[max(0, int(bad.Offset)-1)]
	return bad.Offset >= int64(len(text)) &&
		(strings.Contains(bad.Error(), "unexpected end") || strings.Contains(bad.Error(), "invalid character ' '") && last != ' ')
}

// token gives the next token and keeps its place.
func (r *reader) token() (json.Token, error) {
	from := int(r.decoder.InputOffset())
	t, err := r.decoder.Token()
	r.last = span{from, int(r.decoder.InputOffset())}
	for r.last.from < r.last.to && strings.IndexByte(" \t\r\n,:", r.file.Text[r.last.from]) >= 0 {
		r.last.from++
	}
	return t, err
}

func (r *reader) value(depth int) (node, error) {
	t, err := r.token()
	if err != nil {
		return node{}, err
	}
	n := node{at: r.last}
	if r.values++; r.values > maxJobValues {
		r.fail(n.at, "", "the job has more than %d values", maxJobValues)
		return n, errStop
	}
	switch t := t.(type) {
	case bool:
		n.kind, n.yes = jsonYesNo, t
	case json.Number:
		n.kind, n.text = jsonNumber, t.String()
	case string:
		n.kind, n.text = jsonText, t
	case json.Delim:
		if depth >= maxJobDepth {
			r.fail(n.at, "", "lists and objects stand more than %d deep in each other", maxJobDepth)
			return n, errStop
		}
		if t == '[' {
			err := r.list(&n, depth)
			return n, err
		}
		err := r.object(&n, depth)
		return n, err
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
	n.close = int32(r.last.to)
	return err
}

func (r *reader) object(n *node, depth int) error {
	n.kind = jsonObject
	first := map[string]span{}
	for r.decoder.More() {
		t, err := r.token()
		if err != nil {
			return err
		}
		key, at := t.(string), r.last
		if len(n.keys) == maxJobKeys {
			r.fail(at, "", "the object has more than %d keys", maxJobKeys)
			return errStop
		}
		item, err := r.value(depth + 1)
		if err != nil {
			return err
		}
		if r.more {
			return errStop // more is wrong than anybody reads
		}
		before, twice := first[key]
		switch {
		case len(key) > maxKeyBytes:
			r.fail(at, "", "a key of %d bytes; the limit is %d", len(key), maxKeyBytes)
		case twice:
			r.twice(key, at, before)
		default:
			first[key] = at
			n.keys, n.keysAt, n.items = append(n.keys, key), append(n.keysAt, at), append(n.items, item)
		}
	}
	_, err := r.token()
	n.close = int32(r.last.to)
	return err
}

// twice reports a key that stands in one object twice, with both places.
func (r *reader) twice(key string, at, before span) {
	if r.stop() {
		return
	}
	other, _ := locate(r.file, before)
	pos, width := locate(r.file, at)
	r.add(source.Problem{Pos: pos, Width: width, Text: fmt.Sprintf("the key %q stands here twice", key), Other: &other})
}
