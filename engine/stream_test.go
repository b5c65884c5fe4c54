package engine

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// TestStreamIsRankOneByOne: thousands of lines give what each gives alone, in the
// same order, however many work on them.
func TestStreamIsRankOneByOne(t *testing.T) {
	p := shipped(t)
	many := 2000
	if testing.Short() {
		many = 150
	}
	lines := randomLines(t, many, 1)
	want := make([]string, many)
	for i, text := range lines {
		b, err := p.Brief(t.Context(), parse(t, text), BriefOptions{})
		if err != nil {
			t.Fatal(formatted(err))
		}
		b.Line = i + 1
		want[i] = encoded(t, b)
	}
	for workers, some := range map[int]int{1: many / 5, 2: many, 7: many / 5} {
		before := runtime.GOMAXPROCS(workers)
		got, sum := runStream(t, p, strings.Join(lines[:some], "\n"), StreamOptions{})
		runtime.GOMAXPROCS(before)
		if sum != (Summary{Jobs: some}) {
			t.Errorf("%d workers: %+v", workers, sum)
		}
		for i := range want[:some] {
			if got[i] != want[i] {
				t.Fatalf("%d workers, line %d:\n%s%s", workers, i+1, got[i], want[i])
			}
		}
	}
}

// TestBriefIsOfTheVerdict: a brief record has the verdict's own numbers, and warns
// of what the verdict tells.
func TestBriefIsOfTheVerdict(t *testing.T) {
	p := shipped(t)
	seen := map[string]int{}
	for _, text := range randomLines(t, 150, 2) {
		j := parse(t, text)
		v := diagnose(t, p, j)
		b, err := p.Brief(t.Context(), j, BriefOptions{Most: 7})
		if err != nil {
			t.Fatal(err)
		}
		want := &Brief{Version: BriefVersion, Name: v.Name, NoFault: v.NoFault, Warnings: []Warning{}}
		for _, f := range v.Faults[:7] {
			want.Faults = append(want.Faults, Likely{f.Fault, f.Probability})
		}
		ids := map[string][]string{}
		for _, x := range v.SetUp {
			if x.Known {
				ids[WarnSetUp] = append(ids[WarnSetUp], x.Reading)
			}
		}
		waited := map[string]bool{}
		for _, x := range v.Waiting {
			for _, l := range x.Lacks {
				waited[l.Reading] = true
			}
		}
		for _, r := range p.rules.Readings {
			if waited[r.ID] {
				ids[WarnWaiting] = append(ids[WarnWaiting], r.ID)
			}
		}
		for _, d := range v.Doubtful {
			ids[WarnDoubtful] = append(ids[WarnDoubtful], d.Reading)
		}
		for _, kind := range []string{WarnSetUp, WarnWaiting, WarnDoubtful} {
			if len(ids[kind]) > 0 {
				want.Warnings = append(want.Warnings, Warning{Kind: kind, Readings: ids[kind]})
				seen[kind]++
			}
		}
		if v.Conflict.Measure >= 0.1 {
			want.Warnings = append(want.Warnings, Warning{Kind: WarnConflict, Readings: []string{}, Measure: &v.Conflict.Measure})
			seen[WarnConflict]++
		}
		if diff := cmp.Diff(want, b, cmpopts.EquateApprox(1e-11, 1e-11)); diff != "" {
			t.Fatalf("%s (-verdict +brief):\n%s", text, diff)
		}
	}
	for _, kind := range []string{WarnSetUp, WarnWaiting, WarnDoubtful, WarnConflict} {
		if seen[kind] == 0 {
			t.Errorf("no job warns of %q: the test has not tried it", kind)
		}
	}
}

// TestFullIsTheVerdict: --full is what rank prints, on one line.
func TestFullIsTheVerdict(t *testing.T) {
	p := shipped(t)
	lines := randomLines(t, 40, 3)
	got, _ := runStream(t, p, strings.Join(lines, "\n"), StreamOptions{Full: true, Most: 2, File: "jobs.jsonl", Vehicle: "ostrel-2000"})
	for i, text := range lines {
		j := parse(t, text)
		j.UseVehicle("ostrel-2000", "test")
		v, err := p.Diagnose(t.Context(), j, Options{Most: 2})
		if err != nil {
			t.Fatal(err)
		}
		if want := encoded(t, FullRecord{File: "jobs.jsonl", Line: i + 1, Verdict: v}); got[i] != want {
			t.Fatalf("line %d:\n%s%s", i+1, got[i], want)
		}
	}
}

// TestStreamNext: what to do next is what Next says.
func TestStreamNext(t *testing.T) {
	p := shipped(t)
	n := 6
	if testing.Short() {
		n = 2
	}
	lines := append(randomLines(t, n, 4), strings.ReplaceAll(strings.ReplaceAll(twentyReadings, "\n", ""), "\t", ""))
	got, _ := runStream(t, p, strings.Join(lines, "\n"), StreamOptions{Next: true})
	full, _ := runStream(t, p, lines[n], StreamOptions{Next: true, Full: true})
	for i, text := range lines {
		want, err := p.Next(t.Context(), parse(t, text), NextOptions{Most: 1})
		if err != nil {
			t.Fatal(err)
		}
		var b Brief
		if err := json.Unmarshal([]byte(got[i]), &b); err != nil {
			t.Fatal(err)
		}
		switch {
		case b.Next == nil || b.Next.Do != want.Do:
			t.Errorf("%s: next is %+v, not %s", text, b.Next, want.Do)
		case len(want.Checks) > 0 && (b.Next.Check != want.Checks[0].Check.Check || *b.Next.Saves != want.Checks[0].WithNext || *b.Next.Minutes != want.Checks[0].AsThingsAre):
			t.Errorf("%s: next is %+v, not %+v", text, b.Next, want.Checks[0])
		case want.Do == DoRepair && b.Next.Fault != want.Repair.Steps[0].Faults[0].Fault:
			t.Errorf("%s: next repairs %q", text, b.Next.Fault)
		}
		if i == n {
			var f struct{ Next *Next }
			if err := json.Unmarshal([]byte(full[0]), &f); err != nil || f.Next == nil || f.Next.Do != want.Do {
				t.Errorf("full: next is %+v, %v", f.Next, err)
			}
		}
	}
}

// TestBrokenLines: each of twenty kinds yields its error record in its place, and
// the lines around it are answered as ever.
func TestBrokenLines(t *testing.T) {
	fresh := reasons(t)
	p := shipped(t)
	good := randomLines(t, len(brokenLines)+1, 5)
	var text strings.Builder
	for i, c := range brokenLines {
		fresh(c.because)
		fmt.Fprintf(&text, "%s\n%s\n", good[i], c.text)
	}
	text.WriteString(good[len(good)-1])
	got, sum := runStream(t, p, text.String(), StreamOptions{MaxLine: 4096, File: "in"})
	if want := (Summary{Jobs: 2*len(brokenLines) + 1, Errors: len(brokenLines)}); sum != want {
		t.Errorf("%+v, want %+v", sum, want)
	}
	alone, _ := runStream(t, p, strings.Join(good, "\n\n"), StreamOptions{File: "in"})
	for i := range good {
		if got[2*i] != alone[i] {
			t.Errorf("line %d:\n%s%s", 2*i+1, got[2*i], alone[i])
		}
	}
	for i, c := range brokenLines {
		var r ErrorRecord
		if err := json.Unmarshal([]byte(got[2*i+1]), &r); err != nil {
			t.Fatal(err)
		}
		if r.Version != ErrorVersion || r.Line != 2*i+2 || r.File != "in" || r.Error.Kind != c.kind || len(r.Error.Problems) == 0 {
			t.Fatalf("%s: %s", c.because, got[2*i+1])
		}
		if first := r.Error.Problems[0]; first.Path != c.path || !strings.Contains(first.Message, c.says) {
			t.Errorf("%s: path %q, message %q", c.because, first.Path, first.Message)
		} else if strings.HasPrefix(first.Message, "readings.") {
			t.Errorf("%s: the path stands in the message, too: %q", c.because, first.Message)
		}
	}
}

// TestLineEnds: what ends a line, and what is none.
func TestLineEnds(t *testing.T) {
	fresh := reasons(t)
	p := shipped(t)
	const job = `{"readings": {"co": 1}}`
	for _, c := range []struct {
		because, text string
		lines         []int // of the records
		blank, errors int
	}{
		{"nothing at all", "", nil, 0, 0},
		{"no line feed at the end", job, []int{1}, 0, 0},
		{"a line feed at the end is no further line", job + "\n", []int{1}, 0, 0},
		{"empty lines, blank ones among them, keep their number", "\n" + job + "\n \t\n\n" + job + "\n\n", []int{2, 5}, 4, 0},
		{"carriage returns", job + "\r\n\r\n" + job + "\r\n", []int{1, 3}, 1, 0},
		{"a byte order mark on the first line", "\ufeff" + job + "\r\n" + job, []int{1, 2}, 0, 0},
		{"a byte order mark and no more", "\ufeff", nil, 1, 0},
		{"files that were put behind each other, each with a mark", "\ufeff" + job + "\n\ufeff" + job + "\n", []int{1, 2}, 0, 0},
		{"a zero byte in place of a line", job + "\n\x00\n" + job, []int{1, 2, 3}, 0, 1},
		{"a job over several lines", "{\n\"readings\": {}}\n", []int{1, 2}, 0, 2},
		{"as long as allowed", strings.Replace(job, "{", "{"+strings.Repeat(" ", 100-len(job)), 1) + "\n", []int{1}, 0, 0},
		{"as long as allowed, with both ends of a line", strings.Replace(job, "{", "{"+strings.Repeat(" ", 100-len(job)), 1) + "\r\n" + job, []int{1, 2}, 0, 0},
		{"longer by one, with both ends of a line", strings.Replace(job, "{", "{"+strings.Repeat(" ", 101-len(job)), 1) + "\r\n" + job, []int{1, 2}, 0, 1},
		{"longer by one", strings.Replace(job, "{", "{"+strings.Repeat(" ", 101-len(job)), 1) + "\n" + job, []int{1, 2}, 0, 1},
		{"longer than a read, and no end", strings.Repeat("x", 3*chunkBytes), []int{1}, 0, 1},
		{"a line that ends where a read ends", strings.Repeat(" ", chunkBytes-1) + "\n" + job, []int{1, 2}, 0, 1},
	} {
		fresh(c.because)
		for _, step := range []int{1 << 20, 1, 7} { // however it comes
			var out bytes.Buffer
			sum, err := p.Stream(t.Context(), steps{strings.NewReader(c.text), step}, &out, StreamOptions{MaxLine: 100})
			if err != nil {
				t.Fatal(err)
			}
			if want := (Summary{len(c.lines), c.errors, c.blank}); sum != want {
				t.Errorf("%s: %+v, want %+v: %s", c.because, sum, want, out.String())
			}
			d := json.NewDecoder(&out)
			for _, number := range c.lines {
				var r struct{ Line int }
				if err := d.Decode(&r); err != nil || r.Line != number {
					t.Errorf("%s: line %d, want %d: %v", c.because, r.Line, number, err)
				}
			}
		}
	}
}

// TestFailFast: the first error record is the last record.
func TestFailFast(t *testing.T) {
	p := shipped(t)
	lines := randomLines(t, 200, 6)
	lines[57], lines[58], lines[150] = "broken", "broken", "broken"
	got, sum := runStream(t, p, strings.Join(lines, "\n"), StreamOptions{FailFast: true})
	if sum != (Summary{Jobs: 58, Errors: 1}) || !strings.Contains(got[57], `"line":58,"error"`) {
		t.Errorf("%+v, %s", sum, got[len(got)-1])
	}
}

// TestStreamRefusesOptions: what makes no sense is told before anything is read.
func TestStreamRefusesOptions(t *testing.T) {
	p := shipped(t)
	for _, o := range []StreamOptions{{Vehicle: "brackenby"}, {MaxLine: -1}, {MaxLine: MostMaxLine + 1}} {
		in := strings.NewReader(`{"readings": {}}`)
		if sum, err := p.Stream(context.Background(), in, io.Discard, o); err == nil || sum != (Summary{}) || in.Len() != int(in.Size()) {
			t.Errorf("%+v: %+v, %v", o, sum, err)
		}
	}
}
