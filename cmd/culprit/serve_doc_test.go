package main

import (
	"bytes"
	"net"
	"os"
	"strings"
	"testing"

	"github.com/spf13/pflag"
)

// TestServeGuide holds docs/serve.md to what the program says when it starts, and to
// options that it has. The address and the key there are made up: 192.0.2.0/24 is
// for documentation (RFC 5737, section 3).
func TestServeGuide(t *testing.T) {
	text, err := os.ReadFile("../../docs/serve.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		at  net.IP
		key string
	}{{net.IPv4(127, 0, 0, 1), ""}, {net.IPv4(192, 0, 2, 7), "mq4w7ckhjr2xvd9pbn3t"}} {
		var screen bytes.Buffer
		o := serveOptions{folder: "jobs"}
		o.tell(&stdio{out: &screen}, &net.TCPAddr{IP: c.at, Port: 8177}, c.key)
		if !strings.Contains(string(text), "```text\n"+screen.String()+"```\n") {
			t.Errorf("docs/serve.md does not have what is said at the start:\n%s", screen.String())
		}
	}
	flags := pflag.NewFlagSet("serve", pflag.ContinueOnError)
	serveCommand.flags(flags)
	for _, line := range strings.Split(string(text), "\n") {
		args, is := strings.CutPrefix(line, "culprit serve ")
		if !is {
			continue
		}
		if err := flags.Parse(strings.Fields(args)); err != nil {
			t.Errorf("%s: %v", line, err)
		}
	}
}
