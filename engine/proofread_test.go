package engine

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

// Packs that cannot be read, or that are dear to read: a clear finding each, in bounded time.
func TestProofreadBadInput(t *testing.T) {
	const head = "readings: {a: {label: A, plausible: {from: 0, to: 9}}}\nfaults: {f: {label: F, per_1000: 1}}\nrules:\n"
	var many, group strings.Builder
	for i := range 3000 {
		fmt.Fprintf(&many, "  r%d: {says: R, when: a > %d.%04d, shows: {f: often}, otherwise: rarely}\n", i, i%9, i)
	}
	group.WriteString("conditions: {c: {label: C, states: {s: S}}}\n" + head)
	for i := range 400 {
		fmt.Fprintf(&group, "  r%d: {says: R, when: a > %d and a < %d.5, shows: {c.s: 0}, otherwise: 0, alternatives: g, because: B}\n", i, i%9, i%9)
	}
	// Five pigeons in four holes, no two in one: nothing satisfies it, and finding that out takes too many cases.
	hard := "a < 8"
	pigeons := "readings: {a: {label: A, plausible: {from: 0, to: 9}}"
	for i := range 5 {
		pigeons += fmt.Sprintf(", w%d: {label: W, kind: choice, among: [h0, h1, h2, h3]}", i)
		for j := range i {
			for h := range 4 {
				hard += fmt.Sprintf(" and not (w%d == 'h%d' and w%d == 'h%d')", i, h, j, h)
			}
		}
	}
	pigeons += "}\nfaults: {f: {label: F, per_1000: 1}}\nrules:\n"
	for _, row := range []struct{ reason, file, text, kind, want string }{
		{"no rule files", "readme.txt", "hello", "unreadable", "no rule files in this folder"},
		{"an empty file", "a.yaml", "", "unreadable", "the file is empty"},
		{"ten megabytes", "a.yaml", strings.Repeat("cautions: {}\n", 800_000), "unreadable", "the file has more than 1048576 bytes"},
		{"a binary file", "a.yaml", "\x7fELF\x02\x01\x00", "refused", "control character"},
		{"an alias bomb", "a.yaml", "cautions: &a {x: y}\nreadings: &b [*a,*a,*a,*a]\nrules: &c [*b,*b,*b,*b]\nfaults: [*c,*c,*c,*c]\n", "refused", "anchors are not used here"},
		{"ten thousand terms", "a.yaml", head + "  r: {says: R, when: \"a" + strings.Repeat(" + a", 10_000) + " > 1\", shows: {f: often}, otherwise: rarely}\n", "refused", "the limit is 8192"},
		{"three thousand rules", "a.yaml", head + many.String(), "no-because", "has no \"because\""},
		{"eighty thousand pairs of alternatives", "a.yaml", group.String(), "not-exclusive", "more than 1000 pairs of alternatives"},
		{"a rule that falls into many cases", "a.yaml", pigeons + "  r: {says: R, when: \"" + hard + "\", shows: {f: often}, otherwise: rarely}\n", "no-because", "has no \"because\""},
	} {
		t.Run(row.reason, func(t *testing.T) {
			dir := t.TempDir()
			if err := os.WriteFile(filepath.Join(dir, row.file), []byte(row.text), 0o600); err != nil {
				t.Fatal(err)
			}
			findings, err := Proofread(Sources{Pack: dir})
			if err != nil {
				t.Fatal(err)
			}
			found := false
			for _, f := range findings {
				found = found || f.Kind == row.kind && strings.Contains(f.Text, row.want) && f.File != ""
			}
			if !found || len(findings) > maxFindings {
				t.Errorf("%d findings, of which none is %q: %.300v", len(findings), row.want, findings)
			}
		})
	}
}

func TestProofreadOfWhatIsNotThere(t *testing.T) {
	_, err := Proofread(Sources{Pack: filepath.Join(t.TempDir(), "nowhere")})
	if !errors.Is(err, ErrNoPack) {
		t.Errorf("got %v", err)
	}
	_, err = Proofread(Sources{Add: []string{filepath.Join(t.TempDir(), "nowhere")}})
	if !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("got %v", err)
	}
	lost := t.TempDir()
	if err := os.Symlink("nowhere", filepath.Join(lost, "a.yaml")); err != nil {
		t.Skip("no links here: ", err)
	}
	findings, err := Proofread(Sources{Pack: lost})
	if err != nil || len(findings) != 1 || !findings[0].Unread() || !strings.Contains(findings[0].Text, "no such file") {
		t.Errorf("got %v, %v", findings, err)
	}
}

// The docs name every key of a finding.
func TestFindingKeysAreDocumented(t *testing.T) {
	docs, err := os.ReadFile("../docs/proofreading.md")
	if err != nil {
		t.Fatal(err)
	}
	for f := range reflect.TypeFor[Finding]().Fields() {
		key, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.IsExported() && !strings.Contains(string(docs), "`"+key+"`") {
			t.Errorf("docs/proofreading.md says nothing of %q", key)
		}
	}
}
