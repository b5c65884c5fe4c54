package main

import (
	"bytes"
	"strings"
	"testing"
)

// A name comes from a file that somebody else wrote.
func TestTextFromFilesDoesNotSteerTheTerminal(t *testing.T) {
	for _, row := range []struct{ why, name string }{
		{"an escape sequence", `A\u001b[31mB`},
		{"a bell", `A\u0007B`},
		{"a control character of eight bits", `A\u009b31mB`},
		{"a turn of the direction", `A\u202EB`},
	} {
		var screen bytes.Buffer
		s := &stdio{in: strings.NewReader(`{"name":"` + row.name + `","readings":{"co":1}}`), out: &screen, err: &screen,
			flush: func() error { return nil }, width: 80}
		if status := run(s, []string{"rank", "-"}); status != exitDone {
			t.Fatalf("%s: status %d: %s", row.why, status, screen.String())
		}
		if at := strings.IndexAny(screen.String(), "\x1b\x07\u009b\u202e"); at >= 0 {
			t.Errorf("%s reaches the screen", row.why)
		}
		if !strings.Contains(screen.String(), "A\ufffd") {
			t.Errorf("%s is not shown as a replacement", row.why)
		}
	}
}
