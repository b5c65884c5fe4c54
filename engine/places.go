package engine

import (
	"slices"
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
			if s, ok := find(&j.root, path); ok {
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
func find(n *node, path string) (span, bool) {
	key, value := strings.CutSuffix(path, "=")
	for end := len(key); end > 0; end = strings.LastIndexByte(key[:end], '.') {
		item, at, ok := child(n, key[:end])
		switch {
		case !ok:
		case end < len(key):
			return find(item, path[end+1:])
		case value:
			return item.at, true
		default:
			return at, true
		}
	}
	return span{}, false
}

// child finds what an object has under a name, or the item of a list under a name
// with a number in brackets, and the place of its key.
func child(n *node, name string) (item *node, at span, ok bool) {
	if i := slices.Index(n.keys, name); i >= 0 {
		return &n.items[i], n.keysAt[i], true
	}
	list, number, ok := strings.Cut(name, "[")
	i := slices.Index(n.keys, list)
	k, err := strconv.Atoi(strings.TrimSuffix(number, "]"))
	if !ok || i < 0 || err != nil || n.items[i].kind != jsonList || k < 0 || k >= len(n.items[i].items) {
		return nil, span{}, false
	}
	item = &n.items[i].items[k]
	return item, item.at, true
}
