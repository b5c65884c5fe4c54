package engine

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"sync"
)

// The limits of a line of a stream.
const (
	DefaultMaxLine = 1 << 20     // bytes, where StreamOptions do not say
	MostMaxLine    = MaxJobBytes // what they can say at most
)

// StreamOptions say what a stream answers with. The zero value asks for brief
// records of the five leading faults.
type StreamOptions struct {
	Full     bool   // whole verdicts, each on one line, instead of brief records
	Most     int    // how many leading faults to tell, or with Full to explain; 0 means 5, less than 0 none
	Next     bool   // tell what to do next, too; that takes far longer than the rest
	Vehicle  string // take the figures of this vehicle for every job; "" goes by the jobs
	FailFast bool   // end after the first error record

	File    string // name of the input, which the records repeat; "" for none
	MaxLine int    // most bytes of a line without its end; 0 means DefaultMaxLine
	Workers int    // how many jobs are worked on at once; 0 means GOMAXPROCS

	// Stop, when closed, ends the reading: what was handed to a worker is still
	// answered. Nil never does.
	Stop <-chan struct{}
	// Progress is called with what has been written so far, after each write and
	// never by two goroutines at once.
	Progress func(Summary)

	// before is called before a job is read; a test injects its faults here.
	before func(line int)
}

// Summary counts what a stream has done.
type Summary struct {
	Jobs   int // records written, error records among them
	Errors int // error records
	Blank  int // empty lines, which were passed over
}

// Add adds what another stream has done.
func (s *Summary) Add(more Summary) {
	s.Jobs += more.Jobs
	s.Errors += more.Errors
	s.Blank += more.Blank
}

// Stream reads jobs from in, one JSON object a line, and writes to out one record
// a line, in the same order: a [Brief], a verdict, or an [ErrorRecord] for a line
// that cannot be answered; such a line stops nothing. Empty lines are passed over.
//
// It works on several lines at once and reads no further ahead than a bounded
// number of lines, so that a slow reader of out stops the reading of in, and
// memory does not grow with the input. Lines are answered as soon as they are
// read; none waits for others to come.
//
// When ctx is done it ends as soon as out lets it, without answering the lines in
// hand, and the error is that of ctx; a Read of in that has begun is left behind
// until it returns. Other errors are those of reading in, after all whole lines
// before have been answered, and those of writing to out, which end it at once.
// Options that make no sense are an error before anything is read.
func (p *Pack) Stream(ctx context.Context, in io.Reader, out io.Writer, o StreamOptions) (Summary, error) {
	if err := p.checkStream(&o); err != nil {
		return Summary{}, err
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	s := &stream{pack: p, options: o, out: out}
	// With twice as many batches as workers, and some, the next is ready when a
	// worker is, while one is being written.
	window := 2*o.Workers + 2
	free, todo, order := make(chan *batch, window), make(chan *batch, window), make(chan *batch, window)
	for range window {
		free <- &batch{done: make(chan struct{}, 1)}
	}
	l := newSplitter(ctx, in, o, free, func(b *batch) { todo <- b; order <- b })
	var inputError error
	var wait sync.WaitGroup
	wait.Go(func() {
		inputError = l.run()
		close(todo)
		close(order)
	})
	for range o.Workers {
		wait.Go(func() {
			w := newStreamWorker(s)
			for b := range todo {
				w.answer(ctx, b)
				b.done <- struct{}{}
			}
		})
	}
	outputError := s.write(order, free)
	cancel() // after an error of the output, the others have nothing left to do
	wait.Wait()
	s.sum.Blank += l.blank
	if errors.Is(outputError, errEnough) {
		return s.sum, nil
	}
	if outputError != nil {
		return s.sum, outputError // inputError is then nothing but the end that was put to it
	}
	return s.sum, inputError
}

// checkStream refuses options that make no sense and fills in what they leave open.
func (p *Pack) checkStream(o *StreamOptions) error {
	if o.MaxLine < 0 || o.MaxLine > MostMaxLine {
		return fmt.Errorf("a line of %d bytes at most: the limit lies within 1 and %d", o.MaxLine, MostMaxLine)
	}
	if o.MaxLine == 0 {
		o.MaxLine = DefaultMaxLine
	}
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.Vehicle == "" {
		return nil
	}
	j := &Job{}
	j.UseVehicle(o.Vehicle, "vehicle")
	return p.Check(j)
}

// stream is the writing end of a stream.
type stream struct {
	pack    *Pack
	options StreamOptions
	out     io.Writer
	sum     Summary
}

// errEnough ends a stream that was to end with the first error record.
var errEnough = errors.New("an error record was written")

// write writes the batches in their order and gives them back.
func (s *stream) write(order <-chan *batch, free chan<- *batch) error {
	for b := range order {
		<-b.done
		records, failed := b.records, b.failed
		if s.options.FailFast && failed > 0 {
			records, failed = b.firstFailed+1, 1
		}
		if records > 0 {
			if _, err := s.out.Write(b.out.Bytes()[:b.ends[records-1]]); err != nil {
				return err
			}
		}
		s.sum.Jobs += records
		s.sum.Errors += failed
		if b.cut != nil {
			return b.cut
		}
		if s.options.Progress != nil && records > 0 {
			s.options.Progress(s.sum)
		}
		if s.options.FailFast && failed > 0 {
			return errEnough
		}
		b.reset()
		free <- b
	}
	return nil
}
