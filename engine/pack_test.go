package engine

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestOpen(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return filepath.Dir(path)
	}
	own := write("own/a.yaml", bench)
	mine := write("mine/b.yaml", "faults: {gremlin: {label: A gremlin, per_1000: 1}}\n")
	broken := write("broken/c.yaml", "faults: {leak: {label: Leak, per_1000: 0}}\n")
	file := filepath.Join(dir, "own", "a.yaml")

	p, err := Open(Sources{})
	if err != nil || p.Name() != DefaultPack || !slices.Contains(ShippedPacks(), p.Name()) {
		t.Errorf("the shipped pack: %v", err)
	}
	p, err = Open(Sources{Pack: own, Add: []string{mine}})
	if err != nil || !slices.Equal(p.Faults(), []string{"leak", "rich", "gremlin"}) || p.Name() != own {
		t.Errorf("two folders: %v", err)
	}
	fresh := reasons(t)
	for _, c := range []struct {
		because string
		from    Sources
		is      error
		want    string
	}{
		{"a slip in the name of a shipped pack", Sources{Pack: "continuous-injektion"}, ErrNoPack, `did you mean "continuous-injection"?`},
		{"a folder that is not there", Sources{Pack: filepath.Join(dir, "none")}, ErrNoPack, "is neither a shipped pack nor a folder"},
		{"a file for a pack", Sources{Pack: file}, nil, "is a file, not a folder of rule files"},
		{"an added folder that is not there", Sources{Add: []string{filepath.Join(dir, "none")}}, fs.ErrNotExist, "none"},
		{"an added file", Sources{Add: []string{file}}, nil, "is a file, not a folder of rule files"},
		{"a shipped pack is no way out of its folder", Sources{Pack: ".."}, nil, ""},
	} {
		fresh(c.because)
		_, err := Open(c.from)
		if err == nil || c.is != nil && !errors.Is(err, c.is) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.because, err)
		}
	}
	_, err = Open(Sources{Pack: own, Add: []string{broken}})
	var problems Problems
	if !errors.As(err, &problems) || !strings.Contains(formatted(err), "c.yaml:1:10: ") {
		t.Errorf("rules with mistakes: %v", err)
	}
}
