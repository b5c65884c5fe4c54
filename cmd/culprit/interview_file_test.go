package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"culprit/engine"
)

func TestJobFileKeepsItsRights(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.WriteFile("real.json", []byte("{}"), 0o640); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("real.json", "link.json"); err != nil {
		t.Skip(err)
	}
	f, err := openJobFile("", "link.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.close()
	if err := f.save([]byte("new")); err != nil {
		t.Fatal(err)
	}
	info, err := os.Lstat("link.json")
	if err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is %v, %v", info.Mode(), err)
	}
	if text, _ := os.ReadFile("real.json"); string(text) != "new" {
		t.Errorf("the file has %q", text)
	}
	if info, err = os.Stat("real.json"); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("the file is %v, %v", info.Mode(), err)
	}
}

// A file that somebody put there meanwhile is not replaced: a name of our own gives
// way, a name that was given is refused.
func TestJobFileReplacesNoOther(t *testing.T) {
	t.Chdir(t.TempDir())
	f, err := openJobFile("", "")
	if err != nil {
		t.Fatal(err)
	}
	defer f.close()
	first := f.path
	given, err := openJobFile("given.json", "")
	if err != nil {
		t.Fatal(err)
	}
	defer given.close()
	for _, name := range []string{first, "given.json"} {
		if err := os.WriteFile(name, []byte("theirs"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.save([]byte("ours")); err != nil || f.path == first {
		t.Errorf("kept in %s, %v", f.path, err)
	}
	if err := given.save([]byte("ours")); err == nil {
		t.Error("a file of that name was there")
	}
	for name, want := range map[string]string{first: "theirs", "given.json": "theirs", f.path: "ours"} {
		if text, err := os.ReadFile(name); string(text) != want {
			t.Errorf("%s has %q, %v", name, text, err)
		}
	}
}

// Where nothing can be kept any more, the file that is there stays as it is, and the
// next answer tries again.
func TestJobFileThatCannotBeKept(t *testing.T) {
	dir := t.TempDir()
	f, err := openJobFile(filepath.Join(dir, "sub.json"), "")
	if err != nil {
		t.Fatal(err)
	}
	defer f.close()
	if err := f.save([]byte("one")); err != nil {
		t.Fatal(err)
	}
	to := f.to
	f.to = filepath.Join(dir, "gone", "sub.json")
	if err := f.save([]byte("two")); err == nil || !strings.Contains(err.Error(), "no such file") {
		t.Errorf("kept: %v", err)
	}
	f.to = to
	if err := f.save([]byte("three")); err != nil {
		t.Error(err)
	}
	if text, _ := os.ReadFile(to); string(text) != "three" {
		t.Errorf("has %q", text)
	}
}

func TestReadLines(t *testing.T) {
	long := strings.Repeat("x", 2*mostLine)
	lines := readLines(strings.NewReader("a\r\n\n" + long + "\n" + "b\xff\nlast"))
	for _, want := range []line{{text: "a"}, {}, {bad: "the line is too long"}, {text: "b\uFFFD"}, {text: "last"}, {end: true}, {end: true}} {
		if got := <-lines; got != want {
			t.Errorf("got %.40v, want %v", got, want)
		}
	}
}

// What cannot be kept is told once, and again at the end by the exit status.
func TestWhatCannotBeKeptIsTold(t *testing.T) {
	pack, err := engine.Open(engine.Sources{})
	if err != nil {
		t.Fatal(err)
	}
	iv, err := pack.Interview(t.Context(), &engine.Job{}, engine.InterviewOptions{})
	if err != nil {
		t.Fatal(err)
	}
	var screen, errs bytes.Buffer
	s := &stdio{out: &screen, err: &errs, flush: func() error { return nil }, width: 80, piped: true}
	gone := filepath.Join(t.TempDir(), "gone", "job.json")
	file := &jobFile{path: gone, to: gone}
	tk := &talk{stdio: s, page: s.page(), pack: pack, iv: iv, file: file, lines: readLines(strings.NewReader("1\nnone\nno\n"))}
	if err := tk.run(); err == nil || !strings.HasPrefix(err.Error(), "the last answers are not kept: open ") {
		t.Errorf("ends with %v", err)
	}
	if told := strings.Count(errs.String(), "culprit: not kept: open "); told != 1 {
		t.Errorf("told %d times: %s", told, &errs)
	}
}
