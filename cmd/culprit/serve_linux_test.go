package main

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"culprit/engine"
)

// served starts the program itself on a folder, and gives where it is.
func served(t *testing.T, culprit, folder string, args ...string) (*exec.Cmd, *bufio.Reader, string) {
	t.Helper()
	c := exec.Command(culprit, append([]string{"serve", "--folder", folder, "--listen", "127.0.0.1:0"}, args...)...)
	c.Stderr = os.Stderr
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	timer := time.AfterFunc(mostTime+*load, func() { c.Process.Kill() })
	t.Cleanup(func() { timer.Stop(); c.Process.Kill(); c.Wait() })
	screen := bufio.NewReader(out)
	for {
		line, err := screen.ReadString('\n')
		if m := regexp.MustCompile(`open (http://[^/]+)/`).FindStringSubmatch(line); m != nil {
			return c, screen, m[1]
		}
		if err != nil {
			t.Fatalf("does not say where it is: %q, %v", line, err)
		}
	}
}

// TestBenchIsKilled: whenever it is killed, each file is whole and has all that was
// answered as kept; at most the field in hand is lost; and the next one goes on.
func TestBenchIsKilled(t *testing.T) {
	culprit, s := program(t), &shop{T: t, folder: t.TempDir()}
	s.put("whistle", whistle)
	rounds := 12
	if testing.Short() {
		rounds = 4
	}
	kept := 0
	for round := range rounds {
		c, _, at := served(t, culprit, s.folder)
		s.url = at
		b := s.tab().open("/job/whistle")
		action, fields := b.form(`id="c-gases-at-idle"`)
		time.AfterFunc(time.Duration(rand.IntN(120))*time.Millisecond, func() { c.Process.Kill() })
		for n := kept + 1; ; n++ {
			fields.Set("r.hc", fmt.Sprint(n))
			fields.Set("was.hc", map[bool]string{true: "", false: fmt.Sprint(n - 1)}[n == 1])
			r, err := http.DefaultClient.PostForm(at+action, fields)
			if err != nil {
				break
			}
			r.Body.Close()
			if r.StatusCode != 200 {
				t.Fatalf("round %d: status %d", round, r.StatusCode)
			}
			kept = n
		}
		c.Wait()
		text := s.kept("whistle")
		if _, err := engine.ParseJob("whistle.json", []byte(text)); err != nil {
			t.Fatalf("round %d: half a file: %v\n%s", round, err, s.kept("whistle"))
		}
		holds := func(n int) bool { return strings.Contains(text, fmt.Sprintf(`"hc": %d,`, n)) }
		switch {
		case holds(kept + 1):
			kept++ // it was kept, and only the answer got lost
		case kept > 0 && !holds(kept):
			t.Fatalf("round %d: %d was answered as kept:\n%s", round, kept, text)
		}
	}
	if kept == 0 {
		t.Error("nothing was ever kept before the kill")
	}
}

// TestBenchEnds: an interrupt ends it well, with what was begun answered.
func TestBenchEnds(t *testing.T) {
	culprit, s := program(t), &shop{T: t, folder: t.TempDir()}
	s.put("whistle", whistle)
	for _, sig := range []os.Signal{os.Interrupt, syscall.SIGTERM} {
		c, screen, at := served(t, culprit, s.folder)
		s.url = at
		s.tab().open("/job/whistle").shows(200, "Whistle at idle")
		c.Process.Signal(sig)
		line, _ := screen.ReadString('\n')
		if err := c.Wait(); err != nil || !strings.HasPrefix(line, "ended") {
			t.Errorf("%v: %v, says %q", sig, err, line)
		}
	}
	alone(t, s.folder, "whistle.json")
}

// TestBenchOutside: at an address that others reach it wants a key; a second one at
// the same port is told.
func TestBenchOutside(t *testing.T) {
	culprit, folder := program(t), t.TempDir()
	c := exec.Command(culprit, "serve", "--folder", folder, "--listen", "0.0.0.0:0")
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Process.Kill(); c.Wait() })
	screen := bufio.NewScanner(out)
	var key, port string
	for key == "" && screen.Scan() {
		if m := regexp.MustCompile(`:(\d+)/\?key=([a-z2-9]{20})$`).FindStringSubmatch(screen.Text()); m != nil {
			port = m[1]
		}
		key = strings.TrimSpace(strings.TrimPrefix(screen.Text(), "key "))
		if !strings.HasPrefix(screen.Text(), "key ") {
			key = ""
		}
	}
	at := "http://" + net.JoinHostPort("127.0.0.1", port)
	s := &shop{T: t, folder: folder, url: at}
	s.tab().open("/").shows(401, "The key of this bench page")
	s.tab().open("/?key="+key).shows(200, "Jobs in this folder")

	second := exec.Command(culprit, "serve", "--folder", folder, "--listen", "127.0.0.1:"+port)
	said, err := second.CombinedOutput()
	if second.ProcessState.ExitCode() != exitBadInput || !strings.Contains(string(said), "cannot listen at") {
		t.Errorf("%v: %s", err, said)
	}
}

// TestBenchFolder: a folder in which nothing can be kept is told at the start.
func TestBenchFolder(t *testing.T) {
	folder, uid := common(t), 0
	if err := os.Chmod(folder, 0o555); err != nil {
		t.Fatal(err)
	}
	if os.Geteuid() == 0 {
		uid = nobody // root can write everywhere
	}
	_, said := drive(t, uid, exitBadInput, program(t), "serve", "--folder", folder)
	if !strings.Contains(said, "no job can be kept in the folder") {
		t.Errorf("says %s", said)
	}
}
