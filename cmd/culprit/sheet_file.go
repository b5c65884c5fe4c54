package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// sheetFiles is where sheets go: to standard output, into one file, or into a file
// for each job.
type sheetFiles struct {
	standard bool
	paths    []string // one, or as many as there are jobs
	replace  bool
}

// destination decides where the sheets of some jobs go, and refuses what cannot be
// written before anything is worked out.
func (o *sheetOptions) destination(jobs []string) (*sheetFiles, error) {
	to := &sheetFiles{replace: o.replace}
	switch {
	case o.out == "-" || o.out == "" && o.plain:
		to.standard = true
		return to, nil
	case o.out == "" || isFolderName(o.out):
		if err := to.oneEach(o.out, jobs, o.ending()); err != nil {
			return nil, err
		}
	default:
		to.paths = []string{o.out}
	}
	if to.replace {
		return to, nil
	}
	for _, path := range to.paths {
		if _, err := os.Lstat(path); err == nil {
			return nil, there(path)
		}
	}
	return to, nil
}

// there refuses to replace a file.
func there(path string) error {
	return usageError{fmt.Sprintf("there is a file %q already", path), "--replace replaces it", "sheet"}
}

// isFolderName tells whether --out means a folder: one that is there, or a name that
// ends as those of folders do.
func isFolderName(name string) bool {
	if info, err := os.Stat(name); err == nil {
		return info.IsDir()
	}
	return os.IsPathSeparator(name[len(name)-1])
}

func (o *sheetOptions) ending() string {
	if o.plain {
		return ".txt"
	}
	return ".html"
}

// oneEach names a file in a folder for each job, after the job's file.
func (f *sheetFiles) oneEach(folder string, jobs []string, ending string) error {
	of := map[string]string{}
	for _, job := range jobs {
		base := "sheet"
		if job != "-" {
			base = strings.TrimSuffix(filepath.Base(job), ".json")
		}
		path := filepath.Join(folder, base+ending)
		if other, twice := of[path]; twice {
			return usageError{fmt.Sprintf("%q and %q would both be written to %q", other, job, path), "--out FILE puts them into one file", "sheet"}
		}
		of[path] = job
		f.paths = append(f.paths, path)
	}
	return nil
}

// write draws the sheets and puts them where they belong; what was written is told
// on standard output.
func (f *sheetFiles) write(s *stdio, sheets []*sheet, draw func([]*sheet) ([]byte, error)) error {
	if f.standard || len(f.paths) == 1 {
		text, err := draw(sheets)
		if err != nil {
			return err
		}
		if f.standard {
			_, err = s.out.Write(text)
			return err
		}
		return f.put(s, f.paths[0], text)
	}
	for i, path := range f.paths {
		text, err := draw(sheets[i : i+1])
		if err != nil {
			return err
		}
		if err := f.put(s, path, text); err != nil {
			return err
		}
	}
	return nil
}

// put writes one file. Whoever looks meanwhile sees no file or the old one, never
// half of one; where two would write the same new file, one of them is refused.
func (f *sheetFiles) put(s *stdio, path string, text []byte) error {
	folder := filepath.Dir(path)
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return err
	}
	var err error
	if f.replace {
		err = replaceFile(path, text)
	} else if err = putNew(path, text); errors.Is(err, fs.ErrExist) {
		return there(path)
	}
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(s.out, clean(path))
	return err
}

// replaceFile puts a new file with this text in the place of another, or where none
// was; after a power cut there is the one or the other.
func replaceFile(path string, text []byte) error {
	// A link is followed, so that the file is replaced and not the link.
	if to, err := filepath.EvalSymlinks(path); err == nil {
		path = to
	}
	mode := fs.FileMode(0o644)
	info, err := os.Stat(path)
	switch {
	case err == nil && !info.Mode().IsRegular():
		return usageError{fmt.Sprintf("%q is not a plain file, so it is not replaced", path), "", "sheet"}
	case err == nil:
		mode = info.Mode().Perm()
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	return putWhole(path, text, mode)
}
