package proof

import (
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"
	"unicode"

	"github.com/google/go-cmp/cmp"

	"culprit/engine/rulefile"
)

const docsPath = "../../docs/proofreading.md"

// The table of the docs says what the records say.
func TestDocsAreUpToDate(t *testing.T) {
	b, err := os.ReadFile(docsPath)
	if err != nil {
		t.Fatal(err)
	}
	const begin, end = "<!-- generated: kinds -->\n", "<!-- end: kinds -->\n"
	before, rest, ok := strings.Cut(string(b), begin)
	_, after, closed := strings.Cut(rest, end)
	if !ok || !closed {
		t.Fatalf("%s wants %q and %q after it", docsPath, begin, end)
	}
	var table strings.Builder
	table.WriteString("\n| kind | what it is | why it matters |\n|---|---|---|\n")
	for _, k := range Kinds() {
		table.WriteString("| `" + k.ID + "` | " + k.Title + " | " + k.Why + " |\n")
	}
	want := before + begin + table.String() + "\n" + end + after
	if *update {
		if err := os.WriteFile(docsPath, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		b = []byte(want)
	}
	if diff := cmp.Diff(want, string(b)); diff != "" {
		t.Errorf("the docs are not what the records say; run the test with -update (-records +docs):\n%s", diff)
	}
}

func TestKindsTellThemselves(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range Kinds() {
		if seen[k.ID] {
			t.Errorf("%s is there twice", k.ID)
		}
		seen[k.ID] = true
		if got, ok := Explain(k.ID); !ok || got != k {
			t.Errorf("%s is explained as %v", k.ID, got)
		}
		if k.Title == "" || unicode.IsUpper(rune(k.Title[0])) || strings.HasSuffix(k.Title, ".") {
			t.Errorf("%s has the title %q", k.ID, k.Title)
		}
		if !strings.HasSuffix(k.Why, ".") || strings.Contains(k.Why, "|") || k.Bad == k.Good || k.Bad == "" {
			t.Errorf("%s is not told in full", k.ID)
		}
	}
	if _, ok := Explain("never-hold"); ok {
		t.Error("a kind that nobody knows is explained")
	}
}

// The pack that a trainer types from the reference is in order, so that it teaches no bad habits.
func TestPackOfTheReferenceIsClean(t *testing.T) {
	b, err := os.ReadFile("../../docs/rule-files.md")
	if err != nil {
		t.Fatal(err)
	}
	files := fstest.MapFS{}
	for _, m := range regexp.MustCompile("(?ms)^```yaml\n(# ([a-z-]+\\.yaml)\n.*?)^```\n").FindAllStringSubmatch(string(b), -1) {
		files[m[2]] = &fstest.MapFile{Data: []byte(m[1])}
	}
	p, err := rulefile.Load(rulefile.Folder{FS: files})
	if err != nil {
		t.Fatal(err)
	}
	if got := report(Read(p)); got != "" {
		t.Error(got)
	}
}
