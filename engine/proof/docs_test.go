package proof

import (
	"os"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"
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
