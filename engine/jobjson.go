package engine

import "culprit/engine/source"

// jobForm is the hint for what is no job at all.
const jobForm = `a job is an object: {"readings": {…}}`

// ParseJob reads a job from JSON. Name is what messages call the text, usually
// its path. The error is a [Problems] with everything that is wrong in the form
// of the job; whether its readings exist is for [Pack.Diagnose] to say.
func ParseJob(name string, text []byte) (*Job, error) {
	return parseJob(name, text, nil)
}

// ParseJob is the function of that name, but where the form of the job is wrong
// the [Problems] also have what the pack cannot take of the rest, so that nobody
// has to mend a job twice.
func (p *Pack) ParseJob(name string, text []byte) (*Job, error) {
	return parseJob(name, text, p)
}

func parseJob(name string, text []byte, pack *Pack) (*Job, error) {
	p := &jobParser{pack: pack}
	j, _, err := p.parse(name, text)
	return j, err
}

// jobParser makes jobs of JSON, one after the other.
type jobParser struct {
	reader
	pack  *Pack // for which the job is; nil where nobody has said
	again bool  // each job is given up for the next, and what it is made of is used again
	job   *Job
	spare map[string]Value // for the readings of the next job
}

// parse makes a job, and gives what was read of the JSON, even where it is no job.
func (p *jobParser) parse(name string, text []byte) (*Job, *tree, error) {
	file := source.NewFile(name, text)
	if cap(p.nodes) > keptNodes {
		p.nodes = nil
	}
	if !p.readOn(file) {
		return nil, &p.tree, p.err()
	}
	p.begin(file)
	p.whole()
	p.job.tree = p.tree
	if len(p.mistakes.list) == 0 {
		return p.job, &p.tree, nil
	}
	if p.pack != nil && p.kind(0) == jsonObject {
		c := checker{job: p.job, mistakes: p.mistakes}
		p.pack.check(&c, p.job)
		return nil, &p.tree, c.err()
	}
	return nil, &p.tree, p.err()
}

// begin makes room for a job.
func (p *jobParser) begin(file *source.File) {
	if p.job == nil || !p.again {
		p.job = &Job{Spec: map[string]Figures{}, file: file}
		return
	}
	if p.spare = p.job.Readings; len(p.spare) > keptReadings {
		p.spare = nil
	}
	spec := p.job.Spec
	clear(spec)
	*p.job = Job{Spec: spec, file: file}
}

// Up to how many nodes and readings the room for them is worth keeping. Emptying that
// for readings takes longer the larger it is.
const (
	keptNodes    = 1 << 16
	keptReadings = 256
)

// fail reports something about a value, with its path.
func (p *jobParser) fail(value int, hint, format string, args ...any) {
	p.failBeside(value, value, hint, format, args...)
}

// failBeside reports something about a value at the place of another, or of a key.
func (p *jobParser) failBeside(value, at int, hint, format string, args ...any) {
	if p.stop() {
		return
	}
	if path := p.pathTo(value); path != "" {
		format, args = "%s: "+format, append([]any{path}, args...)
	}
	p.failAt(p.at(at), hint, format, args...)
}

// jobKeys are the keys of a job. "truth" may say what was really wrong; ranking
// ignores it.
var (
	jobKeys     = []string{"name", "note", "vehicle", "spec", "readings", "sets", "truth"}
	setKeys     = []string{"label", "note", "repaired", "found", "readings"}
	figureKeys  = []string{"from", "to", "reference", "within", "source"}
	readingKeys = []string{"value", "unit", "within", "every", "values"}
)

// whole reads the whole job.
func (p *jobParser) whole() {
	if p.kind(0) != jsonObject {
		p.fail(0, jobForm, "the job is %s", p.kind(0))
		return
	}
	readings, sets := 0, 0 // their keys
	for key, item := range p.keys(0) {
		switch string(p.letters(key)) {
		case "name":
			p.job.Name = p.text(item)
		case "note":
			p.job.Note = p.text(item)
		case "vehicle":
			p.job.Vehicle = p.text(item)
		case "spec":
			p.each(item, p.figures)
		case "readings":
			readings, p.job.Readings = key, p.readings(item)
		case "sets":
			sets, p.job.Sets = key, p.sets(item)
		case "truth":
		default:
			name := string(p.letters(key))
			p.failBeside(0, key, nearest(name, jobKeys), "a job has no key %q", name)
		}
	}
	there := func(key int) bool { return key > 0 && p.kind(key+1) != jsonNull }
	switch {
	case there(readings) && there(sets):
		p.failBeside(readings+1, readings, "put them into one of the sets", "a job has either readings or sets, not both")
		p.job.Readings = nil
	case readings == 0 && !there(sets):
		p.fail(0, jobForm, "the job has no readings")
	}
}

// text reads a text; null is none.
func (p *jobParser) text(n int) string {
	if k := p.kind(n); k != jsonText && k != jsonNull {
		p.fail(n, "", "must be a text, not %s", k)
		return "" // nothing more is to be said of it
	}
	return p.said(n)
}

// each goes through an object whose keys are ids of readings.
func (p *jobParser) each(n int, do func(id string, n int)) {
	if p.kind(n) == jsonNull {
		return
	}
	if p.kind(n) != jsonObject {
		p.fail(n, `write {"idle_speed": …}`, "must be an object by readings, not %s", p.kind(n))
		return
	}
	for key, item := range p.keys(n) {
		if p.more {
			return // more is wrong than anybody reads
		}
		do(p.id(key), item)
	}
}

// id is the id of a reading that a key is.
func (p *jobParser) id(key int) string {
	letters := p.letters(key)
	if p.pack != nil {
		if r := p.pack.rules.ReadingOf(letters); r != nil {
			return r.ID // the same, without another copy of it
		}
	}
	return string(letters)
}

// figures reads the figures of one reading; null is none, for all and for each.
func (p *jobParser) figures(id string, n int) {
	if p.kind(n) == jsonNull {
		return
	}
	if p.kind(n) != jsonObject {
		p.fail(n, `write {"from": 800, "to": 900} or {"reference": 10, "within": 2}`, "the figures are an object, not %s", p.kind(n))
		return
	}
	var f Figures
	wrong := len(p.mistakes.list)
	for key, item := range p.keys(n) {
		switch string(p.letters(key)) {
		case "from":
			f.From = p.figure(item)
		case "to":
			f.To = p.figure(item)
		case "reference":
			f.Reference = p.figure(item)
		case "within":
			f.Within = p.figure(item)
		case "source":
			p.text(item)
		default:
			name := string(p.letters(key))
			p.failBeside(n, key, nearest(name, figureKeys), "figures have no key %q", name)
		}
	}
	if len(p.mistakes.list) == wrong {
		p.job.Spec[id] = f
	}
}

func (p *jobParser) figure(n int) string {
	if k := p.kind(n); k != jsonNumber && k != jsonText && k != jsonNull {
		p.fail(n, "write a number, or text with a unit", "a figure is not %s", k)
	}
	return p.said(n)
}
