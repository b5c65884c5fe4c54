package engine

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"culprit/engine/belief"
	"culprit/engine/rulefile"
	"culprit/engine/source"
	"culprit/rules"
)

// DefaultPack is the pack that [Open] takes when none is named.
const DefaultPack = "continuous-injection"

// Sources says where the rules come from.
type Sources struct {
	Pack string   // name of a shipped pack, or a folder; "" is DefaultPack
	Add  []string // folders whose rules join the pack's
}

// Pack is a set of rules ready to reason with. It never changes.
type Pack struct {
	name  string
	rules *rulefile.Pack
	net   *belief.Network
	model belief.Model // what net was made of

	questions []question // of rules and links, each text once
	asking    []asking   // by rule
	findings  []finding  // by finding of the network
	links     []link     // by link of the network
	scratch   sync.Pool  // of *session
}

// ErrNoPack means that the base pack is neither shipped nor a folder.
var ErrNoPack = errors.New("no such pack")

// Open loads a pack with everything that is added to it. An error is a
// [Problems] where rule files are wrong, and wraps ErrNoPack or the system's
// error where a folder cannot be read.
func Open(from Sources) (*Pack, error) {
	name := from.Pack
	if name == "" {
		name = DefaultPack
	}
	base, err := baseFolder(name)
	if err != nil {
		return nil, err
	}
	folders := []rulefile.Folder{base}
	for _, dir := range from.Add {
		if err := isFolder(dir); err != nil {
			return nil, err
		}
		folders = append(folders, rulefile.Folder{Name: dir, FS: os.DirFS(dir)})
	}
	return load(name, folders)
}

// baseFolder finds a pack: a name without a separator is a shipped one first.
func baseFolder(name string) (rulefile.Folder, error) {
	if filepath.Base(name) == name {
		if shipped, err := fs.Sub(rules.FS, name); err == nil {
			if _, err := fs.Stat(shipped, "."); err == nil {
				return rulefile.Folder{Name: name, FS: shipped}, nil
			}
		}
	}
	err := isFolder(name)
	if errors.Is(err, fs.ErrNotExist) {
		hint := ""
		if near := source.Nearest(name, ShippedPacks()); near != "" {
			hint = fmt.Sprintf("; did you mean %q?", near)
		}
		return rulefile.Folder{}, fmt.Errorf("%q is neither a shipped pack nor a folder: %w%s", name, ErrNoPack, hint)
	}
	if err != nil {
		return rulefile.Folder{}, err
	}
	return rulefile.Folder{Name: name, FS: os.DirFS(name)}, nil
}

func isFolder(dir string) error {
	info, err := os.Stat(dir)
	if err != nil {
		return err
	}
	if !info.IsDir() {
		return fmt.Errorf("%q is a file, not a folder of rule files", dir)
	}
	return nil
}

// ShippedPacks lists the packs that the program carries.
func ShippedPacks() []string {
	entries, err := fs.ReadDir(rules.FS, ".")
	if err != nil {
		panic(err) // the packs are compiled in
	}
	var names []string
	for _, e := range entries {
		if e.IsDir() {
			names = append(names, e.Name())
		}
	}
	return names
}

func load(name string, folders []rulefile.Folder) (*Pack, error) {
	r, err := rulefile.Load(folders...)
	if err != nil {
		return nil, err
	}
	tidy(r)
	p := &Pack{name: name, rules: r}
	if err := p.connect(); err != nil {
		return nil, err
	}
	p.scratch.New = func() any { return &session{values: r.Scope.Values()} }
	return p, nil
}

// tidy takes the full stop off texts that go on in a sentence of a verdict, so
// that an author may write it or leave it.
func tidy(r *rulefile.Pack) {
	for _, x := range r.Rules {
		x.Says = phrase(x.Says)
	}
	for _, f := range r.Faults {
		if f.Repair != nil {
			f.Repair.Do = phrase(f.Repair.Do)
		}
	}
	for _, x := range r.Readings {
		if x.SetUp != nil {
			x.SetUp.Do = phrase(x.SetUp.Do)
		}
	}
}

func phrase(text string) string {
	if strings.HasSuffix(text, "..") {
		return text // dots that leave something open
	}
	return strings.TrimSuffix(text, ".")
}

// Name is the pack's name, or its folder.
func (p *Pack) Name() string { return p.name }

// Faults lists the ids of the pack's faults in its own order.
func (p *Pack) Faults() []string {
	ids := make([]string, len(p.rules.Faults))
	for i, f := range p.rules.Faults {
		ids[i] = f.ID
	}
	return ids
}
