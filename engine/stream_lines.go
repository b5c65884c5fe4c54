package engine

import (
	"bytes"
	"context"
	"errors"
	"io"
)

const (
	chunkBytes = 64 << 10 // read at once at most
	batchBytes = 64 << 10 // of lines after which a batch is handed on
	batchLines = 16       // likewise
	keptBytes  = 1 << 20  // of a buffer that is worth keeping
)

// batch is some lines in a row with their answers.
type batch struct {
	data  []byte // the lines without their ends
	lines []line

	out         bytes.Buffer
	ends        []int // by record: where it ends in out
	records     int
	failed      int   // error records
	firstFailed int   // the first of them, where there is one
	cut         error // why the rest of the lines has no answer

	done chan struct{} // answered
}

// line is one line of a batch.
type line struct {
	from, to int
	number   int
	long     bool // it was longer than allowed, and is not kept
}

// reset empties a batch for other lines. What a giant has blown up is let go.
func (b *batch) reset() {
	if cap(b.data) > keptBytes {
		b.data = nil
	}
	if b.out.Cap() > keptBytes {
		b.out = bytes.Buffer{}
	}
	b.data, b.lines, b.ends = b.data[:0], b.lines[:0], b.ends[:0]
	b.out.Reset()
	b.records, b.failed, b.firstFailed, b.cut = 0, 0, 0, nil
}

// splitter cuts an input into lines and gathers them into batches. A line that
// is longer than allowed is skipped in the memory of one chunk.
type splitter struct {
	ctx    context.Context
	stop   <-chan struct{}
	chunks <-chan chunk
	back   chan<- []byte
	free   <-chan *batch
	hand   func(*batch)

	most     int // bytes of a line
	mostHeld int // lines of a batch
	number   int // of the line begun
	begun    []byte
	long     bool // the line begun is too long
	blank    int  // empty lines
	batch    *batch
}

// newSplitter begins to read in. hand is given the batches, which come from free.
func newSplitter(ctx context.Context, in io.Reader, o StreamOptions, free <-chan *batch, hand func(*batch)) *splitter {
	chunks, back := make(chan chunk), make(chan []byte, 2)
	back <- make([]byte, chunkBytes)
	back <- make([]byte, chunkBytes)
	go pump(ctx, in, chunks, back)
	l := &splitter{ctx: ctx, stop: o.Stop, chunks: chunks, back: back, free: free, hand: hand, most: o.MaxLine, mostHeld: batchLines, number: 1}
	if o.Next {
		l.mostHeld = 1 // such lines take long enough to be shared out one by one
	}
	return l
}

// chunk is what one Read gave.
type chunk struct {
	data []byte
	err  error
}

// pump reads two chunks ahead, by itself since nothing can end a Read.
func pump(ctx context.Context, in io.Reader, chunks chan<- chunk, back <-chan []byte) {
	idle := 0
	for {
		var buffer []byte
		select {
		case buffer = <-back:
		case <-ctx.Done():
			return
		}
		n, err := in.Read(buffer[:chunkBytes])
		if n == 0 && err == nil {
			if idle++; idle >= 100 {
				err = io.ErrNoProgress
			}
		} else {
			idle = 0
		}
		select {
		case chunks <- chunk{buffer[:n], err}:
		case <-ctx.Done():
			return
		}
		if err != nil {
			return
		}
	}
}

// errStopped says that no more lines are wanted.
var errStopped = errors.New("stopped")

// run reads to the end, or until it is stopped. The error is that of the input, or
// that of the context where it came first.
func (l *splitter) run() error {
	for {
		var c chunk
		select {
		case <-l.stop: // before a chunk that is there, too
			return nil
		default:
		}
		select {
		case c = <-l.chunks:
		case <-l.stop:
			return nil
		case <-l.ctx.Done():
			return l.ctx.Err()
		}
		if l.split(c.data) != nil {
			return l.ctx.Err()
		}
		switch {
		case errors.Is(c.err, io.EOF):
			if len(l.begun) > 0 || l.long {
				if l.end(nil) != nil {
					return l.ctx.Err()
				}
			}
			l.flush()
			return nil
		case c.err != nil:
			l.flush()
			return c.err
		}
		l.flush() // nobody waits for lines that may be long in coming
		l.back <- c.data[:0]
	}
}

// split goes through the lines of a chunk.
func (l *splitter) split(data []byte) error {
	for len(data) > 0 {
		end := bytes.IndexByte(data, '\n')
		if end < 0 {
			l.keep(data)
			return nil
		}
		if err := l.end(data[:end]); err != nil {
			return err
		}
		data = data[end+1:]
	}
	return nil
}

// keep keeps the beginning of a line as far as it may go: with a byte more, which may be
// the CR of its end.
func (l *splitter) keep(part []byte) {
	if l.long = l.long || len(l.begun)+len(part) > l.most+1; l.long {
		l.begun = nil
		return
	}
	l.begun = append(l.begun, part...)
}

// end ends the line begun with the rest of it.
func (l *splitter) end(rest []byte) error {
	text := rest
	if len(l.begun) > 0 || l.long {
		l.keep(rest)
		text = l.begun
	}
	text = bytes.TrimSuffix(text, []byte("\r"))
	long := l.long || len(text) > l.most
	number := l.number
	l.number++
	l.long, l.begun = false, l.begun[:0]
	if cap(l.begun) > keptBytes {
		defer func() { l.begun = nil }() // after text has been copied
	}
	if !long && isBlank(text) {
		l.blank++
		return nil
	}
	return l.add(text, number, long)
}

// add puts a line into the batch and hands it on when it is full.
func (l *splitter) add(text []byte, number int, long bool) error {
	if l.batch == nil {
		select {
		case l.batch = <-l.free:
		case <-l.stop:
			return errStopped
		case <-l.ctx.Done():
			return errStopped
		}
	}
	b := l.batch
	if long {
		text = nil
	}
	from := len(b.data)
	b.data = append(b.data, text...)
	b.lines = append(b.lines, line{from, len(b.data), number, long})
	if len(b.lines) >= l.mostHeld || len(b.data) >= batchBytes {
		l.flush()
	}
	return nil
}

func (l *splitter) flush() {
	if l.batch != nil {
		l.hand(l.batch)
		l.batch = nil
	}
}

// isBlank tells whether a line has nothing but blanks and a byte order mark.
func isBlank(text []byte) bool {
	return len(bytes.TrimSpace(bytes.TrimPrefix(text, []byte("\ufeff")))) == 0
}
