package rulefile

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"culprit/engine/source"
)

// The limits of one pack, all folders together; source has those of one file.
const (
	MaxFiles = 500
	MaxBytes = 8 << 20
)

// A Folder is a place with rule files. Name goes before the file's name in messages; it may be empty.
// Files whose names end in ".yaml" or ".yml" are read; other files, files whose names begin with '.', and folders inside it are not.
type Folder struct {
	Name string
	FS   fs.FS
}

// files reads all rule files of the folders, folder by folder, sorted by name.
func (l *loader) files(folders []Folder) []*source.File {
	var all []*source.File
	room := MaxBytes
	for _, folder := range folders {
		whole := source.NewFile(cmp.Or(folder.Name, "."), nil).Whole()
		names, err := ruleFileNames(folder.FS)
		switch {
		case err != nil:
			l.Add(source.Problem{Pos: whole, Text: "the folder cannot be read: " + reason(err)})
			l.partial = true
			continue
		case len(names) == 0:
			l.Add(source.Problem{Pos: whole, Text: "no rule files in this folder", Hint: "rule files have names that end in .yaml or .yml"})
			continue
		case len(all)+len(names) > MaxFiles:
			l.Add(source.Problem{Pos: whole, Text: fmt.Sprintf("more than %d rule files in one pack", MaxFiles)})
			l.partial = true
			return all
		}
		for _, name := range names {
			text, err := readFile(folder.FS, name, source.MaxBytes+1)
			f := source.NewFile(path.Join(folder.Name, name), text)
			if err != nil {
				l.Add(source.Problem{Pos: f.Whole(), Text: "cannot be read: " + reason(err)})
				l.partial = true
				continue
			}
			if room -= len(text); room < 0 {
				l.Add(source.Problem{Pos: f.Whole(), Text: fmt.Sprintf("the pack has more than %d bytes up to this file", MaxBytes)})
				l.partial = true
				return all
			}
			all = append(all, f)
		}
	}
	return all
}

// ruleFileNames lists the rule files of a folder by name.
func ruleFileNames(folder fs.FS) ([]string, error) {
	entries, err := fs.ReadDir(folder, ".")
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		name := e.Name()
		if strings.HasPrefix(name, ".") || e.IsDir() || path.Ext(name) != ".yaml" && path.Ext(name) != ".yml" {
			continue
		}
		names = append(names, name)
	}
	slices.Sort(names)
	return names, nil
}

// readFile reads at most limit bytes of a regular file.
func readFile(folder fs.FS, name string, limit int64) ([]byte, error) {
	info, err := fs.Stat(folder, name)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, errors.New("not a regular file")
	}
	f, err := folder.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text := bytes.NewBuffer(make([]byte, 0, min(info.Size(), limit)+bytes.MinRead))
	_, err = text.ReadFrom(io.LimitReader(f, limit))
	return text.Bytes(), err
}

// reason is the error without the path, which the position says already.
func reason(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		err = p.Err
	}
	return err.Error()
}
