package benchpage

import (
	"fmt"
	"net/http"
	"net/url"
	"unicode/utf8"

	"culprit/engine"
)

// startView is the first page: the jobs, and a new one.
type startView struct {
	Jobs     []listed
	Full     bool
	Name     string
	Wrong    string
	Vehicles []choice
	Pack     string
}

func (s *Server) start(w http.ResponseWriter, r *http.Request) {
	s.showStart(w, r, http.StatusOK, "", s.o.Vehicle, "")
}

func (s *Server) showStart(w http.ResponseWriter, r *http.Request, status int, name, vehicle, wrong string) {
	jobs, err := s.jobs()
	if err != nil {
		s.broken(w, r, "", err)
		return
	}
	v := startView{Jobs: jobs, Full: len(jobs) >= mostJobs, Name: name, Wrong: wrong, Pack: s.o.Pack.Name()}
	for _, c := range s.o.Pack.List() {
		if c.Kind == "vehicle" {
			v.Vehicles = append(v.Vehicles, choice{c.ID, c.Label, c.ID == vehicle})
		}
	}
	s.write(w, status, "start", page{Title: "Bench: jobs", Data: v})
}

// create makes a new job.
func (s *Server) create(w http.ResponseWriter, r *http.Request) {
	name, vehicle := oneLine(r.PostForm.Get("name")), r.PostForm.Get("vehicle")
	wrong := ""
	switch {
	case utf8.RuneCountInString(name) > mostName:
		wrong = fmt.Sprintf("A name has at most %d letters.", mostName)
	case vehicle != "" && s.labels["vehicle "+vehicle] == "":
		wrong = fmt.Sprintf("There is no vehicle %q in these rules.", short(vehicle))
	}
	if wrong != "" {
		s.showStart(w, r, http.StatusUnprocessableEntity, name, "", wrong)
		return
	}
	id, err := s.add(&engine.Job{Name: name, Vehicle: vehicle, Readings: map[string]engine.Value{}})
	if err != nil {
		s.showStart(w, r, http.StatusInsufficientStorage, name, vehicle, "No job was made: "+err.Error()+".")
		return
	}
	back(w, r, id, url.Values{"said": {"made"}})
}
