package engine

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
)

// FuzzStream: whatever comes in, in whatever pieces, there is one record of JSON
// for every line that is not empty, in order, and no line is told otherwise for
// what stands around it.
func FuzzStream(f *testing.F) {
	p := shipped(f)
	const job = `{"readings": {"co": 1}}`
	for _, seed := range []string{"", "\n", job, job + "\n" + job, job + "\r\n\r\n" + job + "\r\n", "\ufeff" + job, "\xff\n" + job, "{\n}\n", "\x00",
		strings.Repeat("x", 300) + "\n" + job, strings.Repeat(" ", 300) + "\n" + job, job + "\r", "\r\n\r", `{"readings": {"co": "x`} {
		f.Add([]byte(seed), uint8(3))
	}
	for _, c := range brokenLines {
		f.Add([]byte(c.text+"\n"+job+"\n"+c.text), uint8(200))
	}
	f.Fuzz(func(t *testing.T, text []byte, step uint8) {
		const most = 256
		var out bytes.Buffer
		sum, err := p.Stream(t.Context(), steps{bytes.NewReader(text), int(step) + 1}, &out, StreamOptions{MaxLine: most, Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		d := json.NewDecoder(bytes.NewReader(out.Bytes()))
		jobs, errs, blank := 0, 0, 0
		lines := bytes.Split(text, []byte("\n"))
		if len(lines[len(lines)-1]) == 0 {
			lines = lines[:len(lines)-1] // what follows the last line feed
		}
		for i, l := range lines {
			l = bytes.TrimSuffix(l, []byte("\r"))
			if len(l) <= most && isBlank(l) {
				blank++
				continue
			}
			jobs++
			var r struct {
				Line  int
				Error *LineError
			}
			if err := d.Decode(&r); err != nil || r.Line != i+1 {
				t.Fatalf("line %d: record of line %d, %v", i+1, r.Line, err)
			}
			if r.Error == nil {
				if len(l) > most {
					t.Fatalf("line %d is too long, and is answered", i+1)
				}
				continue
			}
			errs++
			if len(r.Error.Problems) == 0 || r.Error.Problems[0].Message == "" {
				t.Fatalf("line %d: an error without a message", i+1)
			}
			if long := len(l) > most; long != (r.Error.Kind == LineTooLong) {
				t.Fatalf("line %d has %d bytes: %s", i+1, len(l), r.Error.Kind)
			}
			if r.Error.Kind == LineProgram {
				t.Fatalf("line %d: %s", i+1, r.Error.Problems[0].Message)
			}
		}
		if d.More() || sum != (Summary{jobs, errs, blank}) {
			t.Fatalf("%+v of %d jobs, %d errors, %d empty lines", sum, jobs, errs, blank)
		}
	})
}
