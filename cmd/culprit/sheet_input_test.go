package main

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"culprit/cases"
	"culprit/engine"
)

// TestSheetEscapes: what people wrote is text on the page, and shows where it would
// turn the direction of what follows.
func TestSheetEscapes(t *testing.T) {
	pack := openPack(t, "")
	for _, c := range []struct{ reason, text, page string }{
		{"a script is no script", `<script>alert(1)</script>`, `&lt;script&gt;alert(1)&lt;/script&gt;`},
		{"nor does it end the stylesheet", `</style><b>`, `&lt;/style&gt;&lt;b&gt;`},
		{"nor an attribute", `" onload="x`, `&#34; onload=&#34;x`},
		{"an entity stays as typed", `&amp;`, `&amp;amp;`},
		{"the direction of text is not turned", "a\u202eb\u2066c", "a\ufffdb\ufffdc"},
		{"nor hidden", "a\u200bb\u00adc", "a\ufffdb\ufffdc"},
		{"a terminal is not steered", "a\x1b[31mb", "a\ufffd[31mb"},
		{"a template is not one", "{{.Title}}", "{{.Title}}"},
		{"right to left script is left as it is", "שלום", "<bdi>שלום</bdi>"},
	} {
		job := &engine.Job{Name: c.text, Note: c.text, Vehicle: "brackenby-1800", Readings: map[string]engine.Value{"idle_speed": engine.Number(850)}}
		job.AfterRepair([]string{"unmeasured-air"}, "test")
		last := &job.Sets[len(job.Sets)-1]
		last.Label, last.Note, last.Found = "now "+c.text, c.text, c.text
		page, plain := drawSheet(t, pack, job)
		if n := strings.Count(page, c.page); n < 4 {
			t.Errorf("%s: stands %d times on the page", c.reason, n)
		}
		for _, bad := range []string{"<script", "<b>", ` onload="`, "\u202e", "\u200b", "\x1b"} {
			if strings.Contains(page, bad) || strings.Contains(plain, bad) && !strings.HasPrefix(bad, "<") && !strings.HasPrefix(bad, " ") {
				t.Errorf("%s: there is %q", c.reason, bad)
			}
		}
	}
}

// TestSheetOfCases: cars of the shipped cases have a sheet, of either pack.
func TestSheetOfCases(t *testing.T) {
	for _, name := range engine.ShippedPacks() {
		pack := openPack(t, name)
		all, err := cases.Shipped(name)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range all {
			if i%8 != 0 {
				continue // an advice for each takes a quarter of a second
			}
			page, plain := drawSheet(t, pack, c.Job)
			page, words := told(page), oneLine(plain)
			for _, f := range pack.List() {
				if f.Kind == "fault" && (!strings.Contains(page, oneLine(f.Label)) || !strings.Contains(words, oneLine(f.Label))) {
					t.Errorf("%s: no %s", c.ID, f.ID)
				}
			}
			for _, line := range strings.Split(plain, "\n") {
				if len([]rune(line)) > plainWidth {
					t.Errorf("%s: wider than %d: %q", c.ID, plainWidth, line)
				}
			}
		}
	}
}

// bigPack has readings without end, some with long labels, each with a rule.
func bigPack(t *testing.T, readings int) *engine.Pack {
	t.Helper()
	var b strings.Builder
	b.WriteString("faults:\n  broken: {label: Something is broken, per_1000: 100}\nreadings:\n")
	for i := range readings {
		fmt.Fprintf(&b, "  r%d: {label: %q, unit: mA, plausible: {from: -100, to: 100}, accuracy: {within: 1}}\n", i, fmt.Sprint("Reading ", i, strings.Repeat(" long", i%30)))
	}
	b.WriteString("vehicles:\n  big: {label: A big car, spec: {")
	for i := range readings {
		fmt.Fprintf(&b, "r%d: {from: -5, to: 5}, ", i)
	}
	b.WriteString("}}\nrules:\n")
	for i := range readings {
		fmt.Fprintf(&b, "  high%d: {says: %q, when: high(r%d), shows: {broken: 0.2}, otherwise: 0.15, because: so}\n", i, fmt.Sprint("Reading ", i, " is high"), i)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "big.yaml"), []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	pack, err := engine.Open(engine.Sources{Pack: dir})
	if err != nil {
		t.Fatal(err)
	}
	return pack
}

// TestSheetOfManyReadings: 300 readings and a note of 10,000 characters are all on
// the sheet; the drawing of the way to them shows the weightiest and counts the rest.
func TestSheetOfManyReadings(t *testing.T) {
	const n = 300
	pack := bigPack(t, n)
	r := rand.New(rand.NewPCG(1, 2))
	job := &engine.Job{Name: strings.Repeat("name ", 100), Note: strings.Repeat("note ", 2000), Vehicle: "big", Readings: map[string]engine.Value{}}
	for i := range n {
		job.Readings[fmt.Sprint("r", i)] = engine.Number(60*r.Float64() - 30)
	}
	page, plain := drawSheet(t, pack, job)
	if got := strings.Count(page, `<svg class="gauge"`); got != n {
		t.Errorf("%d gauges for %d readings", got, n)
	}
	if !strings.Contains(told(page), "more in the table") {
		t.Error("nobody says that the drawing leaves something out")
	}
	page, plain = told(page), oneLine(plain)
	for i := range n {
		label := fmt.Sprint("Reading ", i, strings.Repeat(" long", i%30))
		if !strings.Contains(page, label) || !strings.Contains(plain, label) {
			t.Errorf("%q is lacking", label)
		}
	}
}

// TestSheetFiles: a file is whole or not there, and replaced only where that is
// asked for.
func TestSheetFiles(t *testing.T) {
	t.Chdir(t.TempDir())
	s := &stdio{out: io.Discard, err: io.Discard}
	put := func(replace bool, path, text string) error {
		return (&sheetFiles{replace: replace}).put(s, path, []byte(text))
	}
	read := func(path string) string { text, _ := os.ReadFile(path); return string(text) }
	if err := put(false, "new/a.html", "first"); err != nil || read("new/a.html") != "first" {
		t.Errorf("a new file: %v, %q", err, read("new/a.html"))
	}
	if err := put(false, "new/a.html", "second"); err == nil || read("new/a.html") != "first" {
		t.Errorf("a file that is there: %v, %q", err, read("new/a.html"))
	}
	os.Chmod("new/a.html", 0o600)
	if err := put(true, "new/a.html", "third"); err != nil || read("new/a.html") != "third" {
		t.Errorf("replaced: %v, %q", err, read("new/a.html"))
	}
	if info, _ := os.Stat("new/a.html"); info.Mode().Perm() != 0o600 {
		t.Errorf("who may read it has changed: %v", info.Mode())
	}
	if err := os.Symlink("a.html", "new/link.html"); err != nil {
		t.Fatal(err)
	}
	if err := put(true, "new/link.html", "fourth"); err != nil || read("new/a.html") != "fourth" {
		t.Errorf("through a link: %v, %q", err, read("new/a.html"))
	}
	if err := put(false, "new/link.html", "fifth"); err == nil {
		t.Error("a link was written through unasked")
	}
	os.Mkdir("folder", 0o755)
	if err := put(true, "folder", "x"); err == nil {
		t.Error("a folder was replaced")
	}
	left, _ := filepath.Glob("new/.*")
	if len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
}

// TestSheetStopsWhenAsked: an end that is asked for ends it.
func TestSheetStopsWhenAsked(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := newSheet(ctx, openPack(t, ""), &engine.Job{}, "job1"); err == nil {
		t.Error("it went on")
	}
}
