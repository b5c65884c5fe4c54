package engine

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"

	"culprit/engine/source"
)

// The limits of reading on behind commas that should not be there: a text is read again for each.
const (
	mostCommas = 16
	commaBytes = 1 << 20
)

// readOn reads as read does, but where a comma stands before the end of a list or an object, which
// is what hands get wrong most, it says so and goes on, for the rest may have mistakes too. ok
// means that all could be read but for such commas.
func (r *reader) readOn(file *source.File) (ok bool) {
	if ok = r.read(file); ok || len(file.Text) > commaBytes {
		return ok
	}
	text := file.Text
	var commas Problems
	for range mostCommas {
		at, ends := spareComma(text)
		if at < 0 {
			break
		}
		pos, _ := locate(file, span{at, at})
		commas = append(commas, source.Problem{Pos: pos, Width: 1, Text: "a comma stands before the end of " + ends, Hint: "take it out"})
		if len(commas) == 1 {
			text = bytes.Clone(text)
		}
		text[at] = ' '
		if ok = r.readText(file, text); ok {
			break
		}
	}
	for _, c := range commas {
		r.add(c)
	}
	return ok
}

// spareComma finds the comma that makes a text no JSON, if it is one before the end of a list or
// an object; at is -1 if not.
func spareComma(text []byte) (at int, ends string) {
	var all json.RawMessage
	var bad *json.SyntaxError
	if err := json.Unmarshal(text, &all); !errors.As(err, &bad) {
		return -1, ""
	}
	end := int(bad.Offset) - 1
	switch {
	case end < 0:
		return -1, ""
	case text[end] == ']' && strings.Contains(bad.Error(), "beginning of value"):
		ends = "a list"
	case text[end] == '}' && strings.Contains(bad.Error(), "object key"):
		ends = "an object"
	default:
		return -1, ""
	}
	at = len(bytes.TrimRight(text[:end], " \t\r\n")) - 1
	if at < 0 || text[at] != ',' {
		return -1, ""
	}
	return at, ends
}
