package engine

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/go-json-experiment/json/jsontext"

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

// reader turns JSON into a tree. The decoder finds the tokens; the reader keeps
// their places and refuses duplicate keys, and what is too deep, too much, or
// behind the end. It can be used again.
type reader struct {
	tree
	file    *source.File
	bytes   bytes.Buffer // what the decoder reads: it takes the text of one as it is
	decoder jsontext.Decoder
	values  int
	mistakes
}

// read reads the one JSON value of a file. What is wrong with its form goes
// into mistakes; ok is false when it cannot be read at all, and the tree is then of
// what could be.
func (r *reader) read(file *source.File) (ok bool) { return r.readText(file, file.Text) }

// readText reads a text in place of that of the file, with every byte at the same place.
func (r *reader) readText(file *source.File, text []byte) (ok bool) {
	r.tree, r.file = tree{text, r.nodes[:0]}, file
	r.values, r.mistakes = 0, mistakes{}
	whole := source.Problem{Pos: file.Whole()}
	switch {
	case len(text) > MaxJobBytes:
		whole.Text = fmt.Sprintf("the job has more than %d bytes", MaxJobBytes)
	case !utf8.Valid(text):
		at := validBytes(text)
		r.failAt(span{at, at + 1}, "save it as UTF-8", "the job is not UTF-8 text")
		return false
	case len(bytes.TrimSpace(text)) == 0:
		whole.Text, whole.Hint = "the job is empty", jobForm
	default:
		// What the decoder would refuse of a job is told better here: it is to let
		// pass keys that stand there twice, and halves of surrogate pairs.
		r.bytes = *bytes.NewBuffer(text)
		r.decoder.Reset(&r.bytes, jsontext.AllowDuplicateNames(true), jsontext.AllowInvalidUTF8(true))
		r.reserve()
		err := r.value(0)
		if err == nil {
			err = r.end()
		}
		if err != nil {
			r.syntax(err)
		}
		return err == nil
	}
	r.add(whole)
	return false
}

// validBytes is how many bytes a text begins with that are UTF-8.
func validBytes(text []byte) (at int) {
	for at < len(text) {
		c, size := utf8.DecodeRune(text[at:])
		if c == utf8.RuneError && size == 1 {
			break
		}
		at += size
	}
	return at
}

// reserve makes room for all nodes at once. A value or key stands at the beginning,
// or behind a bracket, a comma or a colon.
func (r *reader) reserve() {
	most := 1
	for _, before := range []string{"{", "[", ",", ":"} {
		most += bytes.Count(r.text, []byte(before))
	}
	most = min(most, 2*maxJobValues)
	if cap(r.nodes) < most {
		r.nodes = make([]node, 0, most)
	}
}

// errStop ends the reading of what has been reported already.
var errStop = errors.New("stop")

// end makes sure that nothing follows the job.
func (r *reader) end() error {
	from := int(r.decoder.InputOffset())
	_, err := r.decoder.ReadToken()
	switch {
	case errors.Is(err, io.EOF):
		return nil
	case err == nil:
		from += len(r.text[from:]) - len(bytes.TrimLeft(r.text[from:], " \t\r\n"))
		r.failAt(span{from, int(r.decoder.InputOffset())}, "a job is one JSON value", "something follows the end of the job")
		return errStop
	}
	return err
}

// locate gives a span as a place in the text.
func locate(f *source.File, s span) (at source.Pos, width int) {
	return f.PosAt(s.from), utf8.RuneCount(f.Text[s.from:s.to])
}

func (r *reader) failAt(s span, hint, format string, args ...any) {
	if r.stop() {
		return
	}
	at, width := locate(r.file, s)
	r.add(source.Problem{Pos: at, Width: width, Text: fmt.Sprintf(format, args...), Hint: hint})
}

// syntax reports what stopped the decoder, in the words of encoding/json. Where that
// finds nothing but an end that comes too early, so does the message.
func (r *reader) syntax(err error) {
	if errors.Is(err, errStop) {
		return
	}
	var bad *json.SyntaxError
	var all json.RawMessage
	if again := json.Unmarshal(r.text, &all); errors.As(again, &bad) && !atEnd(bad, r.text) {
		at := int(bad.Offset) - 1
		r.failAt(span{at, at}, "", "this is not JSON: %s", wholeCharacter(bad.Error(), r.text[at:]))
		return
	}
	end := len(bytes.TrimRight(r.text, " \t\r\n"))
	r.failAt(span{end, end}, "", endsEarly)
}

// wholeCharacter gives a message of encoding/json, which names the first byte of a character
// that is out of place, with the character itself.
func wholeCharacter(message string, rest []byte) string {
	c, _ := utf8.DecodeRune(rest)
	if c < utf8.RuneSelf {
		return message
	}
	return strings.Replace(message, "'"+string(rune(rest[0]))+"'", strconv.QuoteRune(c), 1)
}

const endsEarly = "the JSON ends too early"

// atEnd tells whether the text was right as far as it went. In the middle of a
// word the decoder then complains of a blank that is not there.
func atEnd(bad *json.SyntaxError, text []byte) bool {
	last := text[max(0, int(bad.Offset)-1)]
	return bad.Offset >= int64(len(text)) &&
		(strings.Contains(bad.Error(), "unexpected end") || strings.Contains(bad.Error(), "invalid character ' '") && last != ' ')
}

// value reads a value with all that is in it. After an error the node of a list or
// object has what was whole.
func (r *reader) value(depth int) error {
	kind := r.decoder.PeekKind()
	if kind == '{' || kind == '[' {
		return r.container(depth, kind)
	}
	at, err := r.scalar()
	if err != nil {
		return err
	}
	if r.values++; r.values > maxJobValues {
		r.failAt(r.at(at), "", "the job has more than %d values", maxJobValues)
		return errStop
	}
	return nil
}

// scalar reads a value that has no others in it, or a key.
func (r *reader) scalar() (at int, err error) {
	raw, err := r.decoder.ReadValue()
	if err != nil {
		return 0, err
	}
	end := int32(r.decoder.InputOffset())
	n := node{from: end - int32(len(raw)), end: end, next: int32(len(r.nodes)) + 1}
	switch raw[0] {
	case '"':
		n.kind, n.escaped = jsonText, bytes.IndexByte(raw, '\\') >= 0
	case 't', 'f':
		n.kind, n.yes = jsonYesNo, raw[0] == 't'
	case 'n':
		n.kind = jsonNull
	default:
		n.kind = jsonNumber
	}
	r.nodes = append(r.nodes, n)
	return len(r.nodes) - 1, nil
}

// container reads a list or an object.
func (r *reader) container(depth int, kind jsontext.Kind) error {
	if _, err := r.decoder.ReadToken(); err != nil {
		return err
	}
	at, end := len(r.nodes), int32(r.decoder.InputOffset())
	n := node{from: end - 1, end: end, kind: jsonList}
	if kind == '{' {
		n.kind = jsonObject
	}
	r.nodes = append(r.nodes, n)
	r.values++
	switch {
	case r.values > maxJobValues:
		r.failAt(r.at(at), "", "the job has more than %d values", maxJobValues)
		return errStop
	case depth >= maxJobDepth:
		r.failAt(r.at(at), "", "lists and objects stand more than %d deep in each other", maxJobDepth)
		return errStop
	}
	var err error
	if kind == '{' {
		err = r.object(depth)
	} else {
		err = r.list(depth)
	}
	if err == nil {
		_, err = r.decoder.ReadToken()
		r.nodes[at].end = int32(r.decoder.InputOffset())
	}
	r.nodes[at].next = int32(len(r.nodes))
	return err
}

func (r *reader) list(depth int) error {
	for k := r.decoder.PeekKind(); k != ']' && k != '}'; k = r.decoder.PeekKind() {
		whole := len(r.nodes)
		if err := r.value(depth + 1); err != nil {
			r.nodes = r.nodes[:whole]
			return err
		}
	}
	return nil
}

func (r *reader) object(depth int) error {
	seen := keySet{tree: &r.tree}
	for k := r.decoder.PeekKind(); k != ']' && k != '}'; k = r.decoder.PeekKind() {
		whole := len(r.nodes)
		err := r.pair(depth, &seen)
		if err != nil {
			r.nodes = r.nodes[:whole]
			return err
		}
		if r.more {
			r.nodes = r.nodes[:whole]
			return errStop // more is wrong than anybody reads
		}
		key := r.at(whole)
		letters := r.letters(whole)
		if len(letters) > maxKeyBytes {
			r.failAt(key, "", "a key of %d bytes; the limit is %d", len(letters), maxKeyBytes)
			r.nodes = r.nodes[:whole]
		} else if before, twice := seen.add(whole, letters); twice {
			r.twice(string(letters), key, r.at(before))
			r.nodes = r.nodes[:whole]
		}
	}
	return nil
}

// pair reads a key and its value.
func (r *reader) pair(depth int, seen *keySet) error {
	key, err := r.scalar()
	if err != nil {
		return err
	}
	if seen.count == maxJobKeys {
		r.failAt(r.at(key), "", "the object has more than %d keys", maxJobKeys)
		return errStop
	}
	return r.value(depth + 1)
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
