// Distributed answers jobs on any number of machines: batches of lines go through a
// broker's work queue to workers, each of which keeps one "culprit stream" busy.
//
//	distributed broker DIR            keep the queue in DIR and serve it
//	distributed send FILE             put the lines of FILE into the queue
//	distributed work CULPRIT [ARG…]   answer batches until killed
//	distributed collect BATCHES       write BATCHES batches of answers in order
//
// -url says where the broker is, or serves. A batch is done when its answers are
// stored: if a worker dies, another is given what it had in hand.
package main

import (
	"bufio"
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"log"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

const (
	batchLines = 200              // one message, which may have 1 MB
	patience   = 10 * time.Second // a batch without an answer goes to another worker
)

var url = flag.String("url", "nats://127.0.0.1:4222", "where the broker is")

func main() {
	log.SetFlags(0)
	log.SetPrefix("distributed: ")
	flag.Parse()
	args := flag.Args()
	if len(args) < 2 {
		log.Fatal("say what to do: broker DIR, send FILE, work CULPRIT, or collect BATCHES")
	}
	do := map[string]func([]string) error{"broker": broker, "send": send, "work": work, "collect": collect}[args[0]]
	if do == nil {
		log.Fatalf("unknown command %q", args[0])
	}
	if err := do(args[1:]); err != nil {
		log.Fatal(err)
	}
}

// broker serves the queue until it is killed.
func broker(args []string) error {
	host, port, _ := strings.Cut(strings.TrimPrefix(*url, "nats://"), ":")
	number, err := strconv.Atoi(port)
	if err != nil {
		return err
	}
	s, err := server.NewServer(&server.Options{Host: host, Port: number, JetStream: true, StoreDir: args[0], NoSigs: true})
	if err != nil {
		return err
	}
	s.Start()
	if !s.ReadyForConnections(10 * time.Second) {
		return fmt.Errorf("the broker does not start")
	}
	s.WaitForShutdown()
	return nil
}

// queues opens the queue of jobs and the store of answers, or makes them.
func queues(ctx context.Context) (js jetstream.JetStream, jobs, answers jetstream.Stream, err error) {
	conn, err := nats.Connect(*url, nats.RetryOnFailedConnect(true), nats.MaxReconnects(-1))
	if err != nil {
		return nil, nil, nil, err
	}
	if js, err = jetstream.New(conn); err != nil {
		return nil, nil, nil, err
	}
	jobs, err = js.CreateOrUpdateStream(ctx, jetstream.StreamConfig{Name: "jobs", Subjects: []string{"jobs.*"}, Retention: jetstream.WorkQueuePolicy})
	if err != nil {
		return nil, nil, nil, err
	}
	answers, err = js.CreateOrUpdateStream(ctx, jetstream.StreamConfig{Name: "answers", Subjects: []string{"answers.*"}, MaxMsgsPerSubject: 1})
	return js, jobs, answers, err
}

// send puts the lines of a file into the queue and prints how many batches they make.
func send(args []string) error {
	ctx := context.Background()
	js, _, _, err := queues(ctx)
	if err != nil {
		return err
	}
	f, err := os.Open(args[0])
	if err != nil {
		return err
	}
	defer f.Close()
	lines := bufio.NewReaderSize(f, 1<<20)
	for number := 0; ; number++ {
		var batch []byte
		var end error
		for n := 0; n < batchLines && end == nil; {
			var line []byte
			line, end = lines.ReadBytes('\n')
			if len(line) > 0 {
				batch = append(append(batch, bytes.TrimSuffix(line, []byte{'\n'})...), '\n')
				n++
			}
		}
		if end != nil && end != io.EOF {
			return end
		}
		if len(batch) == 0 {
			fmt.Println(number)
			return nil
		}
		if _, err := js.Publish(ctx, fmt.Sprintf("jobs.%d", number), batch); err != nil {
			return err
		}
	}
}

var lineNumber = regexp.MustCompile(`"line":\d+`)

// work runs a filter and passes batches through it, one after the other.
func work(args []string) error {
	ctx := context.Background()
	js, jobs, _, err := queues(ctx)
	if err != nil {
		return err
	}
	queue, err := jobs.CreateOrUpdateConsumer(ctx, jetstream.ConsumerConfig{Durable: "workers", AckWait: patience, MaxAckPending: 1000})
	if err != nil {
		return err
	}
	filter := exec.Command(args[0], args[1:]...)
	filter.Stderr = os.Stderr
	in, err := filter.StdinPipe()
	if err != nil {
		return err
	}
	out, err := filter.StdoutPipe()
	if err != nil {
		return err
	}
	if err := filter.Start(); err != nil {
		return err
	}
	records := bufio.NewReaderSize(out, 1<<20)
	for {
		m, err := queue.Next(jetstream.FetchMaxWait(time.Hour))
		if err != nil {
			return err
		}
		written := make(chan error, 1)
		go func() {
			_, err := in.Write(m.Data())
			written <- err
		}()
		var answer []byte
		number, err := strconv.Atoi(strings.TrimPrefix(m.Subject(), "jobs."))
		if err != nil {
			return err
		}
		line := number * batchLines
		for text := range bytes.Lines(m.Data()) { // a record for each that is not empty, in order
			line++
			if len(bytes.TrimSpace(text)) == 0 {
				continue
			}
			record, err := records.ReadBytes('\n')
			if err != nil {
				return fmt.Errorf("%s: %w", args[0], err)
			}
			// The filter counts the lines that came this way; the record is to have its
			// number in the whole file. Every record begins with its version and that.
			at := lineNumber.FindIndex(record)
			if at == nil {
				return fmt.Errorf("%s: a record without a line number: %q", args[0], record)
			}
			answer = append(answer, record[:at[0]]...)
			answer = fmt.Appendf(answer, `"line":%d`, line)
			answer = append(answer, record[at[1]:]...)
		}
		if err := <-written; err != nil {
			return err
		}
		if _, err := js.Publish(ctx, strings.Replace(m.Subject(), "jobs", "answers", 1), answer); err != nil {
			return err
		}
		if err := m.Ack(); err != nil { // only now is the batch done
			return err
		}
	}
}

// collect writes the answers in the order of the batches, each once.
func collect(args []string) error {
	ctx := context.Background()
	_, _, answers, err := queues(ctx)
	if err != nil {
		return err
	}
	batches, err := strconv.Atoi(args[0])
	if err != nil {
		return err
	}
	for number := range batches {
		for {
			m, err := answers.GetLastMsgForSubject(ctx, fmt.Sprintf("answers.%d", number))
			if err == nil {
				if _, err := os.Stdout.Write(m.Data); err != nil {
					return err
				}
				break
			}
			if err != jetstream.ErrMsgNotFound {
				return err
			}
			time.Sleep(20 * time.Millisecond)
		}
	}
	return nil
}
