package rulefile

import (
	"strings"
	"testing"
	"unicode"

	"culprit/engine/source"
)

func TestTablesNameEveryThingOnce(t *testing.T) {
	var things []string
	for s := range Tables() {
		things = append(things, s.Thing)
	}
	want := "rule file, pack, last resort, reading, plausible range, accuracy, set-up, condition, fault, link, repair, rule, check, preparation, vehicle, spec"
	if got := strings.Join(things, ", "); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	for range Tables() {
		break // a caller may stop
	}
}

// Every key has a line of help in the house style, which the reference of keys shows.
func TestKeysExplainThemselves(t *testing.T) {
	for s := range Tables() {
		for _, k := range s.Keys {
			if k.Doc == "" || unicode.IsUpper(rune(k.Doc[0])) && !strings.HasPrefix(k.Doc, "±") || strings.HasSuffix(k.Doc, ".") || len(k.Doc) > 90 {
				t.Errorf("key %q of %s is explained as %q", k.Name, s.Thing, k.Doc)
			}
			if k.Shape == nil || k.Shape.Name == "" {
				t.Errorf("key %q of %s has no type", k.Name, s.Thing)
			}
		}
	}
}

// The tests of loading use every key, so that none is forgotten when one is added.
func TestEveryKeyIsUsed(t *testing.T) {
	for s := range Tables() {
		for _, k := range s.Keys {
			if !strings.Contains(everyKey, k.Name+":") {
				t.Errorf("key %q of %s is not in the pack of the tests", k.Name, s.Thing)
			}
		}
	}
}

func TestHowOften(t *testing.T) {
	// From the project's design, section 3; the figures are judgement.
	want := map[string]float64{
		"always": 0.99, "nearly-always": 0.95, "usually": 0.80, "often": 0.60, "sometimes": 0.30, "seldom": 0.10, "rarely": 0.03, "hardly-ever": 0.01,
	}
	last := 1.0
	n := 0
	for word, p := range HowOften {
		if want[word] != p || p >= last {
			t.Errorf("%s is %v after %v, want %v", word, p, last, want[word])
		}
		last = p
		n++
	}
	if n != len(want) {
		t.Errorf("%d words, want %d", n, len(want))
	}
	for range HowOften {
		break // a caller may stop
	}
	if s := howOften.Shape.Choices[0]; s.Form != source.FormWord || len(s.Words) != len(want) {
		t.Errorf("the shape of how often: %+v", s)
	}
}
