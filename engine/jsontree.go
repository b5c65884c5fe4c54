package engine

import (
	"strconv"

	"github.com/go-json-experiment/json/jsontext"
)

// tree is the JSON of a job with the place of everything in it. Values are known by
// their index in nodes, the one of the whole text being 0.
//
// The nodes stand in the order of the text. Behind an object comes each of its keys,
// and behind a key its value; behind a list come its items.
type tree struct {
	text  []byte
	nodes []node
}

// node is a JSON value, or a key of an object.
type node struct {
	from, end int32 // the bytes that it takes
	next      int32 // the index of what follows this and all that is in it
	kind      nodeKind
	yes       bool
	escaped   bool // a text with a backslash in it
}

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

func (t *tree) kind(i int) nodeKind { return t.nodes[i].kind }

// at is the place of a value or key; of a list or object that of the bracket that
// opens it.
func (t *tree) at(i int) span {
	n := &t.nodes[i]
	if n.kind == jsonList || n.kind == jsonObject {
		return span{int(n.from), int(n.from) + 1}
	}
	return span{int(n.from), int(n.end)}
}

// raw is a value as it is written.
func (t *tree) raw(i int) []byte { return t.text[t.nodes[i].from:t.nodes[i].end] }

// letters are those of a text or key. They belong to the tree.
func (t *tree) letters(i int) []byte {
	raw := t.raw(i)
	if !t.nodes[i].escaped {
		return raw[1 : len(raw)-1]
	}
	// The text was read, so all that can be wrong is half of a surrogate pair, in
	// whose place stands U+FFFD then, as encoding/json has it.
	out, _ := jsontext.AppendUnquote(nil, raw)
	return out
}

// said is what a text says or a number is written as; "" for all else.
func (t *tree) said(i int) string {
	switch t.nodes[i].kind {
	case jsonText:
		return string(t.letters(i))
	case jsonNumber:
		return string(t.raw(i))
	}
	return ""
}

// keys goes over the keys of an object with their values.
func (t *tree) keys(object int) func(yield func(key, value int) bool) {
	return func(yield func(key, value int) bool) {
		for k := object + 1; k < int(t.nodes[object].next); k = int(t.nodes[k+1].next) {
			if !yield(k, k+1) {
				return
			}
		}
	}
}

// size is how many keys an object has, or items a list; 0 for all else.
func (t *tree) size(n int) int {
	size := 0
	switch t.kind(n) {
	case jsonObject:
		for range t.keys(n) {
			size++
		}
	case jsonList:
		for range t.items(n) {
			size++
		}
	}
	return size
}

// items goes over the items of a list with their numbers.
func (t *tree) items(list int) func(yield func(k, item int) bool) {
	return func(yield func(k, item int) bool) {
		k := 0
		for i := list + 1; i < int(t.nodes[list].next); i = int(t.nodes[i].next) {
			if !yield(k, i) {
				return
			}
			k++
		}
	}
}

// key finds a key of an object and its value.
func (t *tree) key(object int, name string) (key, value int, ok bool) {
	if t.nodes[object].kind != jsonObject {
		return 0, 0, false
	}
	for key, value := range t.keys(object) {
		if string(t.letters(key)) == name {
			return key, value, true
		}
	}
	return 0, 0, false
}

// has tells whether an object has a key.
func (t *tree) has(object int, name string) bool {
	_, _, ok := t.key(object, name)
	return ok
}

// path is the path of the innermost value that has, or whose key has, some property;
// "" for the value as a whole. Of a key, inside is given what spans it and its value.
func (t *tree) path(inside func(from, to int) bool) string {
	path := ""
	for at, deeper := 0, true; deeper && len(t.nodes) > 0; {
		deeper = false
		if t.nodes[at].kind == jsonList {
			for k, i := range t.items(at) {
				if inside(i, i) {
					at, path, deeper = i, path+"["+strconv.Itoa(k)+"]", true
					break
				}
			}
			continue
		}
		if t.nodes[at].kind != jsonObject {
			break
		}
		for key, value := range t.keys(at) {
			if inside(key, value) {
				if path != "" {
					path += "."
				}
				at, path, deeper = value, path+string(t.letters(key)), true
				break
			}
		}
	}
	return path
}

// pathTo is the path of a value.
func (t *tree) pathTo(value int) string {
	return t.path(func(from, to int) bool { return from <= value && value < int(t.nodes[to].next) })
}

// pathAt is the path of the innermost key or value that a byte belongs to.
func (t *tree) pathAt(offset int) string {
	return t.path(func(from, to int) bool {
		return int(t.nodes[from].from) <= offset && offset < int(t.nodes[to].end)
	})
}
