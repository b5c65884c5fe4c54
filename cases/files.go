package cases

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"culprit/engine"
	"culprit/engine/source"
)

// ErrNoShipped means that a pack has no cases that come with the program.
var ErrNoShipped = errors.New("no cases come with this pack")

// Shipped reads the cases that come with a shipped pack. Places in them are
// told from the root of the source tree.
func Shipped(pack string) ([]*Case, error) {
	folder := "."
	if pack != engine.DefaultPack {
		folder = pack
	}
	sub, err := fs.Sub(FS, folder)
	if err == nil && slices.Contains(engine.ShippedPacks(), pack) {
		_, err = fs.Stat(sub, ".")
		if err == nil {
			return load(sub, path.Join("cases", folder))
		}
	}
	return nil, fmt.Errorf("%q: %w", pack, ErrNoShipped)
}

// ShippedWord names, among case files, the cases that come with the pack.
const ShippedWord = "shipped"

// LoadNamed is [LoadPaths], but the name ShippedWord stands for the cases that come
// with the pack; a folder of that name is named "./shipped".
func LoadNamed(pack string, names ...string) ([]*Case, error) {
	var r reader
	for _, name := range names {
		if name != ShippedWord {
			if err := r.path(name); err != nil {
				return nil, err
			}
			continue
		}
		all, err := Shipped(pack)
		if err != nil {
			return nil, err
		}
		for _, c := range all {
			r.take(c)
		}
	}
	return r.done()
}

// LoadPaths reads case files, and those of folders: names that end in .yaml or
// .yml and do not begin with a dot; folders inside are not read. The error is a
// [source.Problems] with everything that is wrong in the files, or that of the
// system where one cannot be read.
func LoadPaths(paths ...string) ([]*Case, error) {
	var r reader
	for _, name := range paths {
		if err := r.path(name); err != nil {
			return nil, err
		}
	}
	return r.done()
}

// path adds a case file, or those of a folder.
func (r *reader) path(name string) error {
	info, err := os.Stat(name)
	if err != nil {
		return err
	}
	names := []string{name}
	if info.IsDir() {
		if names, err = caseFiles(name); err != nil {
			return err
		}
	}
	for _, name := range names {
		text, err := readFile(name)
		if err != nil {
			return err
		}
		r.add(name, text)
	}
	return nil
}

func caseFiles(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		name := e.Name()
		if e.IsDir() || strings.HasPrefix(name, ".") {
			continue
		}
		if ext := filepath.Ext(name); ext == ".yaml" || ext == ".yml" {
			names = append(names, filepath.Join(folder, name))
		}
	}
	return names, nil
}

// readFile reads a little more than the largest file at most, and only what is
// a file: a pipe might never end.
func readFile(name string) ([]byte, error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%q is neither a file nor a folder", name)
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, source.MaxBytes+1))
}

// reader gathers the cases of several files.
type reader struct {
	all    []*Case
	report source.Report
	first  map[string]source.Pos
}

func (r *reader) add(name string, text []byte) {
	for _, c := range read(source.NewFile(name, text), &r.report) {
		r.take(c)
	}
}

// take adds a case; where there is one of that id, that is reported.
func (r *reader) take(c *Case) {
	if r.first == nil {
		r.first = map[string]source.Pos{}
	}
	if before, twice := r.first[c.ID]; twice {
		r.report.Add(source.Problem{Pos: c.At, Width: len(c.ID), Text: fmt.Sprintf("there is another case %q", c.ID), Other: &before})
	} else {
		r.first[c.ID] = c.At
	}
	r.all = append(r.all, c)
}

func (r *reader) done() ([]*Case, error) {
	r.report.Problems.Sort()
	if err := r.report.Problems.Err(); err != nil {
		return nil, err
	}
	return r.all, nil
}
