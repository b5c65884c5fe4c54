package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"html/template"
	"slices"

	"culprit/cmd/culprit/internal/benchpage"
	"culprit/engine"
)

// benchPaper draws for the bench page what the job sheet draws, too.
type benchPaper struct{ pack *engine.Pack }

// Sheet is the job sheet, with the hash of its style.
func (p *benchPaper) Sheet(ctx context.Context, j *engine.Job) ([]byte, string, error) {
	one, err := newSheet(ctx, p.pack, j, "job")
	if err != nil {
		return nil, "", err
	}
	var b bytes.Buffer
	if err := sheetDocument(&b, []*sheet{one}); err != nil {
		return nil, "", err
	}
	_, style, _ := bytes.Cut(b.Bytes(), []byte("<style>"))
	style, _, _ = bytes.Cut(style, []byte("</style>"))
	hash := sha256.Sum256(style)
	return b.Bytes(), "'sha256-" + base64.StdEncoding.EncodeToString(hash[:]) + "'", nil
}

// builder begins a sheet that is not drawn as a whole.
func (p *benchPaper) builder(j *engine.Job, v *engine.Verdict) *sheetBuilder {
	b := &sheetBuilder{pack: p.pack, job: j, v: v, s: &sheet{ID: "job"}, names: map[string]string{}, cautions: map[string]string{}}
	for _, c := range p.pack.List() {
		switch c.Kind {
		case "reading":
			b.names[c.ID] = c.Label
		case "caution":
			b.cautions[c.ID] = c.Label
		}
	}
	return b
}

// Fault is the explanation of a fault as it stands on the sheet.
func (p *benchPaper) Fault(v *engine.Verdict, fault string) (template.HTML, error) {
	one := *v
	one.Faults = slices.DeleteFunc(slices.Clone(v.Faults), func(f engine.Fault) bool { return f.Fault != fault })
	b := p.builder(nil, &one)
	b.explain(one.Faults)
	if len(b.s.Leading) == 0 {
		return "", nil
	}
	return drawPart("leading", b.s.Leading[0])
}

// Reading is a reading against its limits.
func (p *benchPaper) Reading(r *engine.Reading) benchpage.Stand {
	row := readingRow(r)
	return benchpage.Stand{Value: row.Value, Within: row.Within, Words: row.Stands, Out: row.Out, Gauge: row.Gauge}
}

// After is before and after a repair.
func (p *benchPaper) After(j *engine.Job, v *engine.Verdict) (template.HTML, error) {
	b := p.builder(j, v)
	b.after()
	if b.s.After == nil {
		return "", nil
	}
	return drawPart("after", b.s.After)
}

func drawPart(name string, data any) (template.HTML, error) {
	var b bytes.Buffer
	err := sheetTemplate().ExecuteTemplate(&b, name, data)
	return template.HTML(b.String()), err
}
