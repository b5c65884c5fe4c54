package engine

import (
	"strconv"
	"strings"

	"culprit/engine/source"
)

// place is where a part of a job stands in the text it came from.
type place struct {
	at    source.Pos
	width int
}

// Place tells where a part of a job stands, so that what is wrong with it is
// reported there: the path "vehicle", "spec.ID", "spec.ID.from",
// "readings.ID" or "sets[0].readings.ID", with "=" behind for the value and not
// its name. Jobs from
// [ParseJob] and words from [Job.AddWords] know their places.
func (j *Job) Place(path string, at source.Pos, width int) {
	if j.places == nil {
		j.places = map[string]place{}
	}
	j.places[path] = place{at, width}
}

// UseVehicle names the vehicle whose figures are used, in place of what the job
// says. From is what messages call the place that it comes from, for example
// the option of a command.
func (j *Job) UseVehicle(id, from string) {
	j.Vehicle = id
	j.Place("vehicle=", source.NewFile(from, []byte(id)).PosAt(0), len([]rune(id)))
}

// where finds the place of a path: where somebody said it is, else in the JSON
// that the job came from; of what has no place, that of what it is part of, at
// last the job as a whole.
func (j *Job) where(path string) (at source.Pos, width int) {
	for path != "" {
		if p, ok := j.places[path]; ok {
			return p.at, p.width
		}
		if j.file != nil {
			if s, ok := j.tree.find(path); ok {
				return locate(j.file, s)
			}
		}
		whole, isValue := strings.CutSuffix(path, "=")
		if !isValue {
			whole = path[:max(0, strings.LastIndexByte(path, '.'))]
		}
		path = whole
	}
	if j.file != nil {
		return j.file.Whole(), 1
	}
	return source.NewFile("job", nil).Whole(), 1
}

// find gives the place of a path in JSON: of the value where "=" stands behind,
// else of its key. A key may hold dots itself, so the longest key that fits is
// taken. An item of a list has no key, so its value is shown.
func (t *tree) find(path string) (span, bool) {
	key, value := strings.CutSuffix(path, "=")
	for at := 0; ; {
		name, k, item := t.longest(at, key)
		switch {
		case name == 0:
			return span{}, false
		case name < len(key):
			at, key = item, key[name+1:]
		case value:
			return t.at(item), true
		default:
			return t.at(k), true
		}
	}
}

// longest finds the longest beginning of a path, up to a dot or its end, that is the name of
// something in an object, and gives its length; 0 if there is none.
func (t *tree) longest(at int, path string) (length, key, item int) {
	for end := len(path); end > 0; end = strings.LastIndexByte(path[:end], '.') {
		if key, item, ok := t.child(at, path[:end]); ok {
			return end, key, item
		}
	}
	return 0, 0, 0
}

// child finds what an object has under a name, with its key; or the item of a list under a name
// with a number in brackets, which is its own key.
func (t *tree) child(at int, name string) (key, item int, ok bool) {
	if key, item, ok := t.key(at, name); ok {
		return key, item, true
	}
	list, number, ok := strings.Cut(name, "[")
	if !ok {
		return 0, 0, false
	}
	k, err := strconv.Atoi(strings.TrimSuffix(number, "]"))
	_, in, ok := t.key(at, list)
	if err != nil || !ok || t.kind(in) != jsonList {
		return 0, 0, false
	}
	for n, item := range t.items(in) {
		if n == k {
			return item, item, true
		}
	}
	return 0, 0, false
}
