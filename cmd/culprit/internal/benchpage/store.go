package benchpage

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"culprit/engine"
)

// errNoJob means that no job has a name.
var errNoJob = errors.New("there is no such job in the folder")

// stored is a job as it stands in its file.
type stored struct {
	ID   string // the name of its file, without ".json"
	Rev  string // of its text: another text has another
	text []byte
	job  *engine.Job
}

// isID tells whether a name can be that of a job: no path, nothing hidden, nothing
// that cannot be seen.
func isID(id string) bool {
	return id != "" && len(id) <= 200 && id[0] != '.' && utf8.ValidString(id) &&
		!strings.ContainsFunc(id, func(r rune) bool {
			return r == '/' || r == '\\' || r == ':' || unicode.IsControl(r) || unicode.Is(unicode.Cf, r)
		})
}

// list gives what is in the folder: plain files that are called as jobs are.
func (s *Server) list() ([]fs.DirEntry, error) {
	f, err := s.root.Open(".")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	all, err := f.ReadDir(-1)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(all, func(e fs.DirEntry) bool {
		id, is := strings.CutSuffix(e.Name(), ".json")
		return !is || !isID(id) || !e.Type().IsRegular()
	}), nil
}

// find tells whether a job is in the folder. Only a name that the folder itself lists
// is ever used as one.
func (s *Server) find(id string) error {
	if !isID(id) {
		return errNoJob
	}
	all, err := s.list()
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(all, func(e fs.DirEntry) bool { return e.Name() == id+".json" }) {
		return errNoJob
	}
	return nil
}

// load reads a job. Errors are errNoJob, those of reading, and what is wrong with the
// file.
func (s *Server) load(id string) (*stored, error) {
	if err := s.find(id); err != nil {
		return nil, err
	}
	return s.read(id)
}

// read reads a file that the folder lists.
func (s *Server) read(id string) (*stored, error) {
	f, err := s.root.Open(id + ".json")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, mostJobFile+1))
	if err != nil {
		return nil, err
	}
	if len(text) > mostJobFile {
		return nil, fmt.Errorf("the file is larger than %d bytes", mostJobFile)
	}
	job, err := s.o.Pack.ParseJob(id+".json", text)
	if err != nil {
		return nil, err
	}
	return &stored{ID: id, Rev: revision(text), text: text, job: job}, nil
}

func revision(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:12])
}

// path is where the file of a job is, for the keeper.
func (s *Server) path(id string) string { return filepath.Join(s.o.Folder, id+".json") }

// How long to wait for a file that somebody else is just changing.
const (
	holdTries = 40
	holdPause = 50 * time.Millisecond
)

// change reads a job while nobody else can change it, lets do change it, and keeps
// it if do says so. What was kept is returned.
func (s *Server) change(id string, do func(*stored) (keep bool, err error)) (*stored, error) {
	if err := s.find(id); err != nil {
		return nil, err
	}
	file, err := s.hold(id)
	if err != nil {
		return nil, err
	}
	defer file.Release()
	now, err := s.read(id)
	if err != nil {
		return nil, err
	}
	keep, err := do(now)
	if err != nil || !keep {
		return now, err
	}
	text, err := s.o.Pack.WriteJob(now.job)
	if err != nil {
		return nil, err
	}
	if len(text) > mostJobFile {
		return nil, fmt.Errorf("the job would be larger than %d bytes", mostJobFile)
	}
	if !bytes.Equal(text, now.text) {
		if err := file.Save(text); err != nil {
			return nil, fmt.Errorf("the job could not be kept: %w", err)
		}
	}
	now.text, now.Rev = text, revision(text)
	return now, nil
}

// hold locks the file of a job; somebody who is just changing it is waited for.
func (s *Server) hold(id string) (Kept, error) {
	for n := 0; ; n++ {
		file, err := s.o.Keeper.Change(s.path(id))
		if err == nil || n == holdTries || !errors.As(err, new(HeldError)) {
			return file, err
		}
		time.Sleep(holdPause)
	}
}

// add keeps a new job under a name of our own.
func (s *Server) add(job *engine.Job) (string, error) {
	all, err := s.list()
	if err != nil {
		return "", err
	}
	if len(all) >= mostJobs {
		return "", fmt.Errorf("there are %d jobs in the folder, and no more are taken; move old ones to another folder", len(all))
	}
	text, err := s.o.Pack.WriteJob(job)
	if err != nil {
		return "", err
	}
	for n := 1; n <= 10*mostJobs; n++ {
		id := fmt.Sprintf("job-%s-%d", time.Now().Format(time.DateOnly), n)
		if slices.ContainsFunc(all, func(e fs.DirEntry) bool { return e.Name() == id+".json" }) {
			continue
		}
		file, err := s.o.Keeper.Create(s.path(id))
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return "", err
		}
		err = file.Save(text)
		file.Release()
		if !errors.Is(err, fs.ErrExist) {
			return id, err
		}
	}
	return "", errors.New("no name for a new job is free")
}

// listed is a job as the start page has it.
type listed struct {
	ID, Name, Car string
	Sets          int
	Repaired      bool
	When          time.Time
	Wrong         string // why it cannot be opened
}

// jobs lists the jobs of the folder, the last changed first.
func (s *Server) jobs() ([]listed, error) {
	all, err := s.list()
	if err != nil {
		return nil, err
	}
	var out []listed
	for _, e := range all {
		l := listed{ID: strings.TrimSuffix(e.Name(), ".json")}
		if info, err := e.Info(); err == nil {
			l.When = info.ModTime()
		}
		out = append(out, l)
	}
	slices.SortFunc(out, func(a, b listed) int { return cmp.Or(b.When.Compare(a.When), strings.Compare(a.ID, b.ID)) })
	out = out[:min(len(out), mostJobs)]
	for i := range out {
		l := &out[i]
		j, err := s.read(l.ID)
		if errors.Is(err, os.ErrNotExist) {
			l.Wrong = "it has just gone"
			continue
		}
		if err == nil {
			err = s.o.Pack.Check(j.job)
		}
		if err != nil {
			l.Wrong = reason(err)
			continue
		}
		l.Name, l.Car, l.Sets = j.job.Name, s.labels["vehicle "+j.job.Vehicle], len(j.job.InSets())
		l.Repaired = slices.ContainsFunc(j.job.Sets, func(x engine.JobSet) bool { return len(x.Repaired) > 0 })
	}
	return out, nil
}

// reason is an error in a line.
func reason(err error) string {
	var p engine.Problems
	if errors.As(err, &p) && len(p) > 0 {
		if len(p) > 1 {
			return fmt.Sprintf("%s: %s, and %d more", p[0].Pos, p[0].Text, len(p)-1)
		}
		return fmt.Sprintf("%s: %s", p[0].Pos, p[0].Text)
	}
	return err.Error()
}

// short is a text that somebody sent, as far as it is told back.
func short(text string) string {
	if r := []rune(text); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return text
}
