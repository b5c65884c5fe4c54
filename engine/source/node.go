package source

import (
	"fmt"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// A Node is a piece of a parsed document: a scalar, a list or a mapping, with the key it was found under.
// The zero Node stands for what Parse could not read; reading it as anything gives nothing and reports nothing more.
type Node struct {
	file *File
	yaml *yaml.Node
	key  *yaml.Node // nil for the document and for elements of lists
	byID bool       // key is an id of the author's choosing
}

// IsZero reports whether there is nothing here, not even an empty value.
func (n Node) IsZero() bool { return n.yaml == nil }

// Spot is where the value stands; an empty value stands where its key does.
func (n Node) Spot() Spot {
	switch {
	case n.yaml == nil:
		return Spot{}
	case n.kind() == isNothing && n.key != nil:
		return n.KeySpot()
	}
	return spot(n.file, n.yaml)
}

// KeySpot is where the key stands, or the value where there is no key.
func (n Node) KeySpot() Spot {
	switch {
	case n.key != nil:
		return spot(n.file, n.key)
	case n.yaml != nil:
		return spot(n.file, n.yaml)
	}
	return Spot{}
}

// name gives the text of the key, "" where there is none.
func (n Node) name() string {
	if n.key == nil {
		return ""
	}
	return n.key.Value
}

// kind is what a Node holds, as far as anybody here cares.
type kind uint8

const (
	isNothing kind = iota // no value, or null
	isText
	isNumber
	isYesNo // true or false
	isList
	isMap
	isRefused // an alias, or no document at all: reported by Parse
)

func (n Node) kind() kind {
	if n.yaml == nil {
		return isRefused
	}
	switch n.yaml.Kind {
	case yaml.SequenceNode:
		return isList
	case yaml.MappingNode:
		return isMap
	case yaml.AliasNode:
		return isRefused
	}
	switch n.yaml.Tag {
	case "!!null":
		return isNothing
	case "!!bool":
		return isYesNo
	case "!!int", "!!float":
		return isNumber
	}
	return isText
}

// plain reports whether the scalar is written without quotes.
func (n Node) plain() bool {
	return n.yaml.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) == 0
}

// stands says what stands there, for messages.
func (n Node) stands() string {
	switch n.kind() {
	case isText:
		if n.yaml.Value == "" {
			return "empty text"
		}
		return fmt.Sprintf("the text %q", Shorten(n.yaml.Value))
	case isNumber:
		return "the number " + Shorten(n.yaml.Value)
	case isYesNo:
		return fmt.Sprintf("the yes/no value %q", n.yaml.Value)
	case isList:
		return "a list"
	case isMap:
		return "a mapping"
	}
	return "nothing"
}

// Shorten keeps a message readable whatever stood in the file.
func Shorten(s string) string {
	const most = 60
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most]) + "…"
}

// Types that read different things in one place ask these of the Node and then let another Type read it.

// Text gives the text of a scalar that is text, quoted or not. The words yes and no are text; true and false are not.
func (n Node) Text() (string, bool) {
	if n.kind() != isText {
		return "", false
	}
	return n.yaml.Value, true
}

// IsNothing reports whether no value or null stands here.
func (n Node) IsNothing() bool { return n.kind() == isNothing }

// IsNumber reports whether a number without quotes stands here.
func (n Node) IsNumber() bool { return n.kind() == isNumber }

// IsList reports whether a list stands here.
func (n Node) IsList() bool { return n.kind() == isList }

// IsMap reports whether a mapping stands here.
func (n Node) IsMap() bool { return n.kind() == isMap }

// Has reports whether a mapping with that key stands here.
func (n Node) Has(key string) bool {
	_, ok := n.Key(key)
	return ok
}

// Key tells where a key of the mapping stands, or that there is none or no mapping.
func (n Node) Key(key string) (Spot, bool) {
	if n.IsZero() || n.kind() != isMap {
		return Spot{}, false
	}
	for e := range n.pairs() {
		if e.name() == key {
			return e.KeySpot(), true
		}
	}
	return Spot{}, false
}
