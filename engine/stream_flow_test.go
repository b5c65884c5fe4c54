package engine

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// endless gives the same line for ever and counts what is taken.
type endless struct {
	line  string
	taken atomic.Int64
	rest  string
}

func (e *endless) Read(p []byte) (int, error) {
	n := 0
	for n < len(p) {
		if e.rest == "" {
			e.rest = e.line
		}
		k := copy(p[n:], e.rest)
		e.rest = e.rest[k:]
		n += k
	}
	e.taken.Add(int64(n))
	return n, nil
}

// gate is a writer that lets nothing through until it is opened.
type gate struct {
	io.Writer
	open chan struct{}
	came chan struct{}
	once sync.Once
}

func (g *gate) Write(p []byte) (int, error) {
	g.once.Do(func() { close(g.came) })
	<-g.open
	return g.Writer.Write(p)
}

// TestSlowReaderStopsTheReading: while nobody takes the output, the input is read
// no further than the window and two chunks, however long that lasts.
func TestSlowReaderStopsTheReading(t *testing.T) {
	p := shipped(t)
	line := `{"readings": {"co": 1}, "note": "` + strings.Repeat("x", 400) + `"}` + "\n"
	in := &endless{line: line}
	g := &gate{Writer: io.Discard, open: make(chan struct{}), came: make(chan struct{})}
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error)
	const workers = 2
	go func() {
		_, err := p.Stream(ctx, in, g, StreamOptions{Workers: workers})
		ended <- err
	}()
	<-g.came
	last := int64(-1)
	for now := in.taken.Load(); now != last; now = in.taken.Load() { // until it rests
		last = now
		time.Sleep(50 * time.Millisecond)
	}
	window := int64(2*workers + 2)
	if most := window*batchLines*int64(len(line)) + 3*chunkBytes; last > most {
		t.Errorf("%d bytes were read ahead, more than %d", last, most)
	}
	cancel()
	close(g.open)
	if err := <-ended; !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// TestSlowWriterLosesNothing: a writer that takes its time gets everything in order.
func TestSlowWriterLosesNothing(t *testing.T) {
	p := shipped(t)
	lines := randomLines(t, 300, 7)
	want, _ := runStream(t, p, strings.Join(lines, "\n"), StreamOptions{})
	var out bytes.Buffer
	slow := writerFunc(func(b []byte) (int, error) {
		time.Sleep(time.Millisecond)
		return out.Write(b)
	})
	if _, err := p.Stream(t.Context(), strings.NewReader(strings.Join(lines, "\n")), slow, StreamOptions{}); err != nil {
		t.Fatal(err)
	}
	if out.String() != strings.Join(want, "") {
		t.Error("it is not the same")
	}
}

type writerFunc func([]byte) (int, error)

func (f writerFunc) Write(p []byte) (int, error) { return f(p) }

// TestWriterFails: the error of the writer ends the stream, whatever is in hand and
// although the input has no end.
func TestWriterFails(t *testing.T) {
	p := shipped(t)
	full := errors.New("no space left")
	writes := 0
	sum, err := p.Stream(t.Context(), &endless{line: `{"readings": {"co": 1}}` + "\n"}, writerFunc(func(b []byte) (int, error) {
		if writes++; writes > 3 {
			return 0, full
		}
		return len(b), nil
	}), StreamOptions{})
	if !errors.Is(err, full) || sum.Jobs == 0 || writes != 4 {
		t.Errorf("%+v, %v after %d writes", sum, err, writes)
	}
}

// TestReaderFails: all whole lines before are answered, the piece of a line is not,
// and the error comes back.
func TestReaderFails(t *testing.T) {
	p := shipped(t)
	bad := errors.New("the disk is on fire")
	lines := randomLines(t, 100, 8)
	in := io.MultiReader(strings.NewReader(strings.Join(lines, "\n")+"\n"+`{"readings"`), failing{bad})
	var out bytes.Buffer
	sum, err := p.Stream(t.Context(), in, &out, StreamOptions{})
	if !errors.Is(err, bad) || sum != (Summary{Jobs: 100}) || strings.Count(out.String(), "\n") != 100 {
		t.Errorf("%+v, %v", sum, err)
	}
}

type failing struct{ error }

func (f failing) Read([]byte) (int, error) { return 0, f.error }

// TestReaderThatGivesNothing is not read for ever.
func TestReaderThatGivesNothing(t *testing.T) {
	if _, err := shipped(t).Stream(t.Context(), failing{nil}, io.Discard, StreamOptions{}); !errors.Is(err, io.ErrNoProgress) {
		t.Error(err)
	}
}

// TestStopFinishesWhatIsInHand: after Stop the records written are whole, in order,
// and no fewer than were handed out, although the reader never returns again.
func TestStopFinishesWhatIsInHand(t *testing.T) {
	p := shipped(t)
	lines := randomLines(t, 40, 9)
	in, feed := io.Pipe()
	stop := make(chan struct{})
	var out bytes.Buffer
	written := make(chan int, 100)
	type result struct {
		sum Summary
		err error
	}
	ended := make(chan result)
	go func() {
		sum, err := p.Stream(t.Context(), in, &out, StreamOptions{Stop: stop, Progress: func(s Summary) { written <- s.Jobs }})
		ended <- result{sum, err}
	}()
	io.WriteString(feed, strings.Join(lines, "\n")+"\n"+`{"readings": {"co"`)
	for jobs := 0; jobs < len(lines); { // each is answered although the input stays open
		jobs = <-written
	}
	close(stop)
	r := <-ended
	if r.err != nil || r.sum != (Summary{Jobs: len(lines)}) || strings.Count(out.String(), "\n") != len(lines) {
		t.Errorf("%+v", r)
	}
}

// TestStopLeavesNoEndlessInput: Stop ends an input without end.
func TestStopLeavesNoEndlessInput(t *testing.T) {
	p := shipped(t)
	stop := make(chan struct{})
	var once sync.Once
	var out bytes.Buffer
	sum, err := p.Stream(t.Context(), &endless{line: `{"readings": {"co": 1}}` + "\n"}, &out, StreamOptions{Stop: stop, Progress: func(s Summary) {
		if s.Jobs > 100 {
			once.Do(func() { close(stop) })
		}
	}})
	if err != nil || sum.Jobs <= 100 || strings.Count(out.String(), "\n") != sum.Jobs {
		t.Errorf("%+v, %v", sum, err)
	}
}

// TestCancel: a stream of jobs without end is ended by its context alone, also in the
// middle of jobs that take long, and what it has written is whole records.
func TestCancel(t *testing.T) {
	p := shipped(t)
	line := strings.ReplaceAll(twentyReadings, "\n", " ") + "\n"
	for range 5 {
		ctx, cancel := context.WithCancel(t.Context())
		var out bytes.Buffer
		time.AfterFunc(100*time.Millisecond, cancel)
		_, err := p.Stream(ctx, &endless{line: line}, &out, StreamOptions{Next: true})
		if !errors.Is(err, context.Canceled) {
			t.Error(err)
		}
		if text := out.String(); text != "" && !strings.HasSuffix(text, "\n") {
			t.Error("the last record is not whole")
		}
	}
}

// TestCancelOfOneJob: Diagnose, Brief and Next heed their context on the way.
func TestCancelOfOneJob(t *testing.T) {
	p := shipped(t)
	j := parse(t, twentyReadings)
	for what, call := range map[string]func(context.Context) error{
		"Diagnose": func(ctx context.Context) error { _, err := p.Diagnose(ctx, j, Options{}); return err },
		"Brief":    func(ctx context.Context) error { _, err := p.Brief(ctx, j, BriefOptions{Next: true}); return err },
		"Next":     func(ctx context.Context) error { _, err := p.Next(ctx, j, NextOptions{}); return err },
	} {
		stopped, onTheWay, step := 0, 0, 500*time.Microsecond
		if testing.Short() {
			step = 5 * time.Millisecond
		}
		for after := time.Duration(0); after < 20*time.Millisecond; after += step {
			ctx, cancel := context.WithTimeout(t.Context(), after)
			switch err := call(ctx); {
			case errors.Is(err, context.DeadlineExceeded):
				stopped++
				if after > 0 {
					onTheWay++
				}
			case err != nil:
				t.Errorf("%s: %v", what, err)
			}
			cancel()
		}
		// To weigh all checks takes many times as long as the last of these contexts lasts.
		if stopped == 0 || what == "Next" && onTheWay == 0 {
			t.Errorf("%s never heeded its context", what)
		}
		if err := call(t.Context()); err != nil { // it is none the worse
			t.Errorf("%s: %v", what, err)
		}
	}
}

// TestPanicIsOneLine: a fault of the program in one line is an error record that
// says so, and the other lines are answered as ever.
func TestPanicIsOneLine(t *testing.T) {
	p := shipped(t)
	lines := randomLines(t, 60, 10)
	text := strings.Join(lines, "\n")
	want, _ := runStream(t, p, text, StreamOptions{})
	got, sum := runStream(t, p, text, StreamOptions{before: func(line int) {
		if line%20 == 7 {
			var none []int
			none[line] = 1
		}
	}})
	if sum != (Summary{Jobs: 60, Errors: 3}) {
		t.Errorf("%+v", sum)
	}
	for i := range got {
		if (i+1)%20 != 7 {
			if got[i] != want[i] {
				t.Errorf("line %d:\n%s%s", i+1, got[i], want[i])
			}
			continue
		}
		var r ErrorRecord
		if err := json.Unmarshal([]byte(got[i]), &r); err != nil || r.Line != i+1 || r.Error.Kind != LineProgram ||
			!strings.Contains(r.Error.Problems[0].Message, "index out of range") {
			t.Errorf("%s %v", got[i], err)
		}
	}
}

// TestStreamLeavesNothingRunning: whatever ends a stream, its goroutines end.
func TestStreamLeavesNothingRunning(t *testing.T) {
	p := shipped(t)
	before := runtime.NumGoroutine()
	for range 20 {
		runStream(t, p, "{\"readings\": {}}\nx\n", StreamOptions{FailFast: true})
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		if _, err := p.Stream(ctx, &endless{line: "x\n"}, io.Discard, StreamOptions{}); !errors.Is(err, context.Canceled) {
			t.Error(err)
		}
		p.Stream(t.Context(), &endless{line: "x\n"}, writerFunc(func([]byte) (int, error) { return 0, io.ErrClosedPipe }), StreamOptions{})
	}
	for range 100 {
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Errorf("%d goroutines, %d before", runtime.NumGoroutine(), before)
}

// TestStreamsAtOnce: several streams of one pack, beside other calls, give each
// what it gives alone.
func TestStreamsAtOnce(t *testing.T) {
	p := shipped(t)
	text := strings.Join(randomLines(t, 60, 11), "\n") + "\nbroken\n"
	want, _ := runStream(t, p, text, StreamOptions{})
	var wait sync.WaitGroup
	for k := range 4 {
		wait.Go(func() {
			var out bytes.Buffer
			if _, err := p.Stream(t.Context(), strings.NewReader(text), &out, StreamOptions{Workers: k + 1}); err != nil {
				t.Error(err)
			}
			if out.String() != strings.Join(want, "") {
				t.Error("it is not the same")
			}
			if _, err := p.Diagnose(t.Context(), parse(t, twentyReadings), Options{}); err != nil {
				t.Error(err)
			}
		})
	}
	wait.Wait()
}
