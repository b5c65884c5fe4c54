package benchpage

import (
	"bytes"
	"context"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"culprit/cmd/culprit/internal/drawing"
	"culprit/engine"
)

//go:embed pages.html
var pagesText string

//go:embed job.html
var jobText string

//go:embed bench.css
var ownStyle string

//go:embed bench.js
var script []byte

//go:embed icon.svg
var icon []byte

var stylesheet = []byte(string(drawing.Style()) + ownStyle)

// templates are parsed when a page is first shown.
var templates = sync.OnceValue(func() *template.Template {
	return template.Must(template.Must(drawing.Templates().Funcs(template.FuncMap{
		"percent": drawing.Percent, "minutes": minutes, "share": func(p float64) drawing.Share { return drawing.NewShare(p) },
		"integrity": func(name string) string { return integrity()[name] },
		"fault": func(b *board, f faultRow) any {
			return struct {
				Job string
				Row faultRow
			}{b.ID, f}
		},
		"openIn": func(b *board, all []faultRow) bool {
			return slices.ContainsFunc(all, func(f faultRow) bool { return f.ID == b.Open })
		},
		"when": func(t time.Time) string { return t.Format("2006-01-02 15:04") },
		"iso":  func(t time.Time) string { return t.Format(time.RFC3339) },
	}).Parse(pagesText)).Parse(jobText))
})

// integrity holds browsers to the script and style that belong to a page.
var integrity = sync.OnceValue(func() map[string]string {
	return map[string]string{"bench.css": digest(stylesheet), "bench.js": digest(script)}
})

func digest(text []byte) string {
	sum := sha256.Sum256(text)
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

// page is what every page has, with what it is about.
type page struct {
	Title string
	Token string
	Data  any
}

// write sends a page. What comes from files and forms is escaped by the templates;
// what would turn the direction of the text is shown instead.
func (s *Server) write(w http.ResponseWriter, status int, name string, p page) {
	p.Token = s.guard.token()
	var b bytes.Buffer
	if err := templates().ExecuteTemplate(&b, name, p); err != nil {
		// A template that fails is a mistake of ours; nothing half is sent.
		http.Error(w, "the page could not be made", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	w.Write([]byte(drawing.Clean(b.String())))
}

// trouble is a page that says what could not be done.
type trouble struct {
	Head, Text string
	Lines      []string
	Back       string // where to go on
	BackText   string
}

// fail says that a request was not done, and why.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, status int, head, text string) {
	s.write(w, status, "trouble", page{Title: head, Data: trouble{Head: head, Text: text, Back: "/", BackText: "To the jobs"}})
}

// stale says that a form is of an earlier run, and what was typed in it, so that it
// can be typed again.
func (s *Server) stale(w http.ResponseWriter, r *http.Request) {
	t := trouble{Head: "This form is not one of this run", Text: "The bench page was started again since it was made, or it was made elsewhere. Nothing was changed. Open the job again and enter once more:",
		Back: "/", BackText: "To the jobs"}
	for name, values := range r.PostForm {
		id, is := strings.CutPrefix(name, "r.")
		if is && len(values) > 0 && values[0] != "" && values[0] != r.PostForm.Get("was."+id) && len(t.Lines) < 50 {
			if label := s.labels["reading "+id]; label != "" {
				t.Lines = append(t.Lines, label+": "+short(values[0]))
			}
		}
	}
	s.write(w, http.StatusForbidden, "trouble", page{Title: t.Head, Data: t})
}

// broken answers for an error of a job: none of that name, one that cannot be taken,
// one that is held, or no time.
func (s *Server) broken(w http.ResponseWriter, r *http.Request, id string, err error) {
	t := trouble{Back: "/", BackText: "To the jobs"}
	status := http.StatusInternalServerError
	var held HeldError
	var problems engine.Problems
	switch {
	case errors.Is(err, errNoJob):
		status, t.Head, t.Text = http.StatusNotFound, "There is no such job", fmt.Sprintf("No job in the folder is called %q.", short(id))
	case errors.As(err, &held):
		status, t.Head = http.StatusLocked, "The job is open elsewhere"
		t.Text = "Nothing was changed. It is held by " + held.Who + ". Finish there, then go back and enter again."
	case errors.As(err, &problems):
		status, t.Head = http.StatusUnprocessableEntity, "The file of this job cannot be taken"
		t.Text = "It is left as it is. Mend it with an editor, or move it away:"
		for _, p := range problems[:min(len(problems), 10)] {
			line := p.Error()
			if p.Hint != "" {
				line += " (" + p.Hint + ")"
			}
			t.Lines = append(t.Lines, line)
		}
	case errors.Is(err, context.DeadlineExceeded), errors.Is(err, context.Canceled):
		status, t.Head, t.Text = http.StatusServiceUnavailable, "This took too long", "Nothing was lost. Try again."
	default:
		t.Head, t.Text = "This could not be done", "What was said: "+err.Error()+". What was kept before is still there."
	}
	s.write(w, status, "trouble", page{Title: t.Head, Data: t})
}

func (s *Server) nowhere(w http.ResponseWriter, r *http.Request) {
	s.fail(w, r, http.StatusNotFound, "There is no such page", "The jobs are on the first page.")
}

func minutes(m float64) string {
	if m > 0 && m < 1 {
		return fmt.Sprintf("%.1f min", m)
	}
	return fmt.Sprintf("%.0f min", m)
}
