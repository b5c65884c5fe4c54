package rulefile

import (
	"errors"
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"culprit/engine/source"
)

var update = flag.Bool("update", false, "write the reports of testdata/broken anew; look at the difference before you commit it")

// Each entry of testdata/broken is a pack with mistakes of one kind, beside the exact report of them: a file, or a folder of
// files, or a folder of folders that are joined in the order of their names.
func TestBrokenPacks(t *testing.T) {
	const dir = "testdata/broken"
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for _, e := range entries {
		name := strings.TrimSuffix(e.Name(), ".yaml")
		if filepath.Ext(name) == ".txt" {
			if _, err := os.Stat(filepath.Join(dir, strings.TrimSuffix(name, ".txt"))); err != nil {
				if _, err := os.Stat(filepath.Join(dir, strings.TrimSuffix(name, ".txt")+".yaml")); err != nil {
					t.Errorf("the report %s is of no pack", e.Name())
				}
			}
			continue
		}
		tried++
		t.Run(name, func(t *testing.T) {
			got := report(t, foldersOf(t, dir, e)...)
			path := filepath.Join(dir, name+".txt")
			if *update {
				if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), got); diff != "" {
				t.Errorf("the report differs (-want +got):\n%s", diff)
			}
		})
	}
	if tried == 0 {
		t.Error("no packs in " + dir)
	}
}

// report loads what must not load, and gives the report.
func report(t *testing.T, folders ...Folder) string {
	t.Helper()
	pack, err := Load(folders...)
	var problems source.Problems
	if !errors.As(err, &problems) || len(problems) == 0 {
		t.Fatalf("no problems, but %v", err)
	}
	if pack != nil {
		t.Error("a pack came with the problems")
	}
	var b strings.Builder
	if err := problems.Format(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func foldersOf(t *testing.T, dir string, e fs.DirEntry) []Folder {
	t.Helper()
	if !e.IsDir() {
		return []Folder{{FS: only(os.DirFS(dir), e.Name())}}
	}
	path := filepath.Join(dir, e.Name())
	children, err := os.ReadDir(path)
	if err != nil {
		t.Fatal(err)
	}
	var folders []Folder
	for _, c := range children {
		if c.IsDir() {
			folders = append(folders, Folder{c.Name(), os.DirFS(filepath.Join(path, c.Name()))})
		}
	}
	if folders == nil {
		folders = []Folder{{FS: os.DirFS(path)}}
	}
	return folders
}

// only is a folder that holds one of another's files.
func only(folder fs.FS, name string) fs.FS { return oneFile{folder, name} }

type oneFile struct {
	fs.FS
	name string
}

func (o oneFile) ReadDir(string) ([]fs.DirEntry, error) {
	all, err := fs.ReadDir(o.FS, ".")
	for _, e := range all {
		if e.Name() == o.name {
			return []fs.DirEntry{e}, err
		}
	}
	return nil, err
}
