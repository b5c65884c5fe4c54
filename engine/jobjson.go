package engine

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"culprit/engine/source"
)

// ParseJob reads a job from JSON. Name is what messages call the text, usually
// its path. The error is a [Problems] with everything that is wrong in the form
// of the job; whether its readings exist is for [Pack.Diagnose] to say.
func ParseJob(name string, text []byte) (*Job, error) {
	f := source.NewFile(name, text)
	n, problems := readJSON(f)
	if n == nil {
		return nil, problems
	}
	j := &Job{Spec: map[string]Figures{}, Readings: map[string]Value{}, places: map[string]place{}}
	p := jobParser{job: j, problems: problems}
	p.parse(n)
	if len(p.problems) > 0 {
		p.problems.Sort()
		return nil, p.problems
	}
	return j, nil
}

type jobParser struct {
	job      *Job
	problems Problems
}

// jobKeys are the keys of a job. "truth" may say what was really wrong; ranking
// ignores it.
var jobKeys = []string{"name", "note", "vehicle", "spec", "readings", "truth"}

func (p *jobParser) parse(n *node) {
	if n.kind != jsonObject {
		p.fail(n.place, "", `a job is an object: {"readings": {…}}`, "the job is %s", n.kind)
		return
	}
	for i, key := range n.keys {
		item := n.items[i]
		p.job.places[key] = item.place
		switch key {
		case "name":
			p.job.Name = p.text(key, item)
		case "note":
			p.job.Note = p.text(key, item)
		case "vehicle":
			p.job.Vehicle = p.text(key, item)
		case "spec":
			p.each(key, item, p.figures)
		case "readings":
			p.each(key, item, p.reading)
		case "truth":
		default:
			p.fail(n.keysAt[i], key, nearKey(key, jobKeys), "a job has no key %q", key)
		}
	}
	if !slices.Contains(n.keys, "readings") {
		p.fail(n.place, "", `a job is an object: {"readings": {…}}`, "the job has no readings")
	}
}

func (p *jobParser) fail(at place, path, hint, format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if path != "" {
		text = path + ": " + text
	}
	p.problems = append(p.problems, source.Problem{Pos: at.pos, Width: max(1, at.width), Text: text, Hint: hint})
}

func nearKey(key string, keys []string) string {
	return near(key, keys, func(s string) string { return s })
}

func (p *jobParser) text(path string, n *node) string {
	if n.kind != jsonText && n.kind != jsonNull {
		p.fail(n.place, path, "", "this is a text, not %s", n.kind)
	}
	return n.text
}

// each goes through an object whose keys are ids of readings.
func (p *jobParser) each(path string, n *node, do func(path, id string, n *node)) {
	if n.kind == jsonNull {
		return
	}
	if n.kind != jsonObject {
		p.fail(n.place, path, `write {"idle_speed": …}`, "this is an object by readings, not %s", n.kind)
		return
	}
	for i, id := range n.keys {
		at := path + "." + id
		p.job.places[at], p.job.places[at+"="] = n.keysAt[i], n.items[i].place
		do(at, id, n.items[i])
	}
}

func (p *jobParser) figures(path, id string, n *node) {
	if n.kind != jsonObject {
		p.fail(n.place, path, `write {"from": 800, "to": 900} or {"reference": 10, "within": 2}`, "the figures are an object, not %s", n.kind)
		return
	}
	var f Figures
	for i, key := range n.keys {
		into := map[string]*string{"from": &f.From, "to": &f.To, "reference": &f.Reference, "within": &f.Within}[key]
		item := n.items[i]
		p.job.places[path+"."+key] = item.place
		switch {
		case key == "source":
			p.text(path+"."+key, item)
		case into == nil:
			p.fail(n.keysAt[i], path, nearKey(key, []string{"from", "to", "reference", "within", "source"}), "figures have no key %q", key)
		case item.kind != jsonNumber && item.kind != jsonText:
			p.fail(item.place, path+"."+key, "write a number, or text with a unit", "a figure is not %s", item.kind)
		default:
			*into = item.text
		}
	}
	p.job.Spec[id] = f
}

func (p *jobParser) reading(path, id string, n *node) {
	switch n.kind {
	case jsonNull:
		p.job.Readings[id] = Value{}
	case jsonText:
		p.job.Readings[id] = Text(n.text)
	case jsonYesNo:
		p.job.Readings[id] = YesNo(n.yes)
	case jsonNumber:
		p.job.Readings[id] = Number(p.number(path, n))
	case jsonObject:
		p.measured(path, id, n)
	default:
		p.fail(n.place, path, `write {"every": "50 ms", "values": […]} for a trace`, "a reading is not %s", n.kind)
	}
}

func (p *jobParser) number(path string, n *node) float64 {
	if n.kind != jsonNumber {
		p.fail(n.place, path, "", "this is a number, not %s", n.kind)
		return 0
	}
	x, err := strconv.ParseFloat(n.text, 64)
	if err != nil {
		p.fail(n.place, path, "", "the number %s is too large", n.text)
	}
	return x
}

// measured reads {value, unit, within} or {every, values}.
func (p *jobParser) measured(path, id string, n *node) {
	v := Value{form: asMeasured, number: math.NaN()}
	has := func(key string) bool { return slices.Contains(n.keys, key) }
	if has("every") || has("values") {
		v.form = asTrace
	}
	for i, key := range n.keys {
		item, at := n.items[i], path+"."+key
		switch {
		case key == "value" && v.form == asMeasured:
			v.number = p.number(at, item)
		case key == "unit" && v.form == asMeasured:
			v.unit = p.text(at, item)
		case key == "within" && v.form == asMeasured:
			v.within, v.limited = p.number(at, item), true
		case key == "every" && v.form == asTrace:
			v.every = item.text
			if item.kind != jsonText && item.kind != jsonNumber {
				p.fail(item.place, at, `write "50 ms"`, "the sampling interval is not %s", item.kind)
			}
		case key == "values" && v.form == asTrace:
			v.samples = p.samples(at, item)
		default:
			p.fail(n.keysAt[i], path, nearKey(key, []string{"value", "unit", "within", "every", "values"}), "a reading has no key %q", key)
		}
	}
	for _, key := range map[form][]string{asMeasured: {"value"}, asTrace: {"every", "values"}}[v.form] {
		if !has(key) {
			p.fail(n.place, path, "", "the reading has no %q", key)
		}
	}
	p.job.Readings[id] = v
}

func (p *jobParser) samples(path string, n *node) []float64 {
	if n.kind != jsonList {
		p.fail(n.place, path, "write a list of numbers, null for a sample that was lost", "this is a list, not %s", n.kind)
		return nil
	}
	samples := make([]float64, len(n.items))
	for i, item := range n.items {
		if item.kind == jsonNull {
			samples[i] = math.NaN()
			continue
		}
		samples[i] = p.number(path+"["+strconv.Itoa(i)+"]", item)
	}
	return samples
}
