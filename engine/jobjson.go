package engine

import (
	"math"
	"slices"
	"strconv"

	"culprit/engine/source"
)

// jobForm is the hint for what is no job at all.
const jobForm = `a job is an object: {"readings": {…}}`

// ParseJob reads a job from JSON. Name is what messages call the text, usually
// its path. The error is a [Problems] with everything that is wrong in the form
// of the job; whether its readings exist is for [Pack.Diagnose] to say.
func ParseJob(name string, text []byte) (*Job, error) {
	j, _, err := parseJob(name, text, nil)
	return j, err
}

// ParseJob is the function of that name, but where the form of the job is wrong
// the [Problems] also have what the pack cannot take of the rest, so that nobody
// has to mend a job twice.
func (p *Pack) ParseJob(name string, text []byte) (*Job, error) {
	j, _, err := parseJob(name, text, p)
	return j, err
}

// parseJob also gives what was read of the JSON, even where it is no job.
func parseJob(name string, text []byte, pack *Pack) (*Job, node, error) {
	r := &reader{file: source.NewFile(name, text)}
	n, ok := r.read()
	if !ok {
		return nil, n, r.err()
	}
	p := jobParser{reader: r, job: &Job{Spec: map[string]Figures{}, file: r.file}}
	p.parse(&n)
	p.job.root = n
	if len(r.mistakes.list) == 0 {
		return p.job, n, nil
	}
	if pack != nil && n.kind == jsonObject {
		c := checker{job: p.job, mistakes: r.mistakes}
		pack.check(&c, p.job)
		return nil, n, c.err()
	}
	return nil, n, r.err()
}

// jobParser fills a job from JSON.
type jobParser struct {
	*reader
	job *Job
}

// jobKeys are the keys of a job. "truth" may say what was really wrong; ranking
// ignores it.
var (
	jobKeys     = []string{"name", "note", "vehicle", "spec", "readings", "sets", "truth"}
	setKeys     = []string{"label", "note", "repaired", "found", "readings"}
	figureKeys  = []string{"from", "to", "reference", "within", "source"}
	readingKeys = []string{"value", "unit", "within", "every", "values"}
)

func (p *jobParser) parse(n *node) {
	if n.kind != jsonObject {
		p.fail(n.at, jobForm, "the job is %s", n.kind)
		return
	}
	for i, key := range n.keys {
		item := &n.items[i]
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
			p.job.Readings = p.readings(key, item)
		case "sets":
			p.job.Sets = p.sets(key, item)
		case "truth":
		default:
			p.fail(n.keysAt[i], nearest(key, jobKeys), "a job has no key %q", key)
		}
	}
	readings, sets := slices.Index(n.keys, "readings"), slices.Index(n.keys, "sets")
	there := func(i int) bool { return i >= 0 && n.items[i].kind != jsonNull }
	switch {
	case there(readings) && there(sets):
		p.fail(n.keysAt[readings], "put them into one of the sets", "readings: a job has either readings or sets, not both")
		p.job.Readings = nil
	case readings < 0 && !there(sets):
		p.fail(n.at, jobForm, "the job has no readings")
	}
}

// text reads a text; null is none.
func (p *jobParser) text(path string, n *node) string {
	if n.kind != jsonText && n.kind != jsonNull {
		p.fail(n.at, "", "%s: this is a text, not %s", path, n.kind)
	}
	return n.text
}

// each goes through an object whose keys are ids of readings.
func (p *jobParser) each(path string, n *node, do func(path, id string, n *node)) {
	if n.kind == jsonNull {
		return
	}
	if n.kind != jsonObject {
		p.fail(n.at, `write {"idle_speed": …}`, "%s: this is an object by readings, not %s", path, n.kind)
		return
	}
	for i, id := range n.keys {
		do(path+"."+id, id, &n.items[i])
	}
}

// figures reads the figures of one reading; null is none, for all and for each.
func (p *jobParser) figures(path, id string, n *node) {
	if n.kind == jsonNull {
		return
	}
	if n.kind != jsonObject {
		p.fail(n.at, `write {"from": 800, "to": 900} or {"reference": 10, "within": 2}`, "%s: the figures are an object, not %s", path, n.kind)
		return
	}
	var f Figures
	wrong := len(p.mistakes.list)
	for i, key := range n.keys {
		item := &n.items[i]
		switch key {
		case "from":
			f.From = p.figure(path+".from", item)
		case "to":
			f.To = p.figure(path+".to", item)
		case "reference":
			f.Reference = p.figure(path+".reference", item)
		case "within":
			f.Within = p.figure(path+".within", item)
		case "source":
			p.text(path+".source", item)
		default:
			p.fail(n.keysAt[i], nearest(key, figureKeys), "%s: figures have no key %q", path, key)
		}
	}
	if len(p.mistakes.list) == wrong {
		p.job.Spec[id] = f
	}
}

func (p *jobParser) figure(path string, n *node) string {
	if n.kind != jsonNumber && n.kind != jsonText && n.kind != jsonNull {
		p.fail(n.at, "write a number, or text with a unit", "%s: a figure is not %s", path, n.kind)
	}
	return n.text
}

// readings reads an object of readings by id; null is none.
func (p *jobParser) readings(path string, n *node) map[string]Value {
	all := map[string]Value{}
	p.each(path, n, func(path, id string, n *node) {
		wrong := len(p.mistakes.list)
		v := p.reading(path, n)
		if len(p.mistakes.list) > wrong {
			v = Value{} // what is wrong with it has been said
		}
		all[id] = v
	})
	return all
}

// reading reads one reading in any of its forms; null is one not taken.
func (p *jobParser) reading(path string, n *node) Value {
	v := Value{}
	switch n.kind {
	case jsonNull:
	case jsonText:
		v = Text(n.text)
	case jsonYesNo:
		v = YesNo(n.yes)
	case jsonNumber:
		v = Number(p.number(path, n))
	case jsonObject:
		v = p.measured(path, n)
	default:
		p.fail(n.at, `write {"every": "50 ms", "values": […]} for a trace`, "%s: a reading is not %s", path, n.kind)
	}
	return v
}

func (p *jobParser) number(path string, n *node) float64 {
	if n.kind != jsonNumber {
		p.fail(n.at, "", "%s: this is a number, not %s", path, n.kind)
		return 0
	}
	x, err := strconv.ParseFloat(n.text, 64)
	if err != nil {
		p.fail(n.at, "", "%s: the number is too large", path)
	}
	return x
}

// measured reads {value, unit, within} or {every, values}. What is null counts
// as not written, so a value of null is a reading that was not taken.
func (p *jobParser) measured(path string, n *node) Value {
	v := Value{form: asMeasured}
	if slices.Contains(n.keys, "every") || slices.Contains(n.keys, "values") {
		v.form = asTrace
	}
	taken := map[string]bool{}
	for i, key := range n.keys {
		item, at := &n.items[i], path+"."+key
		if slices.Contains(readingKeys, key) && item.kind == jsonNull {
			continue
		}
		taken[key] = true
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
				p.fail(item.at, `write "50 ms"`, "%s: the sampling interval is not %s", at, item.kind)
			}
		case key == "values" && v.form == asTrace:
			v.samples = p.samples(at, item)
		case slices.Contains(readingKeys, key):
			p.fail(n.keysAt[i], "a trace has every and values, another reading value, unit and within", "%s: a trace has no key %q", path, key)
		default:
			p.fail(n.keysAt[i], nearest(key, readingKeys), "%s: a reading has no key %q", path, key)
		}
	}
	return p.complete(v, path, n, taken)
}

// complete refuses a reading from which something is missing.
func (p *jobParser) complete(v Value, path string, n *node, taken map[string]bool) Value {
	if v.form == asMeasured {
		switch {
		case taken["value"]:
			return v
		case !slices.Contains(n.keys, "value"):
			p.fail(n.at, "", "%s: the reading has no %q", path, "value")
		}
		return Value{}
	}
	for _, key := range []string{"every", "values"} {
		if !taken[key] {
			p.fail(n.at, "", "%s: the trace has no %q", path, key)
		}
	}
	return v
}

func (p *jobParser) samples(path string, n *node) []float64 {
	if n.kind != jsonList {
		p.fail(n.at, "write a list of numbers, null for a sample that was lost", "%s: this is a list, not %s", path, n.kind)
		return nil
	}
	samples := make([]float64, len(n.items))
	for i := range n.items {
		if item := &n.items[i]; item.kind == jsonNull {
			samples[i] = math.NaN()
		} else {
			samples[i] = p.number(path+"["+strconv.Itoa(i)+"]", item)
		}
	}
	n.items = nil // nobody asks for the place of a sample any more
	return samples
}
