package engine

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
)

// streamWorker answers batches, one after the other.
type streamWorker struct {
	pack    *Pack
	options StreamOptions
	parser  jobParser
}

func newStreamWorker(s *stream) *streamWorker {
	return &streamWorker{pack: s.pack, options: s.options, parser: jobParser{pack: s.pack, again: true}}
}

// answer answers the lines of a batch. When ctx is done, the rest is cut off.
func (w *streamWorker) answer(ctx context.Context, b *batch) {
	encoder := json.NewEncoder(&b.out)
	encoder.SetEscapeHTML(false)
	for i := range b.lines {
		l := &b.lines[i]
		start := b.out.Len()
		record, failed, err := w.record(ctx, l, b.data[l.from:l.to])
		if err == nil {
			err = encoder.Encode(record)
		}
		if err != nil {
			b.out.Truncate(start)
			b.cut = err
			return
		}
		if failed && b.failed == 0 {
			b.firstFailed = b.records
		}
		if failed {
			b.failed++
		}
		b.records++
		b.ends = append(b.ends, b.out.Len())
	}
}

// record answers one line. The error is that of ctx; all else is a record.
func (w *streamWorker) record(ctx context.Context, l *line, text []byte) (record any, failed bool, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			record, failed, err = w.failure(l, programError(fault)), true, nil
		}
	}()
	if w.options.before != nil {
		w.options.before(l.number)
	}
	if l.long {
		return w.failure(l, LineError{Kind: LineTooLong, Problems: []LineProblem{{
			Message: fmt.Sprintf("the line has more than %d bytes", w.options.MaxLine),
			Hint:    "a job is one line; the rest of this one was skipped"}}}), true, nil
	}
	j, tree, err := w.parser.parse("line", text)
	if err != nil {
		return w.failure(l, broken(err, tree)), true, nil
	}
	if w.options.Vehicle != "" {
		j.UseVehicle(w.options.Vehicle, "vehicle")
	}
	record, err = w.ask(ctx, l, j)
	switch {
	case err == nil:
		return record, false, nil
	case ctx.Err() != nil:
		return nil, false, ctx.Err()
	}
	failure := w.failure(l, w.pack.lineError(err, j))
	failure.Name = j.Name
	return failure, true, nil
}

// ask makes the record of a job.
func (w *streamWorker) ask(ctx context.Context, l *line, j *Job) (any, error) {
	o := &w.options
	if !o.Full {
		b, err := w.pack.Brief(ctx, j, BriefOptions{Most: o.Most, Next: o.Next})
		if err != nil {
			return nil, err
		}
		b.File, b.Line = o.File, l.number
		return b, nil
	}
	full := FullRecord{File: o.File, Line: l.number}
	var err error
	if full.Verdict, err = w.pack.Diagnose(ctx, j, Options{Most: o.Most}); err != nil {
		return nil, err
	}
	if o.Next {
		if full.Next, err = w.pack.Next(ctx, j, NextOptions{Most: 1}); err != nil {
			return nil, err
		}
	}
	return &full, nil
}

func (w *streamWorker) failure(l *line, e LineError) *ErrorRecord {
	return &ErrorRecord{Version: ErrorVersion, File: w.options.File, Line: l.number, Error: e}
}

// broken is the error of a line that is no job; tree is what was read of it.
func broken(err error, tree *tree) LineError {
	e := LineError{Kind: LineBroken}
	e.fill(err, tree)
	for i := range e.Problems {
		if p := &e.Problems[i]; p.Message == endsEarly && p.Hint == "" {
			p.Hint = "a job stands on one line, whole"
		}
	}
	return e
}

// programError is the error of a line that the program itself failed on.
func programError(fault any) LineError {
	const most = 200
	text := fmt.Sprint(fault)
	if len(text) > most {
		text = strings.ToValidUTF8(text[:most], "") + "…"
	}
	return LineError{Kind: LineProgram, Problems: []LineProblem{{
		Message: fmt.Sprintf("the program failed on this line: %s", text),
		Hint:    "the fault is the program's, not the line's; please report it with the line"}}}
}
