package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/pflag"

	"culprit/cmd/culprit/internal/benchpage"
)

var serveCommand = &command{
	name:    "serve",
	summary: "show the bench page, for a tablet beside the car",
	usage:   "serve [OPTIONS]",
	about: `
Shows the jobs of a folder in a browser: readings are entered by check, each one
ranks anew, and the next check stands on top with what it may say. The jobs are
the same files as everywhere; each change is kept at once.

Only this machine can reach the page. --listen with another address, such as
0.0.0.0:8177, lets others in, and then only with the key that is printed: each
start makes another. What goes over the network is not encrypted.

Ends when interrupted.`,
	flags: func(flags *pflag.FlagSet) func(*stdio, []string) error {
		var o serveOptions
		flags.StringVar(&o.folder, "folder", ".", "keep the jobs in this `FOLDER`")
		flags.StringVar(&o.listen, "listen", "127.0.0.1:8177", "listen at this `ADDRESS` and port; port 0 is any free one")
		flags.StringVar(&o.vehicle, "vehicle", "", "the `VEHICLE` of new jobs, unless another is chosen")
		o.packOptions.add(flags)
		flags.StringArrayVar(&o.without, "without", nil, "advise no check that needs this `TOOL` (repeatable)")
		return o.run
	},
}

type serveOptions struct {
	packOptions
	folder  string
	listen  string
	vehicle string
	without []string
}

// endWithin is how long answers that were begun may take when the page is ended.
const endWithin = 5 * time.Second

func (o *serveOptions) run(s *stdio, args []string) error {
	if len(args) > 0 {
		return usageError{fmt.Sprintf("serve takes no job, but %q was given", args[0]), "the folder of the jobs is named with --folder", "serve"}
	}
	pack, err := o.open()
	if err != nil {
		return err
	}
	ears, err := o.hear()
	if err != nil {
		return err
	}
	defer ears.Close()
	at := ears.Addr().(*net.TCPAddr)
	b := benchpage.Options{Pack: pack, Folder: o.folder, Vehicle: o.vehicle, Without: o.without, Keeper: benchFiles{}, Paper: &benchPaper{pack: pack}}
	if !at.IP.IsLoopback() {
		b.Key, b.Hosts = benchpage.NewKey(), ownNames()
	}
	server, err := benchpage.New(b)
	if err != nil {
		return err
	}
	defer server.Close()
	stop, forget := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer forget()
	o.tell(s, at, b.Key)
	if err := s.flush(); err != nil {
		return err
	}
	h := server.HTTP()
	ended := make(chan error, 1)
	go func() { ended <- h.Serve(ears) }()
	select {
	case err := <-ended:
		return err
	case <-stop.Done():
	}
	forget() // a second interrupt ends at once
	within, cancel := context.WithTimeout(context.Background(), endWithin)
	defer cancel()
	if err := h.Shutdown(within); err != nil {
		h.Close()
	}
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	fmt.Fprintln(s.out, "ended; every change was kept when it was made")
	return nil
}

// hear opens the port.
func (o *serveOptions) hear() (net.Listener, error) {
	host, _, err := net.SplitHostPort(o.listen)
	if err != nil {
		return nil, usageError{fmt.Sprintf("--listen is an address and a port, not %q", o.listen), "for example 127.0.0.1:8177, or 0.0.0.0:8177 for a tablet", "serve"}
	}
	if host == "" {
		return nil, usageError{fmt.Sprintf("--listen %q names no address", o.listen), "0.0.0.0 in front of it means all of this machine", "serve"}
	}
	ears, err := net.Listen("tcp", o.listen)
	if err != nil {
		return nil, fmt.Errorf("the bench page cannot listen at %q: %w", o.listen, err)
	}
	return ears, nil
}

// tell says where the page is.
func (o *serveOptions) tell(s *stdio, at *net.TCPAddr, key string) {
	fmt.Fprintf(s.out, "bench page of the jobs in %s\n", clean(o.folder))
	if key == "" {
		fmt.Fprintf(s.out, "open http://%s/\n", at)
		return
	}
	for _, ip := range addresses(at.IP) {
		fmt.Fprintf(s.out, "open http://%s/?key=%s\n", net.JoinHostPort(ip.String(), fmt.Sprint(at.Port)), key)
	}
	fmt.Fprintf(s.out, "key  %s\n", key)
	fmt.Fprintln(s.out, "who is on the network can read along; use one that is your own")
}

// addresses are those at which a listener is reached: its own, or all of the machine.
func addresses(ip net.IP) []net.IP {
	if !ip.IsUnspecified() {
		return []net.IP{ip}
	}
	var out []net.IP
	all, _ := net.InterfaceAddrs() // none are told where they cannot be found out
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok && !n.IP.IsLinkLocalUnicast() && !n.IP.IsLoopback() && (n.IP.To4() != nil || ip.To4() == nil) {
			out = append(out, n.IP)
		}
	}
	if len(out) == 0 {
		out = append(out, net.IPv4(127, 0, 0, 1))
	}
	return out
}

// ownNames are the names by which others may call this machine.
func ownNames() []string {
	name, err := os.Hostname()
	if err != nil || name == "" {
		return nil
	}
	name = strings.ToLower(name)
	return []string{name, name + ".local"}
}
