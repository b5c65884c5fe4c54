package engine

import (
	"fmt"
	"slices"
)

// sets reads a list of sets of readings; null is none.
func (p *jobParser) sets(path string, n *node) []JobSet {
	if n.kind == jsonNull {
		return nil
	}
	if n.kind != jsonList {
		p.fail(n.at, `write [{"label": "before", "readings": {…}}, …]`, "%s: this is a list of sets of readings, not %s", path, n.kind)
		return nil
	}
	out := []JobSet{}
	for i := range n.items {
		out = append(out, p.set(fmt.Sprintf("%s[%d]", path, i), &n.items[i]))
	}
	return out
}

func (p *jobParser) set(path string, n *node) JobSet {
	var s JobSet
	if n.kind != jsonObject {
		p.fail(n.at, `write {"label": "before", "readings": {…}}`, "%s: a set of readings is an object, not %s", path, n.kind)
		return s
	}
	for i, key := range n.keys {
		item, at := &n.items[i], path+"."+key
		switch key {
		case "label":
			s.Label = p.text(at, item)
		case "note":
			s.Note = p.text(at, item)
		case "found":
			s.Found = p.text(at, item)
		case "repaired":
			s.Repaired = p.ids(at, item)
		case "readings":
			s.Readings = p.readings(at, item)
		default:
			p.fail(n.keysAt[i], nearest(key, setKeys), "%s: a set of readings has no key %q", path, key)
		}
	}
	if !slices.Contains(n.keys, "readings") {
		p.fail(n.at, `where none was taken yet, write "readings": {}`, "%s: the set has no readings", path)
	}
	return s
}

// ids reads a list of ids; null is none.
func (p *jobParser) ids(path string, n *node) []string {
	if n.kind == jsonNull {
		return nil
	}
	if n.kind != jsonList {
		p.fail(n.at, `write ["unmeasured-air"]`, "%s: this is a list of faults, not %s", path, n.kind)
		return nil
	}
	var out []string
	for i := range n.items {
		if item := &n.items[i]; item.kind != jsonText {
			p.fail(item.at, "", "%s[%d]: this is the id of a fault, not %s", path, i, item.kind)
		} else {
			out = append(out, item.text)
		}
	}
	return out
}
