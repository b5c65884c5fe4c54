package engine

import (
	"bytes"
	"encoding/json"
	"io"
	"strings"
	"testing"

	"culprit/engine/belief"
)

// BenchmarkStream answers 500 lines with brief records, on one worker.
func BenchmarkStream(b *testing.B) {
	p := shipped(b)
	text := strings.Join(randomLines(b, 500, 1), "\n")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := p.Stream(b.Context(), strings.NewReader(text), io.Discard, StreamOptions{Workers: 1}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkStreamParts takes the parts of a brief record one by one, each over the same lines: what
// is not here is handing lines and records on.
func BenchmarkStreamParts(b *testing.B) {
	p := shipped(b)
	lines := randomLines(b, 500, 1)
	w := newStreamWorker(&stream{pack: p})
	var jobs []*Job
	var asked []*session // the rules being answered
	for _, l := range lines {
		s := &session{values: p.rules.Scope.Values()}
		jobs, asked = append(jobs, parse(b, l)), append(asked, s)
		if err := p.prepare(s, jobs[len(jobs)-1]); err != nil {
			b.Fatal(err)
		}
	}
	over := func(name string, do func(i int) error) {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for n := 0; b.Loop(); n++ {
				if err := do(n % len(lines)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	fresh := &session{values: p.rules.Scope.Values()}
	var post belief.Posterior
	over("read", func(i int) error { _, _, err := w.parser.parse("line", []byte(lines[i])); return err })
	over("rules", func(i int) error { return p.prepare(fresh, jobs[i]) })
	over("posterior", func(i int) error { return p.net.Posterior(asked[i].evidence, &post) })
	over("conflict", func(i int) error { _, err := p.net.ConflictMeasure(asked[i].evidence, post.LogEvidence); return err })
	over("warnings", func(i int) error { p.unmet(asked[i]); p.waitedFor(asked[i]); p.doubted(asked[i]); return nil })
	record, err := p.Brief(b.Context(), jobs[0], BriefOptions{})
	if err != nil {
		b.Fatal(err)
	}
	var out bytes.Buffer
	over("write", func(int) error { out.Reset(); return json.NewEncoder(&out).Encode(record) })
}
