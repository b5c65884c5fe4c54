package rulefile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"culprit/engine/source"
)

// closed is a folder of which nothing can be read, or only the names.
type closed struct{ names fs.FS }

func (c closed) Open(name string) (fs.File, error) {
	if name == "." && c.names != nil {
		return c.names.Open(".")
	}
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrPermission}
}

func (c closed) Stat(name string) (fs.FileInfo, error) { return fs.Stat(c.names, name) }

func TestFoldersThatCannotBeLoaded(t *testing.T) {
	many := make([]string, 0, 2*(MaxFiles+1))
	for i := range MaxFiles + 1 {
		many = append(many, fmt.Sprintf("%04d.yaml", i), "cautions: {heat: Hot parts.}\n")
	}
	big := "# " + strings.Repeat("x", source.MaxBytes-4) + "\n"
	var heavy []string
	for i := range MaxBytes/len(big) + 1 {
		heavy = append(heavy, fmt.Sprintf("%d.yaml", i), big)
	}
	distinct := reasons(t)
	for _, row := range []struct {
		reason  string
		folders []Folder
		want    string // the first lines of the report, sorted
	}{
		{"no folder", nil, "?: no folder with rule files was named\n"},
		{"an empty folder", []Folder{folder("packs/mine")}, "packs/mine: no rule files in this folder\n    rule files have names that end in .yaml or .yml\n"},
		{"a folder without rule files", []Folder{folder("", "readme.txt", "hello")}, ".: no rule files in this folder\n"},
		{"a folder that cannot be read", []Folder{{"packs/mine", closed{}}}, "packs/mine: the folder cannot be read: permission denied\n"},
		{"a file that cannot be read", []Folder{{"packs/mine", closed{fstest.MapFS{"a.yaml": {}}}}}, "packs/mine/a.yaml: cannot be read: permission denied\n"},
		{"a folder that is not there", []Folder{{"packs/none", os.DirFS(filepath.Join(t.TempDir(), "none"))}}, "packs/none: the folder cannot be read: no such file or directory\n"},
		{"an empty file", []Folder{folder("", "a.yaml", "")}, "a.yaml: the file is empty\n"},
		{"a file of comments", []Folder{folder("", "a.yaml", "# later\n")}, "a.yaml: the file is empty\n"},
		{"a binary file", []Folder{folder("", "a.yaml", "\x7fELF\x02\x01\x00")}, "a.yaml:1:1: the control character U+007F\n"},
		{"a file of NUL bytes", []Folder{folder("", "a.yaml", "a: b\n\x00\x00")}, "a.yaml:2:1: a NUL byte: this is not a text file\n"},
		{"a list for a file", []Folder{folder("", "a.yaml", "- a\n")}, "a.yaml:1:1: wanted a mapping with the keys of a rule file here, not a list\n"},
		{"ten megabytes", []Folder{folder("", "a.yaml", strings.Repeat("cautions: {}\n", 800_000))}, "a.yaml: the file has more than 1048576 bytes\n"},
		{"too many files", []Folder{folder("many", many...)}, "many: more than 500 rule files in one pack\n"},
		{"too many bytes in all", []Folder{folder("", heavy...)}, "0.yaml: the file is empty\n"},
	} {
		distinct(row.reason)
		t.Run(row.reason, func(t *testing.T) {
			got := report(t, row.folders...)
			if !strings.HasPrefix(got, row.want) {
				t.Errorf("got\n%s\nwant\n%s", got, row.want)
			}
		})
	}
	if got, want := report(t, folder("", heavy...)), "8.yaml: the pack has more than 8388608 bytes up to this file\n"; !strings.Contains(got, want) {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// Links to files are followed, as people keep shared rules that way.
func TestLinksAreFollowed(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "shared"), []byte("cautions: {heat: Hot parts.}\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("shared", filepath.Join(dir, "a.yaml")); err != nil {
		t.Skip("no links here: ", err)
	}
	if p, err := Load(Folder{"pack", os.DirFS(dir)}); err != nil || p.Caution("heat") == nil {
		t.Errorf("got %v", err)
	}
}

// hostilePacks are built to be dear to load or to report on.
func hostilePacks() []hostile {
	repeat := func(most int, line func(i int) string) string {
		var b strings.Builder
		for i := 0; i < most; i++ {
			l := line(i)
			if b.Len()+len(l) > source.MaxBytes-100 {
				break
			}
			b.WriteString(l)
		}
		return b.String()
	}
	return []hostile{
		{"a rule of ten thousand terms", "readings: {a: {label: A}}\nrules:\n  r: {says: R, when: \"a" + strings.Repeat(" + a", 10_000) + " > 1\", shows: {}, otherwise: rarely}\n",
			"an expression of 40005 bytes; the limit is 8192"},
		{"an expression of many brackets", "readings: {a: {label: A}}\nrules:\n  r: {says: R, when: \"" + strings.Repeat("(", 4000) + "a" + strings.Repeat(")", 4000) + "\", shows: {}, otherwise: rarely}\n",
			"a.yaml:3:"},
		{"a long chain of derived readings", "readings:\n  r0: {label: R}\n" + repeat(5000, func(i int) string { return fmt.Sprintf("  r%d: {label: R, from: r%d}\n", i+1, i) }) + "x: y\n",
			"unknown key \"x\""},
		{"a long cycle of derived readings", "readings:\n  r0: {label: R, from: r5000}\n" + repeat(5000, func(i int) string { return fmt.Sprintf("  r%d: {label: R, from: r%d}\n", i+1, i) }),
			"\"r0\" is worked out from itself: r0 -> r5000 -> r4999 -> r4998 -> r4997 -> r4996 -> r4995 -> r4994 -> r4993 -> … -> r0"},
		{"thousands of cycles", "readings:\n  r0: {label: R, from: r5000}\n" + repeat(5000, func(i int) string { return fmt.Sprintf("  r%d: {label: R, from: r%d + r%d + r%d}\n", i+1, i, i/2, i/3) }),
			"is worked out from itself"},
		{"thousands of unknown names among thousands of known", "cautions:\n" + repeat(10_000, func(i int) string { return fmt.Sprintf("  danger-number-%d: Beware.\n", i) }) +
			"checks:\n  c: {label: C, minutes: 1, yields: [" + repeat(10_000, func(i int) string { return fmt.Sprintf("unknown_%d, ", i) }) + "], cautions: [" +
			repeat(10_000, func(i int) string { return fmt.Sprintf("dangr-numbr-%d, ", i) }) + "]}\n",
			"unknown reading \"unknown_0\""},
		{"thousands of expressions with unknown names among thousands of known", "readings:\n" + repeat(6_000, func(i int) string { return fmt.Sprintf("  measured_value_%d: {label: R}\n", i) }) +
			"rules:\n" + repeat(5_000, func(i int) string {
			return fmt.Sprintf("  r%d: {says: R, when: measurd_valu_%d > 1, shows: {}, otherwise: rarely}\n", i, i)
		}),
			"there is no reading \"measurd_valu_0\""},
		{"one line of quoted wide letters and unknown keys", "{" + repeat(40_000, func(i int) string { return fmt.Sprintf("'ä%d': b, ", i) }) + "}", "unknown key \"ä0\""},
		{"one fault of thousands of links", "faults:\n  f: {label: F, per_1000: 1, brings: [" + repeat(20_000, func(i int) string { return "{condition: c, state: s, how_often: often}, " }) + "]}\n",
			"more than 100000 keys and values in one file"},
		{"an alias bomb", "cautions: &a {x: y}\nreadings: &b [*a,*a,*a,*a,*a,*a,*a,*a]\nrules: &c [*b,*b,*b,*b,*b,*b,*b,*b]\nfaults: [*c,*c,*c,*c,*c,*c,*c,*c]\n",
			"the anchor \"&a\": anchors are not used here"},
		{"a number with many digits", "faults:\n  f: {label: F, per_1000: 0." + strings.Repeat("9", 500_000) + "e9}\n", "\"per_1000\" wants a number above 0 and below 1000"},
	}
}

type hostile struct{ reason, text, want string }

// Each is refused with a report that a person can read. How long it takes is told by BenchmarkHostilePack.
func TestHostilePacksAreRefused(t *testing.T) {
	distinct := reasons(t)
	for _, row := range hostilePacks() {
		distinct(row.reason)
		t.Run(row.reason, func(t *testing.T) {
			_, err := Load(folder("", "a.yaml", row.text))
			var problems source.Problems
			if !errors.As(err, &problems) {
				t.Fatalf("loaded: %v", err)
			}
			var b bytes.Buffer
			problems.Format(&b)
			if !strings.Contains(b.String(), row.want) {
				t.Errorf("got\n%.2000s\nwant %s", b.String(), row.want)
			}
			if b.Len() > 100_000 {
				t.Errorf("a report of %d bytes", b.Len())
			}
		})
	}
}

func BenchmarkHostilePack(b *testing.B) {
	for _, row := range hostilePacks() {
		b.Run(row.reason, func(b *testing.B) {
			for b.Loop() {
				_, err := Load(folder("", "a.yaml", row.text))
				var problems source.Problems
				if !errors.As(err, &problems) {
					b.Fatalf("loaded: %v", err)
				}
				problems.Format(io.Discard)
			}
		})
	}
}
