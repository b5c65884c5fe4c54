package main

import (
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

var (
	load      = flag.Duration("load", 0, "enter values into a bench page for so long, and tell how long it takes: go test ./cmd/culprit -run BenchLoad -load 1m -v")
	loadTabs  = flag.Int("load-clients", 50, "how many enter at once, each in a job of its own")
	loadRanks = flag.Bool("load-ranking-only", false, "ask for no advice")
	loadPause = flag.Duration("load-pause", 5*time.Second, "how long each thinks between two values, on the average")
)

// loadValues are readings as they are entered, by check, over and over with other
// values.
var loadValues = []struct{ check, reading, form string }{
	{"idle-and-duty", "idle_speed", "8%d0"}, {"idle-and-duty", "valve_duty", "1%d.5"}, {"current-at-idle", "regulator_current", "1%d.5"},
	{"gases-at-idle", "co", "0.%d"}, {"gases-at-idle", "co2", "14.%d"}, {"gases-at-idle", "o2", "0.%d"}, {"gases-at-idle", "hc", "1%d5"},
	{"current-at-speed", "regulator_current_2500", "1%d.1"}, {"timing", "timing_idle", "%d"}, {"set-up-list", "coolant_temp", "8%d"},
}

// TestBenchLoad measures; it holds nothing but that every value is taken. Each client
// does what the page with script does: it sends a field, gets the ranking, and asks
// for the advice.
func TestBenchLoad(t *testing.T) {
	if *load == 0 {
		t.Skip("measured on demand: -load 1m")
	}
	s := &shop{T: t, folder: t.TempDir()}
	for n := range *loadTabs {
		s.put(fmt.Sprintf("job%d", n), whistle)
	}
	c, _, at := served(t, program(t), s.folder)
	var m sync.Mutex
	took := map[string][]time.Duration{}
	measure := func(what string, since time.Time) {
		m.Lock()
		defer m.Unlock()
		took[what] = append(took[what], time.Since(since))
	}
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: *loadTabs}}
	answer := func(r *http.Request) string {
		got, err := client.Do(r)
		if err != nil {
			t.Error(err)
			return ""
		}
		defer got.Body.Close()
		text, err := io.ReadAll(got.Body)
		if err != nil || got.StatusCode != 200 {
			t.Errorf("%s: %d, %v", r.URL, got.StatusCode, err)
		}
		return string(text)
	}
	get := func(url string) string {
		r, _ := http.NewRequest("GET", url, nil)
		return answer(r)
	}
	_, token, _ := strings.Cut(get(at+"/job/job0"), `name="token" value="`)
	token, _, _ = strings.Cut(token, `"`)
	end := time.Now().Add(*load)
	var all sync.WaitGroup
	for n := range *loadTabs {
		all.Go(func() {
			was := map[string]string{"idle_speed": "850"}
			page := fmt.Sprintf("%s/job/job%d", at, n)
			for i := n; time.Now().Before(end); i++ {
				time.Sleep(time.Duration(rand.Float64() * 2 * float64(*loadPause)))
				v := loadValues[i%len(loadValues)]
				typed := fmt.Sprintf(v.form, 1+i%9)
				form := url.Values{"token": {token}, "rev": {"-"}, "set": {"1"}, "check": {v.check}, "r." + v.reading: {typed}, "was." + v.reading: {was[v.reading]}}
				r, _ := http.NewRequest("POST", page+"/readings", strings.NewReader(form.Encode()))
				r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
				r.Header.Set("Bench-Part", "ranking")
				since := time.Now()
				text := answer(r)
				measure("re-ranking", since)
				if !strings.Contains(text, `name="was.`+v.reading+`" value="`+typed+`"`) {
					t.Errorf("%s %q was not taken", v.reading, typed)
				}
				was[v.reading] = typed
				if *loadRanks {
					continue
				}
				since = time.Now()
				get(page)
				measure("advice", since)
			}
		})
	}
	all.Wait()
	c.Process.Signal(os.Interrupt)
	c.Wait()
	for _, what := range []string{"re-ranking", "advice"} {
		x := took[what]
		if len(x) == 0 {
			continue
		}
		slices.Sort(x)
		t.Logf("%-10s %5d in %v by %d clients: half within %v, 99 of 100 within %v, all within %v", what, len(x), *load, *loadTabs,
			x[len(x)/2].Round(time.Millisecond), x[len(x)*99/100].Round(time.Millisecond), x[len(x)-1].Round(time.Millisecond))
	}
	use := c.ProcessState.SysUsage().(*syscall.Rusage)
	busy := time.Duration(use.Utime.Nano() + use.Stime.Nano())
	t.Logf("processor time of the bench page: %v, %v for each value; largest memory %d MB", busy.Round(time.Second),
		(busy / time.Duration(len(took["re-ranking"]))).Round(100*time.Microsecond), use.Maxrss>>10)
}
