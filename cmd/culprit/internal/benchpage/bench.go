// Package benchpage is the bench page: jobs in a folder, shown and filled in with a
// browser on a tablet beside the car. [New] makes the server of one folder,
// [Server.Handler] what answers requests.
//
// It reasons nothing: what a job means comes from package engine, what is drawn from
// package drawing, what is printed from whoever makes the server. Every page works
// without script. Every change is one POST that leaves the file of the job as it was
// or replaces it whole.
package benchpage

import (
	"context"
	"fmt"
	"html/template"
	"net/http"
	"os"
	"time"

	"culprit/cmd/culprit/internal/drawing"
	"culprit/engine"
)

// Limits of what is taken from outside. Judgements, each far above what a shop needs.
const (
	mostBody    = 64 << 10    // bytes of a form
	mostHeader  = 16 << 10    // bytes of the headers of a request
	mostJobFile = 1 << 20     // bytes of the file of a job
	mostJobs    = 1000        // jobs in a folder
	mostName    = 200         // letters of a job's name
	mostNote    = 5000        // letters of a note, or of what was found
	mostTyped   = 100         // letters in the field of a reading
	mostWait    = time.Minute // of one request, reasoning included
)

// Options are what a server is made of.
type Options struct {
	Pack    *engine.Pack
	Folder  string   // where the jobs are
	Vehicle string   // of new jobs; "" for none
	Without []string // tools that the shop lacks
	Key     string   // what a browser has to show once; "" for no key
	Hosts   []string // names, without a port, by which the machine may be called
	Keeper  Keeper
	Paper   Paper
}

// Keeper keeps the files of jobs: locked while they are changed, replaced whole.
type Keeper interface {
	// Change locks a file that is there. A [HeldError] says that somebody has it.
	Change(path string) (Kept, error)
	// Create locks a name that no file has; fs.ErrExist where one has it, or is
	// just getting it.
	Create(path string) (Kept, error)
}

// Kept is a file that is locked.
type Kept interface {
	Save(text []byte) error // replaces it whole, or leaves it
	Release()
}

// HeldError says who has a file.
type HeldError struct{ Who string }

func (e HeldError) Error() string { return "it is open elsewhere: " + e.Who }

// Paper is what the pages share with the job sheet.
type Paper interface {
	// Sheet is the sheet of a job as a whole document, with the source by which
	// a content security policy allows its style.
	Sheet(ctx context.Context, j *engine.Job) (page []byte, style string, err error)
	// Fault is what speaks for and against a fault that the verdict explains.
	Fault(v *engine.Verdict, fault string) (template.HTML, error)
	// Reading is a reading against its limits.
	Reading(r *engine.Reading) Stand
	// After is what became of the job after a repair, "" where there was none.
	After(j *engine.Job, v *engine.Verdict) (template.HTML, error)
}

// Stand is where a reading stands.
type Stand struct {
	Value, Within, Words string
	Out                  bool
	Gauge                *drawing.Gauge
}

// Server is the bench page of one folder.
type Server struct {
	o      Options
	root   *os.Root
	guard  *guard
	known  *known
	labels map[string]string // of readings, checks and faults by kind and id
}

// New makes a server. Errors are those of a folder that is none or cannot be written,
// and of a vehicle or tool that the pack does not have.
func New(o Options) (*Server, error) {
	root, err := os.OpenRoot(o.Folder)
	if err != nil {
		return nil, fmt.Errorf("the folder of the jobs: %w", err)
	}
	s := &Server{o: o, root: root, guard: newGuard(o.Key, o.Hosts), known: newKnown(o.Pack, o.Without), labels: map[string]string{}}
	for _, c := range o.Pack.List() {
		s.labels[c.Kind+" "+c.ID] = c.Label
	}
	if err := s.tryFolder(); err != nil {
		root.Close()
		return nil, err
	}
	job := &engine.Job{Vehicle: o.Vehicle, Readings: map[string]engine.Value{}}
	if o.Vehicle != "" {
		job.UseVehicle(o.Vehicle, "--vehicle")
	}
	if _, err := o.Pack.Next(context.Background(), job, engine.NextOptions{Without: o.Without, Quick: true, Most: -1}); err != nil {
		root.Close()
		return nil, err
	}
	return s, nil
}

// tryFolder finds out that files can be made in the folder.
func (s *Server) tryFolder() error {
	name := ".bench-" + random(8) + ".tmp"
	f, err := s.root.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return fmt.Errorf("no job can be kept in the folder %q: %w", s.o.Folder, err)
	}
	f.Close()
	return s.root.Remove(name)
}

// Close lets the folder go.
func (s *Server) Close() error { return s.root.Close() }

// Handler answers the requests of browsers.
func (s *Server) Handler() http.Handler {
	m := http.NewServeMux()
	m.HandleFunc("GET /{$}", s.start)
	m.HandleFunc("POST /jobs", s.create)
	m.HandleFunc("GET /compare", s.compare)
	m.HandleFunc("GET /job/{id}", s.job)
	m.HandleFunc("POST /job/{id}/readings", s.enter)
	m.HandleFunc("POST /job/{id}/car", s.describe)
	m.HandleFunc("POST /job/{id}/repair", s.repair)
	m.HandleFunc("POST /job/{id}/undo-repair", s.undoRepair)
	m.HandleFunc("GET /job/{id}/sheet", s.sheet)
	m.HandleFunc("GET /", s.nowhere)
	files := http.NewServeMux()
	files.HandleFunc("GET /bench.css", asset("text/css; charset=utf-8", stylesheet))
	files.HandleFunc("GET /bench.js", asset("text/javascript; charset=utf-8", script))
	files.HandleFunc("GET /icon.svg", asset("image/svg+xml", icon))
	files.HandleFunc("GET /favicon.ico", asset("image/svg+xml", icon))
	files.HandleFunc("/key", s.login)
	files.Handle("/", s.guard.behindKey(s, m))
	return s.guard.protect(s, files)
}

// HTTP is a server with limits of time and size, to be given a listener.
func (s *Server) HTTP() *http.Server {
	return &http.Server{
		Handler: s.Handler(), MaxHeaderBytes: mostHeader,
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 15 * time.Second,
		WriteTimeout: mostWait + 10*time.Second, IdleTimeout: 2 * time.Minute,
	}
}

func asset(kind string, text []byte) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", kind)
		w.Header().Set("Cache-Control", "no-cache")
		w.Write(text)
	}
}
