package rulefile

import (
	"slices"
	"strings"
	"testing"
)

func TestFoldersAndFilesThatAreRead(t *testing.T) {
	const caution = "cautions: {heat: Hot parts.}\n"
	p, err := Load(
		folder("base", "a.yaml", caution, "notes.txt", "not: [yaml", "b.yml", "cautions: {fire: No flame.}\n", ".hidden.yaml", ":", "sub/c.yaml", ":", "backup.yaml~", ":"),
		folder("added", "a.yaml", "cautions: {fumes: Poison.}\n"),
	)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, c := range p.Cautions {
		got = append(got, c.At.String()+" "+c.ID)
	}
	if want := []string{"base/a.yaml:1:12 heat", "base/b.yml:1:12 fire", "added/a.yaml:1:12 fumes"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A byte order mark and CR LF change no place.
func TestLoadTakesFilesOfOtherEditors(t *testing.T) {
	p := load(t, "\ufeff"+strings.ReplaceAll(everyKey, "\n", "\r\n"))
	if at := p.Rule("current-high").WhenAt; at.Line != 40 || at.Column != 11 {
		t.Errorf("the rule's when stands at %v", at.Pos)
	}
	got := report(t, folder("", "a.yaml", "\ufeffcautions:\r\n  fire: 5\r\n"))
	if want := "a.yaml:2:9: \"fire\" wants text, not the number 5\n      fire: 5\n            ^\n    put quotes around it if it is meant as text\n"; got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
