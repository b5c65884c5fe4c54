package engine

import (
	"slices"
	"strings"
	"testing"
)

// What a technician has to be told although no probability shows it. The
// readings are common practice, no source.

func TestOddReadingThatWaitsForTheSetUpIsTold(t *testing.T) {
	v := diagnose(t, shipped(t), parse(t, `{"vehicle":"brackenby-1800","readings":{"engine_warm":true,"valve_duty":45}}`))
	at := slices.IndexFunc(v.Waiting, func(w Waiting) bool { return w.Rule == "duty-high" })
	if at < 0 {
		t.Fatalf("a duty of 45 %% waits for nothing: %+v", v.Waiting)
	}
	if want := []Lack{{Reading: "electrical_load_off"}}; !slices.Equal(v.Waiting[at].Lacks, want) {
		t.Errorf("it waits for %+v, not %+v", v.Waiting[at].Lacks, want)
	}
	v = diagnose(t, shipped(t), parse(t, `{"vehicle":"brackenby-1800","readings":{"engine_warm":true,"electrical_load_off":true,"valve_duty":45}}`))
	if slices.ContainsFunc(v.Waiting, func(w Waiting) bool { return w.Rule == "duty-high" }) {
		t.Error("it still waits when the consumers are known to be off")
	}
}

func TestReadingThatContradictsItsSourcesIsDoubtful(t *testing.T) {
	for _, row := range []struct{ why, readings, reading string }{
		{"warm, says the person; 20 degC, says the thermometer", `"engine_warm":true,"coolant_temp":20`, "engine_warm"},
		{"a fade of 0 between 17 and 11 mA", `"engine_warm":true,"trim_fade":0,"regulator_current":17,"regulator_current_2500":11`, "trim_fade"},
		{"warm, and 90 degC", `"engine_warm":true,"coolant_temp":90`, ""},
		{"a fade of 6 between 17 and 11 mA", `"engine_warm":true,"trim_fade":6,"regulator_current":17,"regulator_current_2500":11`, ""},
	} {
		v := diagnose(t, shipped(t), parse(t, `{"vehicle":"brackenby-1800","readings":{`+row.readings+`}}`))
		var got []string
		for _, d := range v.Doubtful {
			got = append(got, d.Reading)
			if !strings.Contains(d.Text, "what is given counts") {
				t.Errorf("%s: %s", row.why, d.Text)
			}
		}
		if strings.Join(got, " ") != row.reading {
			t.Errorf("%s: doubtful are %q, not %q", row.why, got, row.reading)
		}
	}
}

// Several rules that tell the same weigh little one by one; they are named all
// the same.
func TestRulesThatFitAreNamed(t *testing.T) {
	v := diagnose(t, shipped(t), parse(t, `{"vehicle":"brackenby-1800","readings":{"engine_warm":true,"electrical_load_off":true,"purge_disconnected":true,
		"breather_vented":true,"idle_quality":"rough","misfire_felt":true,"hc":1800,"o2":3.5,"co":0.8,"co2":11.5,"regulator_current":14}}`))
	if v.Faults[0].Fault != "ignition-misfire" {
		t.Fatalf("%s leads", v.Faults[0].Fault)
	}
	d := v.Faults[0].Detail
	told := map[string]bool{}
	for _, e := range d.For {
		told[e.Rule] = true
	}
	for _, f := range d.Fits {
		told[f.Rule] = true
	}
	for _, rule := range []string{"hc-high", "rough-idle", "beats-missing-in-a-rough-idle"} {
		if !told[rule] {
			t.Errorf("%s is nowhere in the explanation", rule)
		}
	}
}

// Where more faults than a best set holds are each more probable than not, what
// any of them explains is not called unexplained.
func TestManyFaultsExplainTheirOwnFindings(t *testing.T) {
	v := diagnose(t, shipped(t), parse(t, `{"vehicle":"brackenby-1800","readings":{"engine_warm":true,"electrical_load_off":true,"purge_disconnected":true,
		"breather_vented":true,"valve_duty":12,"leak_found":true,"hiss_heard":true,"timing_idle":3,"sensor_volts":0.1,"sensor_volts_forced_rich":0.1,
		"plate_signal_smooth":false,"sample_line_ok":false,"idle_switch_closed":false,"coolant_sensor_resistance":2.5}}`))
	likely := 0
	for _, f := range v.Faults {
		if f.Probability > 0.5 {
			likely++
		}
	}
	if likely < 4 {
		t.Fatalf("only %d faults are likely; the job no longer tests what it should", likely)
	}
	for _, u := range v.Unexplained {
		if u.Rule == "idle-switch-does-not-close" || u.Rule == "coolant-sensor-high-when-warm" {
			t.Errorf("%s is called unexplained", u.Rule)
		}
	}
}
