package main

import (
	"bufio"
	"bytes"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

var streamLines = flag.Int("stream-lines", 3000, "how many lines TestManyLines sends; docs/stream.md has what came of a million")

// wrongLines are twenty ways of being wrong, with the kind of error.
var wrongLines = [20][2]string{
	{`{"readings": {"co": 1.9`, "broken"},
	{`{"readings": {}}}`, "broken"},
	{`{"readings": {}} {"readings": {}}`, "broken"},
	{`{"readings": {}},`, "broken"},
	{`co 1.9`, "broken"},
	{`[{"readings": {}}]`, "broken"},
	{`42`, "broken"},
	{`{}`, "broken"},
	{`{"readings": {}, "reading": 1}`, "broken"},
	{`{"readings": {"co": 1, "co": 2}}`, "broken"},
	{"{\"readings\": {\"co\": \"\xff\"}}", "broken"},
	{`{"readings": {"co": 1e999}}`, "broken"},
	{`{"readings": {"co": NaN}}`, "broken"},
	{`{"readings": {"co": [1, 2]}}`, "broken"},
	{`{"truth": ` + strings.Repeat("[", 40) + strings.Repeat("]", 40) + `, "readings": {}}`, "broken"},
	{`{"readings": {"valve_dutty": 15}}`, "refused"},
	{`{"vehicle": "brackenby", "readings": {}}`, "refused"},
	{`{"readings": {"co": "1 bar"}}`, "refused"},
	{`{"sets": [{"readings": {}}, {"repaired": ["nothing"], "readings": {}}]}`, "refused"},
	{`{"note": "` + strings.Repeat("x", 1<<20) + `", "readings": {}}`, "too long"},
}

// wrongWay is how line i is wrong, from 0; -1 for the 99 of 100 that are right.
func wrongWay(i int) int {
	if i%100 != 37 {
		return -1
	}
	return i / 100 % len(wrongLines)
}

// someJobs makes the tails of jobs, the names of which come before them.
func someJobs(many int) [][]byte {
	r := rand.New(rand.NewPCG(1, 1))
	all := make([][]byte, many)
	for i := range all {
		all[i] = fmt.Appendf(nil, `"vehicle": "brackenby-1800", "readings": {"engine_warm": true, "electrical_load_off": true, "breather_vented": %v, "purge_disconnected": true, `+
			`"idle_speed": %d, "valve_duty": %d, "timing_idle": %d, "regulator_current": %.1f, "regulator_current_2500": %.1f, "co": %.2f, "co2": %.1f, "o2": %.2f, "hc": %d, "system_pressure": %.2f}}`+"\n",
			r.IntN(3) > 0, 780+r.IntN(140), 10+r.IntN(30), 6+r.IntN(8), 20*r.Float64(), 6+8*r.Float64(), 4*r.Float64(), 12+3*r.Float64(), 3*r.Float64(), 50+r.IntN(600), 4.5+r.Float64())
	}
	return all
}

// TestManyLines sends the real program lines of which one in a hundred is wrong, in
// twenty ways: every good line is answered, every bad one reported, in order, and
// memory stays what it is. -stream-lines 1000000 makes a measurement of it.
func TestManyLines(t *testing.T) {
	r := start(t, program(t), "stream")
	began := time.Now()
	sent := make(chan error, 1)
	go func() {
		jobs, to := someJobs(500), bufio.NewWriterSize(r.in, 1<<16)
		for i := range *streamLines {
			if way := wrongWay(i); way >= 0 {
				to.WriteString(wrongLines[way][0])
				to.WriteByte('\n')
				continue
			}
			fmt.Fprintf(to, `{"name": "job %d", `, i)
			to.Write(jobs[i%len(jobs)])
		}
		sent <- to.Flush()
	}()
	wrong := 0
	var early int
	for i := range *streamLines {
		line, err := r.out.ReadSlice('\n')
		if err != nil {
			t.Fatalf("record %d: %v: %s", i+1, err, &r.err)
		}
		want := fmt.Appendf(nil, `{"version":1,"line":%d,"name":"job %d","faults":[`, i+1, i)
		if way := wrongWay(i); way >= 0 {
			wrong++
			want = fmt.Appendf(nil, `{"version":1,"line":%d,"error":{"kind":"%s","problems":[{`, i+1, wrongLines[way][1])
			if i := bytes.Index(line, []byte(`"name"`)); i >= 0 {
				t.Fatalf("%s", line)
			}
		}
		if !bytes.HasPrefix(line, want) {
			t.Fatalf("record %d begins not with %s:\n%s", i+1, want, line)
		}
		if i == 9999 {
			early = peak(t, r.Process.Pid)
		}
	}
	if err := <-sent; err != nil {
		t.Fatal(err)
	}
	took, most := time.Since(began), peak(t, r.Process.Pid)
	r.in.Close()
	if rest, _ := io.ReadAll(r.out); len(rest) > 0 {
		t.Errorf("then %.100q", rest)
	}
	want := fmt.Sprintf("culprit: %d jobs, %d errors, ", *streamLines, wrong)
	if status := r.status(t); status != 1 || !strings.HasPrefix(r.err.String(), want) {
		t.Errorf("exit status %d, %s, not %s", status, &r.err, want)
	}
	t.Logf("%d lines, %d of them wrong, in %.1f s, %.0f a second; peak memory %d MiB, after 10000 lines %d MiB",
		*streamLines, wrong, took.Seconds(), float64(*streamLines)/took.Seconds(), most>>10, early>>10)
	const limit = 256 << 10
	if most > limit {
		t.Errorf("peak memory %d KiB, more than %d", most, limit)
	}
}

// peak is the most memory in KiB that a process has had resident so far.
func peak(t *testing.T, pid int) int {
	t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		t.Skip("no /proc")
	}
	m := regexp.MustCompile(`VmHWM:\s+(\d+) kB`).FindSubmatch(text)
	if m == nil {
		t.Skip("no VmHWM in /proc")
	}
	n, err := strconv.Atoi(string(m[1]))
	if err != nil {
		t.Fatal(err)
	}
	return n
}
