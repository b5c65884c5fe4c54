package engine

import (
	"encoding/json"
	"math/rand/v2"
	"testing"
)

// TestAnySequence: whatever is answered in whatever order, the interview goes on,
// and the job that it keeps ranks as its own does, digit by digit.
func TestAnySequence(t *testing.T) {
	p := shipped(t)
	pool := []string{"", "", "yes", "yes", "no", "1", "2", "3", "10", "0.5", "14", "850", "-1", "99999", "28 %", "14.4 deg dwell4", "75 psi", "abc",
		"co=1.9 hc=300", "leak_found=yes", "injector_drips=yes", "unmeasured-air", "unmeasured-air injector-leaking", "valve_duty=16 idle_speed=850", "co=null", "=", "é"}
	seeds := 6
	if testing.Short() {
		seeds = 2
	}
	for seed := range seeds {
		r := rand.New(rand.NewPCG(uint64(seed), 4))
		iv := begin(t, p, &Job{})
		for range 40 {
			switch r.IntN(12) {
			case 0, 1:
				iv.Back()
			case 2:
				if _, err := iv.PassOver(t.Context()); err != nil {
					t.Fatal(err)
				}
			case 3:
				if _, err := iv.AskAgain(t.Context()); err != nil {
					t.Fatal(err)
				}
			default:
				if _, err := iv.Answer(t.Context(), pool[r.IntN(len(pool))]); err != nil {
					t.Fatal(err)
				}
			}
			if iv.Question() == nil {
				t.Fatal("asks nothing, and does not end either")
			}
		}
		checkKept(t, iv)
	}
}

// checkKept holds the job that an interview keeps to the one that it has.
func checkKept(t *testing.T, iv *Interview) {
	t.Helper()
	text := iv.written(t)
	again, err := iv.pack.ParseJob("kept.json", []byte(text))
	if err != nil {
		t.Fatalf("%s\n%s", formatted(err), text)
	}
	a, err := json.Marshal(diagnose(t, iv.pack, iv.Job()))
	if err != nil {
		t.Fatal(err)
	}
	b, err := json.Marshal(diagnose(t, iv.pack, again))
	if err != nil {
		t.Fatal(err)
	}
	if string(a) != string(b) {
		t.Fatalf("what is kept ranks otherwise:\n%s", text)
	}
	if _, err := iv.Record(t.Context()); err != nil {
		t.Fatal(err)
	}
	begin(t, iv.pack, again)
}

// BenchmarkInterview is the time from an answer to the next question, at the place
// where most has to be weighed.
func BenchmarkInterview(b *testing.B) {
	for name, words := range map[string]string{"empty": "", "gases": "co=0.15 co2=13.2 o2=2.6 hc=260 idle_speed=870 valve_duty=16"} {
		b.Run(name, func(b *testing.B) {
			iv := begin(b, shipped(b), &Job{Vehicle: "brackenby-1800"})
			if words != "" {
				iv.answer(b, words)
			}
			iv.answer(b, setUp[:len(setUp)-1]...)
			for b.Loop() {
				iv.answer(b, "yes")
				iv.Back()
			}
		})
	}
}
