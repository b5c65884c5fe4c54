package engine

// sets reads a list of sets of readings; null is none.
func (p *jobParser) sets(n int) []JobSet {
	if p.kind(n) == jsonNull {
		return nil
	}
	if p.kind(n) != jsonList {
		p.fail(n, `write [{"label": "before", "readings": {…}}, …]`, "must be a list of sets of readings, not %s", p.kind(n))
		return nil
	}
	out := make([]JobSet, 0, p.size(n))
	for k, item := range p.items(n) {
		if p.more {
			break
		}
		s := p.set(item)
		if k >= MaxSets { // no pack takes the job, whatever is in this one
			p.spare, s = s.Readings, JobSet{}
		}
		out = append(out, s)
	}
	return out
}

func (p *jobParser) set(n int) JobSet {
	var s JobSet
	if p.kind(n) != jsonObject {
		p.fail(n, `write {"label": "before", "readings": {…}}`, "a set of readings is an object, not %s", p.kind(n))
		return s
	}
	for key, item := range p.keys(n) {
		switch string(p.letters(key)) {
		case "label":
			s.Label = p.text(item)
		case "note":
			s.Note = p.text(item)
		case "found":
			s.Found = p.text(item)
		case "repaired":
			s.Repaired = p.ids(item)
		case "readings":
			s.Readings = p.readings(item)
		default:
			name := string(p.letters(key))
			p.failBeside(n, key, nearest(name, setKeys), "a set of readings has no key %q", name)
		}
	}
	if !p.has(n, "readings") {
		p.fail(n, `where none was taken yet, write "readings": {}`, "the set has no readings")
	}
	return s
}

// ids reads a list of ids; null is none.
func (p *jobParser) ids(n int) []string {
	if p.kind(n) == jsonNull {
		return nil
	}
	if p.kind(n) != jsonList {
		p.fail(n, `write ["unmeasured-air"]`, "must be a list of faults, not %s", p.kind(n))
		return nil
	}
	var out []string
	for _, item := range p.items(n) {
		if p.more {
			break
		}
		if p.kind(item) != jsonText {
			p.fail(item, "", "this is the id of a fault, not %s", p.kind(item))
		} else {
			out = append(out, p.said(item))
		}
	}
	return out
}
