//go:build unix

package rulefile

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// A pipe under a rule file's name would keep the program waiting for ever.
func TestPipesAreNotRead(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mkfifo(filepath.Join(dir, "a.yaml"), 0o600); err != nil {
		t.Skip("no pipes here: ", err)
	}
	got := report(t, Folder{"pack", os.DirFS(dir)})
	if want := "pack/a.yaml: cannot be read: not a regular file\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}
