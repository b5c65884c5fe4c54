package source

import (
	"fmt"
	"slices"
	"strings"
)

// A Table says which keys a thing of Go type T has. Make its keys with Key; it is not changed afterwards.
type Table[T any] struct {
	shape *Shape
	rows  []Row[T]
	index map[string]int
	short []int // the rows of the shortest right form, beside the required ones
}

// A Row is one key of a Table.
type Row[T any] struct {
	shape KeyShape
	read  func(r *Report, n Node, into *T)
	takes func(n Node) bool // whether the value alone could be that of the key
}

// NewTable makes the table of a thing, such as "fault", from its keys in the order in which documents list them.
func NewTable[T any](thing string, rows ...Row[T]) *Table[T] {
	t := &Table[T]{
		shape: &Shape{Form: FormRecord, Name: "a mapping with the keys of " + article(thing), Thing: thing},
		rows:  rows,
		index: make(map[string]int, len(rows)),
	}
	for i, row := range rows {
		if _, twice := t.index[row.shape.Name]; twice {
			panic(fmt.Sprintf("key %q twice in the table of %s", row.shape.Name, thing))
		}
		t.index[row.shape.Name] = i
		t.shape.Keys = append(t.shape.Keys, row.shape)
	}
	return t
}

// Key makes a row: the key's name, its type, where its value goes, and one line about what it means.
func Key[T, V any](name string, typ Type[V], into func(*T) *Got[V], doc string) Row[T] {
	return Row[T]{
		shape: KeyShape{Name: name, Doc: doc, Shape: typ.Shape},
		read: func(r *Report, n Node, thing *T) {
			v, ok := typ.Read(r, n)
			*into(thing) = Got[V]{v, ok, n.Spot()}
		},
		takes: func(n Node) bool {
			var r Report
			_, ok := typ.Read(&r, n)
			return ok && len(r.Problems) == 0
		},
	}
}

// Required gives the row as one whose key has to be there.
func (row Row[T]) Required() Row[T] {
	row.shape.Required = true
	return row
}

// Short names the keys that the shortest right form of a thing has where none is required, for a hint. It gives the table back.
func (t *Table[T]) Short(keys ...string) *Table[T] {
	for _, k := range keys {
		t.short = append(t.short, t.index[k])
	}
	return t
}

// form shows how a single value is written that stands where the mapping should: in the shortest right form, under the first key
// that takes it. "" where no form is short, or no single value stands there.
func (t *Table[T]) form(n Node) string {
	switch n.kind() {
	case isText, isNumber, isYesNo:
	default:
		return ""
	}
	given := n.yaml.Value
	if len(given) > longestShown || strings.ContainsAny(given, ",:#{}[]\"'\n") || strings.TrimSpace(given) != given {
		given = ""
	}
	var parts []string
	for i, row := range t.rows {
		if !row.shape.Required && !slices.Contains(t.short, i) {
			continue
		}
		value := "…"
		if given != "" && row.takes(n) {
			value, given = given, ""
		}
		parts = append(parts, row.shape.Name+": "+value)
	}
	if parts == nil {
		return ""
	}
	return "write {" + strings.Join(parts, ", ") + "}"
}

// longestShown is the longest value, in bytes, that a hint repeats.
const longestShown = 40

// Type gives what reads a mapping by the table. Unknown keys, keys twice, missing keys and wrong values are reported; the
// value is good as far as it was read. Only what is not a mapping at all gives false.
func (t *Table[T]) Type() Type[T] {
	return Type[T]{t.shape, t.read}
}

func (t *Table[T]) read(r *Report, n Node) (thing T, ok bool) {
	if n.kind() != isMap {
		Wants(r, n, t.shape).Hint = t.form(n)
		return thing, false
	}
	first := make([]Spot, len(t.rows))
	for e := range n.pairs() {
		i, known := t.index[e.name()]
		if !known {
			t.unknown(r, e)
			continue
		}
		if before := first[i]; before.Line > 0 {
			r.At(e.KeySpot(), "key %q is given twice", e.name()).Other = &before.Pos
			continue
		}
		first[i] = e.KeySpot()
		t.rows[i].read(r, e, &thing)
	}
	for i, row := range t.rows {
		if row.shape.Required && first[i].Line == 0 {
			t.missing(r, n, row.shape.Name)
		}
	}
	return thing, true
}

func (t *Table[T]) unknown(r *Report, n Node) {
	hint := article(t.shape.Thing) + " has the keys " + listWords(t.shape.keyNames(), "and")
	switch {
	case n.kind() == isNothing && decimal().MatchString(n.name()):
		hint = "write a decimal point, not a comma"
	case n.kind() == isNothing && n.name() != "":
		hint = r.Near(n.name(), "if this is text with a comma in it, put quotes around the text", t.shape.keyNames)
	default:
		hint = r.Near(n.name(), hint, t.shape.keyNames)
	}
	r.At(n.KeySpot(), "unknown key %q in %s", Shorten(n.name()), article(t.shape.Thing)).Hint = hint
}

func (t *Table[T]) missing(r *Report, n Node, key string) {
	switch {
	case n.key == nil:
		r.At(n.Spot(), "%s without %q", article(t.shape.Thing), key)
	case n.byID:
		r.At(n.KeySpot(), "%s %q has no %q", t.shape.Thing, n.name(), key)
	default:
		r.At(n.KeySpot(), "%q has no %q", n.name(), key)
	}
}
