package main

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"culprit/engine"
)

// shippedJobs are the example jobs, and those at which a browser looks.
func shippedJobs(t *testing.T) []string {
	t.Helper()
	var all []string
	for _, pattern := range []string{"../../cases/*.json", "testdata/browser/jobs/*.json"} {
		found, err := filepath.Glob(pattern)
		if err != nil || len(found) == 0 {
			t.Fatal("no jobs at", pattern, err)
		}
		all = append(all, found...)
	}
	return all
}

// drawSheet gives a sheet as HTML and as text.
func drawSheet(t *testing.T, pack *engine.Pack, job *engine.Job) (page, plain string) {
	t.Helper()
	s, err := newSheet(context.Background(), pack, job, "job1")
	if err != nil {
		t.Fatal(err)
	}
	var a, b bytes.Buffer
	if err := sheetDocument(&a, []*sheet{s}); err != nil {
		t.Fatal(err)
	}
	plainSheets(&b, []*sheet{s})
	return a.String(), b.String()
}

func parseFile(t *testing.T, pack *engine.Pack, file string) *engine.Job {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	job, err := pack.ParseJob(file, text)
	if err != nil {
		t.Fatal(err)
	}
	return job
}

func openPack(t *testing.T, name string) *engine.Pack {
	t.Helper()
	pack, err := engine.Open(engine.Sources{Pack: name})
	if err != nil {
		t.Fatal(err)
	}
	return pack
}

var styleElement = regexp.MustCompile(`(?s)<style>.*?</style>`)

// TestSheetGoldens holds the sheets of the shipped jobs, without the stylesheet; what
// they look like is for testdata/browser.
func TestSheetGoldens(t *testing.T) {
	pack := openPack(t, "")
	for _, file := range shippedJobs(t) {
		name := strings.TrimSuffix(filepath.Base(file), ".json")
		if name == "awkward" {
			continue // its note is long and says nothing
		}
		t.Run(name, func(t *testing.T) {
			page, plain := drawSheet(t, pack, parseFile(t, pack, file))
			page = styleElement.ReplaceAllString(page, "<style></style>")
			holdFile(t, "testdata/sheet/"+name+".html", page)
			holdFile(t, "testdata/sheet/"+name+".txt", plain)
		})
	}
}

func holdFile(t *testing.T, path, now string) {
	t.Helper()
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(now), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	was, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(was), now); diff != "" {
		t.Errorf("%s (-file +program); run go test ./cmd/culprit -update:\n%s", path, diff)
	}
}

// told makes of a page the words that it says, in one line.
func told(page string) string {
	return oneLine(html.UnescapeString(tags.ReplaceAllString(styleElement.ReplaceAllString(page, " "), " ")))
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

var tags = regexp.MustCompile(`<[^>]*>`)

// TestSheetLeavesNothingOut: every reading, fault, set-up point, caution, piece of
// evidence and doubt of the verdict stands on the sheet, as HTML and as text; and
// so do what was done, what changed and what is to be taken again.
func TestSheetLeavesNothingOut(t *testing.T) {
	pack := openPack(t, "")
	for _, file := range shippedJobs(t) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			job := parseFile(t, pack, file)
			v, err := pack.Diagnose(context.Background(), job, engine.Options{Most: len(leadingIn(t, pack, job))})
			if err != nil {
				t.Fatal(err)
			}
			page, plain := drawSheet(t, pack, job)
			for form, text := range map[string]string{"HTML": told(page), "text": oneLine(plain)} {
				for what, words := range wanted(v) {
					if words = oneLine(clean(words)); !strings.Contains(text, words) {
						t.Errorf("%s lacks %s: %q", form, what, words)
					}
				}
			}
		})
	}
}

func leadingIn(t *testing.T, pack *engine.Pack, job *engine.Job) []engine.Fault {
	t.Helper()
	v, err := pack.Diagnose(context.Background(), job, engine.Options{Most: mostLeading})
	if err != nil {
		t.Fatal(err)
	}
	return append(leadingFaults(v), make([]engine.Fault, max(0, 1-len(leadingFaults(v))))...)
}

// wanted lists what a sheet must say, by what it is.
func wanted(v *engine.Verdict) map[string]string {
	out := map[string]string{"notice": v.Notice, "car": v.Vehicle.Label}
	for _, r := range v.Readings {
		out["reading "+r.Reading] = r.Label
		if r.Kind == "number" || r.Kind == "choice" {
			out["value of "+r.Reading] = r.Text
		}
		if r.Limits != nil {
			out["limits of "+r.Reading] = r.Limits.Text
		}
	}
	for _, x := range v.SetUp {
		out["set-up "+x.Reading] = x.Label
		out["what to do about "+x.Reading] = x.Do
	}
	for _, f := range v.Faults {
		out["fault "+f.Fault] = f.Label
		if f.Detail == nil {
			continue
		}
		if v.FollowUp == nil {
			for _, e := range append(f.Detail.For, f.Detail.Against...) {
				out["evidence "+e.Rule+" on "+f.Fault] = e.Says
			}
			if r := f.Detail.Repair; r != nil {
				out["repair of "+f.Fault] = r.Do
			}
		}
	}
	for _, c := range v.Cautions {
		if v.FollowUp == nil || strings.Contains(fmt.Sprint(v.FollowUp.NotAgain), c.Caution) {
			out["caution "+c.Caution] = c.Text
		}
	}
	for _, u := range v.Unexplained {
		out["unexplained "+u.Rule] = u.Says
	}
	for i, d := range v.Doubtful {
		out[fmt.Sprint("doubt ", i)] = d.Text
	}
	if f := v.FollowUp; f != nil {
		for _, d := range f.Repaired {
			out["repaired "+d.Fault], out["found "+d.Fault] = d.Label, d.Found
		}
		for _, c := range f.Changes {
			out["before of "+c.Reading], out["after of "+c.Reading] = c.Before, c.After
		}
		for _, n := range f.NotAgain {
			out["not again "+n.Reading] = n.Label
			if n.Check != nil {
				out["check for "+n.Reading] = n.Check.Label
			}
		}
		for _, o := range append(append(f.StillOdd, f.Cleared...), f.Open...) {
			out["odd "+o.Rule] = o.Says
		}
	}
	return out
}

// TestSheetCautionsStandWithTheirWork: each check and each repair on a sheet has all
// of its cautions and no other, unless it is a check that is told of below with them.
func TestSheetCautionsStandWithTheirWork(t *testing.T) {
	pack := openPack(t, "")
	texts := map[string]string{}
	for _, c := range pack.List() {
		if c.Kind == "caution" {
			texts[c.ID] = c.Label
		}
	}
	all := func(ids []string) []string {
		out := []string{}
		for _, id := range ids {
			out = append(out, texts[id])
		}
		return out
	}
	hold := func(what string, got, ids []string) {
		t.Helper()
		if diff := cmp.Diff(all(ids), append([]string{}, got...)); diff != "" {
			t.Errorf("%s (-rules +sheet):\n%s", what, diff)
		}
	}
	checked := 0
	for _, file := range shippedJobs(t) {
		job := parseFile(t, pack, file)
		s, err := newSheet(context.Background(), pack, job, "job1")
		if err != nil {
			t.Fatal(err)
		}
		v, err := pack.Diagnose(context.Background(), job, engine.Options{Most: mostLeading})
		if err != nil {
			t.Fatal(err)
		}
		next, err := pack.Next(context.Background(), job, engine.NextOptions{Most: -1})
		if err != nil {
			t.Fatal(err)
		}
		below := map[string]bool{}
		for _, c := range s.Checks {
			below[c.Label] = true
			for _, n := range next.Checks {
				if n.Check.Check == c.ID {
					hold("check "+c.ID, c.Cautions, n.Cautions)
					checked++
				}
			}
		}
		for i, l := range s.Leading {
			d := v.Faults[i].Detail
			if l.Repair != nil {
				hold("repair of "+l.ID, l.Repair.Cautions, d.Repair.Cautions)
				checked++
			}
			if l.Settle != nil {
				hold("check that settles "+l.ID, l.Settle.Cautions, d.Settle.Cautions)
				if l.Settle.Elsewhere && !below[l.Settle.Do] {
					t.Errorf("%s is said to be told of below and is not", l.Settle.Do)
				}
			}
		}
	}
	if checked < 10 {
		t.Errorf("only %d checks and repairs were held", checked)
	}
}
