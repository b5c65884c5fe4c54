package main

import (
	"regexp"
	"strings"
	"testing"
)

// TestBenchWholeJob goes through a job as a browser without script does: begin it,
// set up, read, look at a fault, repair, read again, compare, print.
func TestBenchWholeJob(t *testing.T) {
	s := openShop(t, fewTools)
	b := s.tab().open("/")
	b.shows(200, "Jobs in this folder", "Whistle at idle", "Brackenby 1800 (invented)")
	b.send(`id="new-head"`, "name", "Stalls <b>warm</b>", "vehicle", "brackenby-1800")
	b.shows(200, "A new job", "Stalls &lt;b&gt;warm&lt;/b&gt;", "Set-up list")
	if !testing.Short() { // with few tools something else comes first
		b.shows(200, "Readings count only once the car is set up")
	}
	b.not("<b>warm</b>")
	id := regexp.MustCompile(`/job/(job-[0-9-]+)\?`).FindStringSubmatch(b.path)[1]

	b.enter("set-up-list", "r.engine_warm", "no", "r.electrical_load_off", "yes", "r.purge_disconnected", "yes", "r.breather_vented", "yes")
	b.shows(200, "Kept.", "Set-up not met", "Engine at operating temperature")
	b.enter("set-up-list", "r.engine_warm", "yes")
	if strings.Contains(b.page, "Set-up not met") {
		t.Error("the set-up is met by now")
	}
	b.enter("idle-and-duty", "r.idle_speed", "850", "r.valve_duty", "14.4", "u.valve_duty", "deg dwell4")
	b.shows(200, "16.0 %: below by 11 %", "In order: 27-29 %", "14.4 deg dwell4")
	if kept := s.kept(id); !strings.Contains(kept, `"valve_duty": "14.4 deg dwell4"`) || !strings.Contains(kept, `"idle_speed": 850`) {
		t.Errorf("kept:\n%s", kept)
	}
	b.enter("current-at-idle", "r.regulator_current", "16.5")
	// 0.5-6 mA stands in the limits of the swing; the field after the one that was
	// entered has the keyboard.
	if !regexp.MustCompile(`id="f-regulator_swing"[^>]*autofocus`).MatchString(b.page) {
		t.Error("the next empty field of the check does not have the keyboard")
	}
	b.shows(200, "Air leaking in behind the air-flow plate")
	b.open("/job/" + id + "?open=unmeasured-air")
	b.shows(200, "The current is above its reference", "Decibans", "Settled by:", "<desc id=")

	b.send(`id="repair-head"`)
	b.shows(422, "Choose what was repaired.")
	b.send(`id="repair-head"`, "fault[]", "unmeasured-air", "found", "boot split")
	b.shows(200, "A new set of readings was begun", "Repair done, before and after", "boot split", "Before: 16.5 mA", "Nothing was read since the last repair")
	b.send(`id="repair-head"`)
	b.shows(200, "The repair was taken back")
	b.not("boot split")
	b.send(`id="repair-head"`, "fault[]", "unmeasured-air", "found", "boot split")
	b.enter("set-up-list", "r.engine_warm", "yes", "r.electrical_load_off", "yes", "r.purge_disconnected", "yes", "r.breather_vented", "yes")
	b.enter("idle-and-duty", "r.idle_speed", "850", "r.valve_duty", "28")
	b.enter("current-at-idle", "r.regulator_current", "10.4")
	b.enter("ask-the-customer", "r.complaint", "none")
	b.shows(200, "In order after the repair", "Nothing: all that was odd is in order")

	b.send(`id="about-head"`, "note", "two\r\nlines")
	b.shows(200, "Kept.")
	if kept := s.kept(id); !strings.Contains(kept, `"note": "two\nlines"`) {
		t.Errorf("kept:\n%s", kept)
	}
	b.open("/job/"+id+"/sheet").shows(200, "Job sheet", "Repair done, before and after", "two lines")
	b.open("/compare?a=whistle&b="+id).shows(200, "Whistle at idle", "Idle speed", "850 /min", "not read")
	b.open("/").shows(200, "2 sets of readings, repaired")
	alone(t, s.folder, id+".json", "whistle.json")
}

// TestBenchRefuses: what cannot be a reading is refused beside its field and still
// stands there; the rest of the form counts; what is hardly possible is asked about
// and counts.
func TestBenchRefuses(t *testing.T) {
	for _, c := range []struct{ why, typed, unit, says string }{
		{"text", "lots", "", `no number at the start of "lots"`},
		{"wrong unit", "1.9 bar", "", "is a pressure; here a fraction is wanted"},
		{"wrong unit chosen", "1.9", "bar", "is a pressure"},
		{"script", `"><script>alert(1)</script>`, "", "Not taken:"},
		{"huge", "1e300", "", "no instrument reads that much"},
		{"more than a float holds", "1e999", "", "Not taken:"},
		{"not a number", "NaN", "", "Not taken:"},
		{"long", strings.Repeat("9", 5000), "", "too long for a reading"},
	} {
		t.Run(c.why, func(t *testing.T) {
			s := openShop(t, fewTools)
			b := s.tab().open("/job/whistle")
			b.enter("gases-at-idle", "r.co", c.typed, "u.co", c.unit, "r.hc", "300")
			b.shows(422, c.says, "Not taken: 1 value")
			b.not("<script>alert")
			if !regexp.MustCompile(`id="f-co"[^>]*aria-describedby="s-co"[^>]*aria-invalid="true"`).MatchString(b.page) {
				t.Error("the field does not say that it is refused, and where the reason stands")
			}
			if len(c.typed) < 60 && !strings.Contains(b.text(), "1.9") && !strings.Contains(b.page, `value="`+strings.ReplaceAll(strings.ReplaceAll(strings.ReplaceAll(c.typed, "<", "&lt;"), ">", "&gt;"), `"`, "&#34;")) {
				t.Error("what was typed is gone")
			}
			want := strings.Replace(whistle, `    "engine_warm"`, "    \"hc\": 300,\n    \"engine_warm\"", 1)
			if got := s.kept("whistle"); got != want {
				t.Errorf("kept:\n%s", got)
			}
		})
	}
	t.Run("hardly possible", func(t *testing.T) {
		s := openShop(t, fewTools)
		b := s.tab().open("/job/whistle")
		b.enter("gases-at-idle", "r.co2", "144")
		b.shows(200, "Is that right?", "144 % is hardly possible")
		if got := s.kept("whistle"); !strings.Contains(got, `"co2": 144`) {
			t.Errorf("kept:\n%s", got)
		}
	})
	t.Run("each field", func(t *testing.T) {
		s := openShop(t, fewTools)
		b := s.tab().open("/job/whistle")
		n := 0
		for _, m := range regexp.MustCompile(`id="c-([a-z0-9-]+)"`).FindAllStringSubmatch(b.page, -1) {
			b.open("/job/whistle")
			_, fields := b.form(`id="c-` + m[1] + `"`)
			var with []string
			for name := range fields {
				if strings.HasPrefix(name, "r.") {
					with = append(with, name, "<script>x</script> 1e400 parsec")
					n++
				}
			}
			b.enter(m[1], with...)
			if b.status != 422 && len(with) > 0 {
				t.Errorf("%s: status %d", m[1], b.status)
			}
			b.not("<script>x")
		}
		if n < 60 {
			t.Errorf("%d fields were tried", n)
		}
		if s.kept("whistle") != whistle {
			t.Error("the job was changed")
		}
	})
}

// TestBenchTellsOfBrokenFiles: a file that is no job is told where the jobs are
// listed, and is left as it is.
func TestBenchTellsOfBrokenFiles(t *testing.T) {
	s := openShop(t, fewTools)
	s.put("broken", `{"readings": {"idel_speed": 850}}`)
	s.put("half", `{"readings": {`)
	s.put("empty", ``)
	b := s.tab().open("/")
	b.shows(200, "cannot be opened:", "idel_speed", "Whistle at idle")
	for _, id := range []string{"broken", "half", "empty"} {
		b.open("/job/"+id).shows(422, "The file of this job cannot be taken")
	}
	b.open("/job/broken").shows(422, "did you mean")
	if s.kept("broken") != `{"readings": {"idel_speed": 850}}` || s.kept("empty") != "" {
		t.Error("a broken file was changed")
	}
}
