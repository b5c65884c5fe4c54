package benchpage

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"unicode/utf8"

	"culprit/engine"
)

// entry is a form of readings as it was sent.
type entry struct {
	set     int // the set of readings that it was made for
	rev     string
	refused map[string]refusedField
	taken   []string // readings that were changed
	crossed []crossed
}

type refusedField struct {
	typed, unit string
	why         *engine.Refusal
}

// crossed is a reading that was changed elsewhere since the form was made.
type crossed struct {
	Reading, Label   string
	Was, Stands, New string
}

// enter takes readings.
func (s *Server) enter(w http.ResponseWriter, r *http.Request) {
	id, form := r.PathValue("id"), r.PostForm
	e := &entry{rev: form.Get("rev"), refused: map[string]refusedField{}}
	e.set, _ = strconv.Atoi(form.Get("set"))
	var elsewhere, otherSet bool
	now, err := s.change(id, func(j *stored) (bool, error) {
		elsewhere = j.Rev != e.rev
		if otherSet = e.set != len(j.job.InSets()); otherSet {
			return false, s.crossSets(e, j, form)
		}
		return s.take(e, j, form)
	})
	if err != nil {
		s.broken(w, r, id, err)
		return
	}
	if otherSet || len(e.crossed) > 0 {
		s.conflict(w, r, now, e, otherSet)
		return
	}
	a := asked{open: form.Get("open"), in: form.Get("check"), entry: e, skipped: part(r)}
	if len(e.refused) > 0 || a.skipped {
		status := http.StatusOK
		if len(e.refused) > 0 {
			if !a.skipped { // the script reads the page; browsers tell of such a status on the console
				status = http.StatusUnprocessableEntity
			}
			a.said = "Not taken: " + count(len(e.refused), "value", "values") + ". What was typed is still there, with the reason."
		} else if elsewhere {
			a.said = saidWords["also"]
		}
		s.showJob(w, r, status, now, a)
		return
	}
	to := url.Values{}
	if a.open != "" {
		to.Set("open", a.open)
	}
	if len(e.taken) > 0 {
		to.Set("in", form.Get("check"))
	}
	if at := s.after(now, form.Get("check"), e.taken); at != "" {
		to.Set("at", at)
	}
	switch {
	case elsewhere && len(e.taken) > 0:
		to.Set("said", "also")
	case len(e.taken) > 0:
		to.Set("said", "kept")
	}
	back(w, r, id, to)
}

// part tells whether a form was sent by the script, which wants the ranking at once
// and asks for the advice by itself.
func part(r *http.Request) bool { return r.Header.Get("Bench-Part") == "ranking" }

// back leads to the page of a job after a form was taken.
func back(w http.ResponseWriter, r *http.Request, id string, to url.Values) {
	path := "/job/" + url.PathEscape(id)
	if len(to) > 0 {
		path += "?" + to.Encode()
	}
	http.Redirect(w, r, path, http.StatusSeeOther)
}

// take puts what was typed into a job, field by field: what was not changed in the
// form stays as it is by now.
func (s *Server) take(e *entry, j *stored, form url.Values) (keep bool, err error) {
	fields, err := s.fields(j)
	if err != nil {
		return false, err
	}
	readings := last(j.job)
	for id, f := range fields {
		typed, unit, sent := typedIn(form, &f)
		was := form.Get("was." + id)
		whole := withUnit(typed, unit)
		if !sent || whole == was || whole == f.Typed {
			continue
		}
		if f.Typed != was {
			e.crossed = append(e.crossed, crossed{id, f.Label, was, f.Typed, whole})
			continue
		}
		var why *engine.Refusal
		var v engine.Value
		if utf8.RuneCountInString(typed) > mostTyped {
			typed, why = short(typed), &engine.Refusal{Text: "that is too long for a reading", Hint: "a value has at most 100 letters"}
		} else {
			v, _, why = s.o.Pack.ReadTyped(id, whole)
		}
		if why != nil {
			e.refused[id] = refusedField{typed, unit, why}
			continue
		}
		if v.Taken() {
			readings[id] = v
		} else {
			delete(readings, id)
		}
		e.taken = append(e.taken, id)
	}
	return len(e.taken) > 0, nil
}

// crossSets lists what was typed for a set of readings that has been closed since.
func (s *Server) crossSets(e *entry, j *stored, form url.Values) error {
	fields, err := s.fields(j)
	for id, f := range fields {
		typed, unit, sent := typedIn(form, &f)
		if whole := withUnit(typed, unit); sent && whole != form.Get("was."+id) && whole != f.Typed {
			e.crossed = append(e.crossed, crossed{id, f.Label, form.Get("was." + id), f.Typed, whole})
		}
	}
	return err
}

// fields are the fields of a job by reading.
func (s *Server) fields(j *stored) (map[string]engine.FormField, error) {
	form, err := s.o.Pack.Form(j.job)
	if err != nil {
		return nil, err
	}
	all := map[string]engine.FormField{}
	for _, c := range form.Checks {
		for _, f := range c.Fields {
			all[f.Reading] = f
		}
	}
	return all, nil
}

// typedIn is what a form has in a field, and the unit that was chosen beside it.
func typedIn(form url.Values, f *engine.FormField) (typed, unit string, sent bool) {
	values, sent := form["r."+f.Reading]
	if !sent || len(values) == 0 {
		return "", "", false
	}
	return strings.TrimSpace(values[0]), strings.TrimSpace(form.Get("u." + f.Reading)), true
}

// withUnit adds the unit that was chosen to a number that was typed without one.
func withUnit(typed, unit string) string {
	if unit == "" || typed == "" {
		return typed
	}
	if _, err := strconv.ParseFloat(typed, 64); err != nil {
		return typed
	}
	return typed + " " + unit
}

// last are the readings of the set that is being taken.
func last(j *engine.Job) map[string]engine.Value {
	if k := len(j.Sets) - 1; k >= 0 {
		if j.Sets[k].Readings == nil {
			j.Sets[k].Readings = map[string]engine.Value{}
		}
		return j.Sets[k].Readings
	}
	if j.Readings == nil {
		j.Readings = map[string]engine.Value{}
	}
	return j.Readings
}

// after is the field to stand in after a form was taken: the first of its check that
// is still empty, behind the last that was entered.
func (s *Server) after(j *stored, check string, taken []string) string {
	form, err := s.o.Pack.Form(j.job)
	if err != nil || len(taken) == 0 {
		return ""
	}
	for _, c := range form.Checks {
		if c.Check.Check != check {
			continue
		}
		for _, f := range c.Fields {
			if f.Typed == "" && f.Kind != "trace" {
				return f.Reading
			}
		}
	}
	return ""
}
