package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"culprit/cmd/culprit/internal/benchpage"
	"culprit/engine"
)

// fewTools leaves only the checks that need no tool where tests have to be short:
// with the race detector an advice on all of them takes seconds, and here nothing
// hangs on it.
func fewTools(o *benchpage.Options) {
	if testing.Short() {
		o.Without = o.Pack.Tools()
	}
}

// TestBenchTwoTabs: what two windows enter of different readings is both kept; of one
// reading the second is told, with both values, and decides.
func TestBenchTwoTabs(t *testing.T) {
	s := openShop(t, fewTools)
	a, b := s.tab().open("/job/whistle"), s.tab().open("/job/whistle")
	a.enter("gases-at-idle", "r.co", "1.9").shows(200, "Kept.")
	b.enter("gases-at-idle", "r.hc", "300")
	b.shows(200, "Kept. The job was changed elsewhere, too", "1.90 %", "300 ppm")
	if kept := s.kept("whistle"); !strings.Contains(kept, `"co": 1.9`) || !strings.Contains(kept, `"hc": 300`) {
		t.Fatalf("kept:\n%s", kept)
	}

	a.open("/job/whistle")
	b.enter("gases-at-idle", "r.co", "1.2", "r.o2", "0.5").shows(200, "Kept.")
	a.enter("gases-at-idle", "r.co", "2.5", "r.co2", "14")
	a.shows(409, "Changed in two windows", "1.2", "2.5", "Put mine in", "Keep what is in the job")
	if kept := s.kept("whistle"); !strings.Contains(kept, `"co": 1.2`) || !strings.Contains(kept, `"co2": 14`) || !strings.Contains(kept, `"o2": 0.5`) {
		t.Errorf("kept:\n%s", kept)
	}
	a.send("main")
	a.shows(200, "Kept.")
	if kept := s.kept("whistle"); !strings.Contains(kept, `"co": 2.5`) || !strings.Contains(kept, `"o2": 0.5`) {
		t.Errorf("kept:\n%s", kept)
	}

	// Both entered the same: nothing crosses.
	a.open("/job/whistle")
	b.open("/job/whistle")
	a.enter("gases-at-idle", "r.co", "1.1")
	b.enter("gases-at-idle", "r.co", "1.1").shows(200)
}

// TestBenchRepairMeanwhile: readings typed for the set of before do not slip into
// that of after a repair; and a repair is taken only from who has seen the readings.
func TestBenchRepairMeanwhile(t *testing.T) {
	s := openShop(t, fewTools)
	a, b := s.tab().open("/job/whistle"), s.tab().open("/job/whistle")
	b.send(`id="repair-head"`, "fault[]", "unmeasured-air").shows(200, "A new set of readings was begun")
	before := s.kept("whistle")
	a.enter("gases-at-idle", "r.co", "1.9")
	a.shows(409, "a repair was entered elsewhere", "after repair", "1.9", "Mine are of after the repair: put them in")
	if s.kept("whistle") != before {
		t.Errorf("kept:\n%s", s.kept("whistle"))
	}
	a.send("main").shows(200, "Kept.")
	if kept := s.kept("whistle"); strings.Index(kept, `"co": 1.9`) < strings.Index(kept, "after repair") {
		t.Errorf("kept:\n%s", kept)
	}

	b.send("Say what was repaired", "fault[]", "throttle-gummed")
	b.shows(409, "The job was changed elsewhere since your page was made")
	if strings.Contains(s.kept("whistle"), "throttle-gummed") {
		t.Error("the repair was taken")
	}
	if !strings.Contains(b.page, `value="throttle-gummed" checked`) && !strings.Contains(b.page, `value="throttle-gummed" selected`) {
		t.Error("what was chosen is gone")
	}

	a.open("/job/whistle")
	b.open("/job/whistle")
	a.send(`id="about-head"`, "name", "Whistles").shows(200, "Kept.")
	b.send(`id="about-head"`, "name", "Hisses").shows(409, "Whistles", "Hisses")
	b.open("/job/whistle").shows(200, "Whistles")
	a.open("/job/whistle")
	b.send(`id="about-head"`, "name", "Hisses").shows(200, "Hisses")
	a.send(`id="about-head"`, "note", "still warm").shows(200, "Hisses") // another part of the same form
	if kept := s.kept("whistle"); !strings.Contains(kept, `"name": "Hisses"`) || !strings.Contains(kept, "still warm") {
		t.Errorf("kept:\n%s", kept)
	}
}

// TestBenchAtOnce: many windows of two bench pages on one folder enter at once, each
// its own reading; none is lost and no file is half.
func TestBenchAtOnce(t *testing.T) {
	s := openShop(t, fewTools)
	second := s.another(fewTools)
	rounds := 5
	if testing.Short() {
		rounds = 2
	}
	pages := []struct{ check, reading string }{
		{"gases-at-idle", "co"}, {"gases-at-idle", "co2"}, {"gases-at-idle", "o2"}, {"gases-at-idle", "hc"},
		{"idle-and-duty", "valve_duty"}, {"current-at-idle", "regulator_current"}, {"current-at-idle", "regulator_swing"}, {"timing", "timing_idle"},
	}
	var all sync.WaitGroup
	for i, p := range pages {
		b := s.tab()
		if i%2 == 1 {
			b.at = second
		}
		all.Go(func() {
			for n := 1; n <= rounds; n++ {
				b.open("/job/whistle")
				b.enter(p.check, "r."+p.reading, fmt.Sprint(n))
				if b.status != 200 {
					b.Errorf("%s: status %d: %.300s", p.reading, b.status, b.text())
				}
			}
		})
	}
	all.Wait()
	var got struct{ Readings map[string]any }
	if err := json.Unmarshal([]byte(s.kept("whistle")), &got); err != nil {
		t.Fatal(err)
	}
	for _, p := range pages {
		if got.Readings[p.reading] != float64(rounds) {
			t.Errorf("%s is %v, want %d", p.reading, got.Readings[p.reading], rounds)
		}
	}
	alone(t, s.folder, "whistle.json")

	// New jobs at once have names of their own.
	for range 8 {
		b := s.tab()
		all.Go(func() { b.open("/").send(`id="new-head"`, "name", "x").shows(200, "A new job") })
	}
	all.Wait()
	entries, _ := os.ReadDir(s.folder)
	if len(entries) != 9 {
		t.Errorf("%d files", len(entries))
	}
}

// TestBenchAndInterview: a job that is in an interview is not changed, and who has it
// is told.
func TestBenchAndInterview(t *testing.T) {
	s := openShop(t, fewTools)
	b := s.tab().open("/job/whistle")
	f, err := openJobFile("", filepath.Join(s.folder, "whistle.json"))
	if err != nil {
		t.Fatal(err)
	}
	b.enter("gases-at-idle", "r.co", "1.9")
	b.shows(423, "The job is open elsewhere", fmt.Sprintf("process %d on", os.Getpid()))
	if s.kept("whistle") != whistle {
		t.Error("the job was changed")
	}
	f.close()
	b.open("/job/whistle").enter("gases-at-idle", "r.co", "1.9").shows(200, "Kept.")
	// Elsewhere changed with an editor: the page shows it, and what it does not change
	// stays as it is written there.
	s.put("whistle", strings.Replace(whistle, `850`, `{"value": 900, "unit": "/min", "within": 5}`, 1))
	b.open("/job/whistle").shows(200, "900 /min")
	b.enter("gases-at-idle", "r.co", "1.9").shows(200, "Kept.")
	if kept := s.kept("whistle"); !strings.Contains(kept, `{"value":900,"unit":"/min","within":5}`) {
		t.Errorf("kept:\n%s", kept)
	}
	if _, err := engine.ParseJob("", []byte(s.kept("whistle"))); err != nil {
		t.Error(err)
	}
}
