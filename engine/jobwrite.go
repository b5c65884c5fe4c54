package engine

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"culprit/engine/source"
)

// WriteJob gives a job as JSON that [ParseJob] reads back to the same: a reading a
// line, in the order of the pack. What stood in the file that the job came from and
// is not looked at (truth, and the sources of figures) is kept. The error names a
// number that JSON does not have.
func (p *Pack) WriteJob(j *Job) ([]byte, error) {
	w := jobWriter{pack: p, kept: kept(j.file)}
	w.open('{')
	for _, t := range []struct{ key, text string }{{"name", j.Name}, {"note", j.Note}, {"vehicle", j.Vehicle}} {
		if t.text != "" {
			w.value(t.key, t.text)
		}
	}
	w.spec(j.Spec)
	if j.Sets == nil {
		w.readings(j.Readings)
	} else {
		w.key("sets")
		w.open('[')
		for i := range j.Sets {
			w.set(&j.Sets[i])
		}
		w.close(']')
	}
	if raw, ok := w.kept["truth"]; ok {
		w.raw("truth", raw)
	}
	w.close('}')
	w.out.WriteByte('\n')
	return w.out.Bytes(), w.err
}

// kept are the values that stand in a file, as they stand there.
func kept(f *source.File) map[string]json.RawMessage {
	all := map[string]json.RawMessage{}
	if f != nil && json.Unmarshal(f.Text, &all) != nil {
		return nil
	}
	return all
}

// jobWriter writes JSON with an object's keys one a line.
type jobWriter struct {
	pack  *Pack
	kept  map[string]json.RawMessage
	out   bytes.Buffer
	depth int
	err   error
}

func (w *jobWriter) open(bracket byte) {
	w.out.WriteByte(bracket)
	w.depth++
}

func (w *jobWriter) close(bracket byte) {
	w.depth--
	w.line()
	w.out.WriteByte(bracket)
}

func (w *jobWriter) line() {
	w.out.WriteByte('\n')
	for range w.depth {
		w.out.WriteString("  ")
	}
}

// item begins the next item of a list or object.
func (w *jobWriter) item() {
	if last := w.out.Bytes()[w.out.Len()-1]; last != '{' && last != '[' {
		w.out.WriteByte(',')
	}
	w.line()
}

func (w *jobWriter) key(key string) {
	w.item()
	w.json(key)
	w.out.WriteString(": ")
}

func (w *jobWriter) value(key string, v any) {
	w.key(key)
	w.json(v)
}

func (w *jobWriter) raw(key string, text json.RawMessage) {
	w.key(key)
	if err := json.Compact(&w.out, text); err != nil {
		w.err = err
	}
}

func (w *jobWriter) json(v any) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		w.err = err
	}
	w.out.Write(bytes.TrimRight(b.Bytes(), "\n"))
}

// spec writes figures; where all of them stand in the file, as they stand there.
func (w *jobWriter) spec(spec map[string]Figures) {
	if raw, ok := w.kept["spec"]; ok {
		w.raw("spec", raw)
		return
	}
	if len(spec) == 0 {
		return
	}
	w.key("spec")
	w.open('{')
	for _, id := range w.order(slices.Collect(maps.Keys(spec))) {
		f, given := spec[id], map[string]string{}
		for key, text := range map[string]string{"from": f.From, "to": f.To, "reference": f.Reference, "within": f.Within} {
			if text != "" {
				given[key] = text
			}
		}
		w.value(id, given)
	}
	w.close('}')
}

func (w *jobWriter) set(s *JobSet) {
	w.item()
	w.open('{')
	for _, t := range []struct{ key, text string }{{"label", s.Label}, {"note", s.Note}} {
		if t.text != "" {
			w.value(t.key, t.text)
		}
	}
	if len(s.Repaired) > 0 {
		w.value("repaired", s.Repaired)
	}
	if s.Found != "" {
		w.value("found", s.Found)
	}
	w.readings(s.Readings)
	w.close('}')
}

func (w *jobWriter) readings(all map[string]Value) {
	w.key("readings")
	if len(all) == 0 {
		w.out.WriteString("{}")
		return
	}
	w.open('{')
	for _, id := range w.order(slices.Collect(maps.Keys(all))) {
		v, err := all[id].json()
		if err != nil && w.err == nil {
			w.err = fmt.Errorf("readings.%s: %w", id, err)
		}
		w.value(id, v)
	}
	w.close('}')
}

// order sorts ids of readings as the pack has them; others go behind.
func (w *jobWriter) order(ids []string) []string {
	place := func(id string) int {
		if r := w.pack.rules.Reading(id); r != nil {
			return r.Index
		}
		return len(w.pack.rules.Readings)
	}
	slices.Sort(ids)
	slices.SortStableFunc(ids, func(a, b string) int { return place(a) - place(b) })
	return ids
}

// number is a number as JSON has it, written so that it reads back the same.
func number(x float64) (json.RawMessage, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return json.RawMessage("null"), fmt.Errorf("%v is not a number of JSON", x)
	}
	return json.RawMessage(strconv.FormatFloat(x, 'g', -1, 64)), nil
}

// json gives a value in the form that a job has for it.
func (v Value) json() (any, error) {
	switch v.form {
	case asNumber:
		return number(v.number)
	case asText:
		return v.text, nil
	case asYesNo:
		return v.yes, nil
	case asMeasured:
		x, err := number(v.number)
		out := struct {
			Value  json.RawMessage `json:"value"`
			Unit   string          `json:"unit,omitempty"`
			Within json.RawMessage `json:"within,omitempty"`
		}{Value: x, Unit: v.text}
		if v.limited && err == nil {
			out.Within, err = number(v.within)
		}
		return out, err
	case asTrace:
		samples := make([]*float64, len(v.samples))
		for i := range v.samples {
			if !math.IsNaN(v.samples[i]) { // NaN is a sample that was lost
				samples[i] = &v.samples[i]
			}
		}
		return struct {
			Every  string     `json:"every"`
			Values []*float64 `json:"values"`
		}{v.text, samples}, nil
	}
	return nil, nil
}
