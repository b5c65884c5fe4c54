package benchpage

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"unicode/utf8"

	"culprit/engine"
)

// saidWords are what a page says of the form that led to it.
var saidWords = map[string]string{
	"kept":   "Kept.",
	"also":   "Kept. The job was changed elsewhere, too, since your page was made; this page has both.",
	"repair": "A new set of readings was begun. What the repair could have moved has to be taken again, and the set-up list too.",
	"undone": "The repair was taken back; the readings of before are taken on.",
	"car":    "Kept.",
	"made":   "A new job. Begin with the complaint and the set-up list.",
}

// job shows a job.
func (s *Server) job(w http.ResponseWriter, r *http.Request) {
	id, q := r.PathValue("id"), r.URL.Query()
	j, err := s.load(id)
	if err != nil {
		s.broken(w, r, id, err)
		return
	}
	s.showJob(w, r, http.StatusOK, j, asked{open: q.Get("open"), at: q.Get("at"), in: q.Get("in"), said: saidWords[q.Get("said")]})
}

func (s *Server) showJob(w http.ResponseWriter, r *http.Request, status int, j *stored, a asked) {
	b, err := s.board(r.Context(), j, a)
	if err != nil {
		s.broken(w, r, j.ID, err)
		return
	}
	s.write(w, status, "job", page{Title: "Bench: " + short(b.Title), Data: b})
}

// sheet shows the job sheet of a job, to be printed.
func (s *Server) sheet(w http.ResponseWriter, r *http.Request) {
	id := r.PathValue("id")
	j, err := s.load(id)
	if err != nil {
		s.broken(w, r, id, err)
		return
	}
	text, style, err := s.o.Paper.Sheet(r.Context(), j.job)
	if err != nil {
		s.broken(w, r, id, err)
		return
	}
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src "+style+"; img-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Write(text)
}

// describe takes what a job is called, its car and its note.
func (s *Server) describe(w http.ResponseWriter, r *http.Request) {
	id, form := r.PathValue("id"), r.PostForm
	name, vehicle, note := oneLine(form.Get("name")), form.Get("vehicle"), strings.ReplaceAll(strings.TrimSpace(form.Get("note")), "\r\n", "\n")
	wrong := ""
	switch {
	case utf8.RuneCountInString(name) > mostName:
		wrong = fmt.Sprintf("A name has at most %d letters.", mostName)
	case utf8.RuneCountInString(note) > mostNote:
		wrong = fmt.Sprintf("A note has at most %d letters.", mostNote)
	case vehicle != "" && s.labels["vehicle "+vehicle] == "":
		wrong = fmt.Sprintf("There is no vehicle %q in these rules.", short(vehicle))
	}
	var cross []crossed
	now, err := s.change(id, func(j *stored) (bool, error) {
		if wrong != "" {
			return false, nil
		}
		for _, x := range []struct{ key, label, typed, stands string }{
			{"name", "Name of the job", name, j.job.Name}, {"vehicle", "Car", vehicle, j.job.Vehicle}, {"note", "Note", note, j.job.Note},
		} {
			was := strings.ReplaceAll(form.Get("was."+x.key), "\r\n", "\n")
			switch {
			case !form.Has(x.key) || x.typed == was || x.typed == x.stands:
			case x.stands != was:
				cross = append(cross, crossed{x.key, x.label, was, x.stands, x.typed})
			case x.key == "name":
				j.job.Name = name
			case x.key == "vehicle":
				j.job.Vehicle = vehicle
			default:
				j.job.Note = note
			}
		}
		return len(cross) == 0, nil
	})
	switch {
	case err != nil:
		s.broken(w, r, id, err)
	case len(cross) > 0:
		s.write(w, http.StatusConflict, "conflict-car", page{Title: "Changed in two windows", Data: conflictView{ID: id, Rev: now.Rev, Title: now.job.Name, Fields: cross}})
	case wrong != "":
		b, err := s.board(r.Context(), now, asked{said: "Not taken: " + wrong})
		if err != nil {
			s.broken(w, r, id, err)
			return
		}
		b.Name, b.Note, b.CarWrong = cutTo(form.Get("name"), mostBody), form.Get("note"), wrong
		s.write(w, http.StatusUnprocessableEntity, "job", page{Title: "Bench: " + short(b.Title), Data: b})
	default:
		back(w, r, id, url.Values{"said": {"car"}})
	}
}

// oneLine is a text without breaks of lines.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

func cutTo(text string, n int) string { return text[:min(len(text), n)] }

// repair begins a new set of readings after the repair of faults.
func (s *Server) repair(w http.ResponseWriter, r *http.Request) {
	id, form := r.PathValue("id"), r.PostForm
	var faults []string
	wrong := ""
	for _, f := range slices.Concat(form["fault[]"], form["another"]) {
		if f == "" || slices.Contains(faults, f) {
			continue
		}
		if s.labels["fault "+f] == "" {
			wrong = fmt.Sprintf("There is no fault %q in these rules.", short(f))
			break
		}
		faults = append(faults, f)
	}
	found := strings.ReplaceAll(strings.TrimSpace(form.Get("found")), "\r\n", "\n")
	switch {
	case wrong != "":
	case len(faults) == 0:
		wrong = "Choose what was repaired."
	case utf8.RuneCountInString(found) > mostNote:
		wrong = fmt.Sprintf("What was found has at most %d letters.", mostNote)
	}
	elsewhere := false
	now, err := s.change(id, func(j *stored) (bool, error) {
		// A repair closes a set of readings, so it is taken only from who has seen
		// that set as it is.
		if elsewhere = j.Rev != form.Get("rev"); elsewhere {
			return false, nil
		}
		if wrong == "" && len(j.job.InSets()) >= engine.MaxSets {
			wrong = fmt.Sprintf("A job has at most %d sets of readings.", engine.MaxSets)
		}
		if wrong != "" {
			return false, nil
		}
		j.job.AfterRepair(faults, "repair")
		j.job.Sets[len(j.job.Sets)-1].Found = found
		return true, nil
	})
	switch {
	case err != nil:
		s.broken(w, r, id, err)
	case elsewhere || wrong != "":
		status := http.StatusUnprocessableEntity
		if elsewhere {
			status = http.StatusConflict
			wrong = "The job was changed elsewhere since your page was made; this page has what was changed. Look at it, then say again that the repair is done."
		}
		b, err := s.board(r.Context(), now, asked{said: "The repair was not taken. " + wrong})
		if err != nil {
			s.broken(w, r, id, err)
			return
		}
		b.RepairWrong, b.Found = wrong, found
		for i := range b.Repairs {
			b.Repairs[i].Chosen = slices.Contains(faults, b.Repairs[i].ID)
		}
		s.write(w, status, "job", page{Title: "Bench: " + short(b.Title), Data: b})
	default:
		back(w, r, id, url.Values{"said": {"repair"}})
	}
}

// undoRepair takes a repair back after which nothing was read yet.
func (s *Server) undoRepair(w http.ResponseWriter, r *http.Request) {
	id := r.PathValue("id")
	done := false
	now, err := s.change(id, func(j *stored) (bool, error) {
		k := len(j.job.Sets) - 1
		done = k > 0 && len(j.job.Sets[k].Readings) == 0 && len(j.job.Sets[k].Repaired) > 0 && j.Rev == r.PostForm.Get("rev")
		if done {
			j.job.Sets = j.job.Sets[:k]
		}
		return done, nil
	})
	switch {
	case err != nil:
		s.broken(w, r, id, err)
	case !done:
		s.showJob(w, r, http.StatusConflict, now, asked{said: "The repair was not taken back: something was entered since."})
	default:
		back(w, r, id, url.Values{"said": {"undone"}})
	}
}
