package main

import (
	"bufio"
	"errors"
	"io"
	"strings"
)

// line is a line of input; end where there is no more, bad where it cannot be taken.
type line struct {
	text string
	bad  string
	end  bool
}

// mostLine is how long a line may be, in bytes; nobody types more.
const mostLine = 64 << 10

// readLines reads lines in the background, so that whoever waits for one can be
// interrupted. It is read one line ahead at most, and what comes behind the end of
// the last line counts as a line.
func readLines(in io.Reader) <-chan line {
	out := make(chan line)
	go func() {
		r := bufio.NewReaderSize(in, mostLine)
		for {
			text, err := r.ReadSlice('\n')
			l := line{text: strings.ToValidUTF8(strings.TrimRight(string(text), "\r\n"), "\uFFFD")}
			if errors.Is(err, bufio.ErrBufferFull) {
				for errors.Is(err, bufio.ErrBufferFull) {
					_, err = r.ReadSlice('\n')
				}
				l = line{bad: "the line is too long"}
			}
			if err != nil && len(text) == 0 {
				break
			}
			out <- l
			if err != nil {
				break
			}
		}
		for {
			out <- line{end: true}
		}
	}()
	return out
}
