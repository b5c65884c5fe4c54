package source

import (
	"fmt"
	"strings"

	"gopkg.in/yaml.v3"
)

// ListOf reads a list, which may not be empty, of what elem reads; name says what the list is in a sentence: "a list of tools".
func ListOf[V any](name string, elem Type[V]) Type[[]Got[V]] {
	s := &Shape{Form: FormList, Name: name, Of: elem.Shape}
	return Type[[]Got[V]]{s, func(r *Report, n Node) ([]Got[V], bool) {
		if n.kind() != isList {
			p := Wants(r, n, s)
			switch n.kind() {
			case isText, isNumber, isYesNo:
				p.Hint = fmt.Sprintf("write [%s]", entryForm(elem.Shape, Shorten(n.yaml.Value)))
			case isMap:
				p.Hint = "begin each entry with '- '"
			}
			return nil, false
		}
		if len(n.yaml.Content) == 0 {
			r.At(n.KeySpot(), "an empty list, where %s is wanted", name)
			return nil, false
		}
		list := make([]Got[V], 0, len(n.yaml.Content))
		for _, c := range n.yaml.Content {
			e := Node{file: n.file, yaml: c}
			if v, ok := elem.Read(r, e); ok {
				list = append(list, Got[V]{v, true, e.Spot()})
			}
		}
		return list, true
	}}
}

// entryForm shows how a value stands in a list: as it is, or under the first key that an entry has to have.
func entryForm(s *Shape, value string) string {
	if s.Form != FormRecord {
		return value
	}
	var parts []string
	for _, k := range s.Keys {
		if k.Required {
			parts = append(parts, k.Name+": "+value)
			value = "…"
		}
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// OneOrMore reads what elem reads, or a list of that.
func OneOrMore[V any](name string, elem Type[V]) Type[[]Got[V]] {
	list := ListOf(name, elem)
	s := &Shape{Form: FormEither, Name: elem.Shape.Name + " or " + name, Choices: []*Shape{elem.Shape, list.Shape}}
	return Type[[]Got[V]]{s, func(r *Report, n Node) ([]Got[V], bool) {
		switch n.kind() {
		case isList:
			return list.Read(r, n)
		case isText, isNumber, isYesNo:
			v, ok := elem.Read(r, n)
			return []Got[V]{{v, ok, n.Spot()}}, ok
		}
		Wants(r, n, s)
		return nil, false
	}}
}

// An Entry is one key and value of a mapping whose keys are the author's own.
type Entry[V any] struct {
	ID string
	At Spot // of the key
	Got[V]
}

// MapOf reads a mapping, which may not be empty, from ids of the spelling to what elem reads. thing says what an id is
// ("fault"); wording says how ids look, for a hint. An id that stands there twice is reported with both places, and
// the first one counts. An id that does not match, or whose value was refused, is reported and in the result, but not Set: so
// nobody need call it unknown.
func MapOf[V any](thing string, spelling Spelling, wording string, elem Type[V]) Type[[]Entry[V]] {
	s := &Shape{Form: FormMap, Name: "a mapping from ids to " + elem.Shape.Name, Thing: thing, Pattern: spelling.pattern, Of: elem.Shape}
	return Type[[]Entry[V]]{s, func(r *Report, n Node) ([]Entry[V], bool) {
		if n.kind() != isMap {
			var tried Report
			_, value := elem.Read(&tried, n)
			Wants(r, n, s).Hint = mapForm(n, value && elem.Shape.Form != FormText)
			return nil, false
		}
		if len(n.yaml.Content) == 0 {
			r.At(n.KeySpot(), "an empty mapping, where %s is wanted", s.Name)
			return nil, false
		}
		entries := make([]Entry[V], 0, len(n.yaml.Content)/2)
		first := make(map[string]Spot, cap(entries))
		for e := range n.pairs() {
			id, at := e.name(), e.KeySpot()
			if before, ok := first[id]; ok {
				r.At(at, "%s %q is defined twice", thing, id).Other = &before.Pos
				continue
			}
			first[id] = at
			e.byID = true
			matches := spelling.Fits(id)
			if !matches && e.kind() == isNothing && decimal().MatchString(id) {
				r.At(at, "%q cannot be the id of %s", Shorten(id), article(thing)).Hint = "write a decimal point, not a comma"
				continue // it is the end of the value before it
			}
			if !matches {
				r.At(at, "%q cannot be the id of %s", Shorten(id), article(thing)).Hint = idHint(id, wording, spelling.Fits)
				if strings.Contains(id, ":") && e.kind() == isNothing {
					entries = append(entries, Entry[V]{ID: id, At: at})
					continue // its value stands in the id, so it does not lack one
				}
			}
			v, ok := elem.Read(r, e)
			entries = append(entries, Entry[V]{id, at, Got[V]{v, ok && matches, e.Spot()}})
		}
		return entries, true
	}}
}

// mapForm shows how a mapping from ids begins where something else stands; value says that this could be the value of an id. "" where
// what stands there is neither an id nor a value.
func mapForm(n Node, value bool) string {
	switch n.kind() {
	case isNumber, isText:
		if value {
			return fmt.Sprintf("write {…: %s}", Shorten(n.yaml.Value))
		}
		if v := n.yaml.Value; !strings.ContainsAny(v, " ,:#{}[]\"'\n") {
			return fmt.Sprintf("write {%s: …}", Shorten(v))
		}
	case isList:
		if c := n.yaml.Content; len(c) > 0 && c[0].Kind == yaml.ScalarNode && !strings.ContainsAny(c[0].Value, " ,:#{}[]\"'\n") {
			return fmt.Sprintf("write {%s: …}", Shorten(c[0].Value))
		}
	}
	return ""
}

// idHint says how ids look, and how this one is written where only its capitals and what joins its words are in the way.
func idHint(id, wording string, matches func(string) bool) string {
	if before, _, found := strings.Cut(id, ":"); found && matches(before) {
		return "a blank follows the ':' behind " + before
	}
	words := strings.FieldsFunc(strings.ToLower(id), func(r rune) bool { return r == '-' || r == '_' || r == ' ' })
	for _, joint := range []string{"-", "_"} {
		if s := strings.Join(words, joint); matches(s) {
			return wording + ": " + s
		}
	}
	return wording
}

// pairs goes over the keys and values of a mapping, without those that Parse refused.
func (n Node) pairs() func(yield func(Node) bool) {
	return func(yield func(Node) bool) {
		c := n.yaml.Content
		for i := 0; i+1 < len(c); i += 2 {
			if c[i].Kind != yaml.ScalarNode || c[i].Tag == "!!merge" {
				continue
			}
			if !yield(Node{file: n.file, yaml: c[i+1], key: c[i]}) {
				return
			}
		}
	}
}
