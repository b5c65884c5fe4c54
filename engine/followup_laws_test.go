package engine

import (
	"encoding/json"
	"errors"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"culprit/engine/belief"
)

// TestOneSetIsTheOldForm: a job whose readings stand in a single set has the
// verdict of the same job without sets, to the last bit.
func TestOneSetIsTheOldForm(t *testing.T) {
	p := shipped(t)
	randomJobs(t, p, 50, func(t *testing.T, _ *rand.Rand, j *Job, v *Verdict) {
		one := &Job{Vehicle: j.Vehicle, Sets: []JobSet{{Label: "only", Readings: j.Readings}}}
		if a, b := asJSON(t, v), asJSON(t, diagnose(t, p, one)); a != b {
			t.Errorf("(-without +with a set):\n%s", cmp.Diff(a, b))
		}
	})
}

// TestSetWithoutRepairAddsUp: as long as nothing was repaired, readings may be
// taken in one set or in two, and only what is told of the sets differs.
func TestSetWithoutRepairAddsUp(t *testing.T) {
	p := shipped(t)
	compared := 0
	randomJobs(t, p, 60, func(t *testing.T, rng *rand.Rand, j *Job, v *Verdict) {
		parts := [2]map[string]Value{{}, {}}
		for id, x := range j.Readings {
			parts[rng.IntN(2)][id] = x
		}
		two := diagnose(t, p, &Job{Vehicle: j.Vehicle, Sets: []JobSet{{Label: "a", Readings: parts[0]}, {Label: "b", Readings: parts[1]}}})
		if two.FollowUp == nil || len(two.FollowUp.NotAgain) > 0 {
			t.Errorf("a reading is lost: %+v", two.FollowUp)
		}
		// A reading that is given and that also follows from others given later is
		// worked out anew, so such jobs differ on purpose.
		for id := range parts[0] {
			r := p.rules.Reading(id)
			for _, i := range p.sources([]int{r.Index}) {
				if _, later := parts[1][p.rules.Readings[i].ID]; later && r.From != nil {
					return
				}
			}
		}
		compared++
		two.FollowUp, two.Cautions = nil, v.Cautions
		if a, b := asJSON(t, v), asJSON(t, two); a != b {
			t.Errorf("(-one +two sets):\n%s", cmp.Diff(a, b))
		}
	})
	if compared < 5 && !testing.Short() {
		t.Errorf("only %d jobs were compared", compared)
	}
}

// TestRepairedIsAbsent: when a repair is believed, the others are ranked as by the
// pack that never had the fault.
func TestRepairedIsAbsent(t *testing.T) {
	with := tiny(t, pumpPack)
	var kept []string
	for line := range strings.Lines(pumpPack) {
		if !strings.Contains(line, "  pump: {") {
			kept = append(kept, strings.Replace(line, "shows: {pump: 0.8}", "shows: {delivery.poor: 0.1}", 1))
		}
	}
	without := tiny(t, strings.Join(kept, ""))
	after := `{"ready": true, "pressure": 3.9, "flow": 2, "lamp_dark": true}`
	a := diagnose(t, with, pumpJob(t, `{"readings": {"ready": true, "pressure": 2, "flow": 1.8}}, {"repaired": ["pump"], "readings": `+after+`}`))
	b := diagnose(t, without, pumpJob(t, `{"readings": `+after+`}`))
	if got := a.fault(t, "pump").Probability; got != 0 {
		t.Errorf("the repaired pump has %v", got)
	}
	for _, f := range b.Faults {
		around(t, f.Fault, a.fault(t, f.Fault).Probability, f.Probability, 1e-12)
	}
	around(t, "no fault", a.NoFault, b.NoFault, 1e-12)
}

// TestUnchangedIsNotEvidence: a repair that changed nothing leaves the ranking as
// the readings alone make it.
func TestUnchangedIsNotEvidence(t *testing.T) {
	p := tiny(t, pumpPack)
	readings := `{"ready": true, "pressure": 2, "flow": 1.8, "noise": "loud"}`
	a := diagnose(t, p, pumpJob(t, `{"readings": `+readings+`}`))
	b := diagnose(t, p, pumpJob(t, `{"readings": `+readings+`}, {"repaired": ["pump"], "readings": `+readings+`}`))
	if b.FollowUp.Repaired[0].Outcome != NoChange {
		t.Fatalf("the outcome is %s", b.FollowUp.Repaired[0].Outcome)
	}
	sameVerdict(t, a, b)
}

// TestRandomFollowUps: whatever was repaired and read again, a verdict is one, and
// no reading gets lost: it counts, or it is named.
func TestRandomFollowUps(t *testing.T) {
	p := shipped(t)
	faults := p.Faults()
	randomJobs(t, p, 60, func(t *testing.T, rng *rand.Rand, first *Job, _ *Verdict) {
		j := &Job{Vehicle: first.Vehicle, Sets: []JobSet{{Label: "before", Readings: first.Readings}}}
		for range 1 + rng.IntN(3) {
			j.AfterRepair([]string{faults[rng.IntN(len(faults))]}, "test")
			j.Sets[len(j.Sets)-1].Readings = randomJob(rng, p, rng.IntN(30)).Readings
		}
		v, err := p.Diagnose(t.Context(), j, Options{})
		if errors.Is(err, belief.ErrImpossible) {
			return // random readings may be what the rules never expect
		}
		if err != nil {
			t.Fatal(formatted(err))
		}
		checkVerdict(t, v)
		text, err := json.Marshal(v.FollowUp)
		if err != nil || strings.Contains(string(text), ":null") {
			t.Errorf("%v, or a list that is null: %s", err, text)
		}
		named := map[string]bool{}
		for _, r := range v.Readings {
			named[r.Reading] = true
		}
		for _, n := range v.FollowUp.NotAgain {
			named[n.Reading] = true
			if len(n.Faults) == 0 {
				t.Errorf("nothing could have moved %s", n.Reading)
			}
		}
		setUp := p.ofSetUp()
		for _, s := range j.Sets {
			for id := range s.Readings {
				if r := p.rules.Reading(id); !named[id] && !setUp[r.Index] {
					t.Errorf("%s is lost", id)
				}
			}
		}
	})
}

func asJSON(t *testing.T, v *Verdict) string {
	t.Helper()
	text, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
