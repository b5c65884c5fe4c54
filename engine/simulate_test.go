package engine

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// TestSimulatedJob works one car off and counts by hand.
func TestSimulatedJob(t *testing.T) {
	p := tiny(t, perfect)
	s := p.Simulate()
	car := s.CarWith([]int{0, 2}, rand.New(rand.NewPCG(1, 1)))
	before := slices.Clone(car.says)
	j := s.Start(car)
	for _, m := range []SimMove{{DoCheck, "look-b"}, {DoRepair, "b"}, {DoCheck, "look-a"}, {DoRepair, "a"}} {
		work(t, j, m)
	}
	if j.Over() {
		t.Fatal("the job is over with a fault left")
	}
	if got := j.car.says[0]; got != 1 {
		t.Errorf("after the repair of a its rule still says %d", got)
	}
	for _, m := range []SimMove{{DoCheck, "look-a"}, {DoCheck, "look-x"}, {DoRepair, "a"}, {DoRepair, "x"}, {"sing", ""}} {
		if j.Do(m) == nil {
			t.Errorf("%v is taken", m)
		}
	}
	work(t, j, SimMove{DoRepair, "c"})
	if !j.Over() || j.Do(SimMove{DoCheck, "look-c"}) == nil {
		t.Error("the job goes on with no fault left")
	}
	// Checks of 1 and 4 minutes, repairs of 20, 10 and 5, three times measured again.
	// Whoever knows does two of the repairs.
	want := SimTally{Minutes: 5 + 35 + 3*MeasureAgain, Unavoidable: 15 + 2*MeasureAgain, Checks: 2, Wasted: 1}
	if got := j.Tally(); got != want {
		t.Errorf("took %+v, by hand %+v", got, want)
	}
	if !slices.Equal(before, car.says) || len(car.Faults()) != 2 {
		t.Error("the job has changed the car that it was given")
	}
}

// TestLastResortEndsTheJob: it takes its minutes, and is what cannot be saved
// where no fault of the rules is there.
func TestLastResortEndsTheJob(t *testing.T) {
	p := tiny(t, perfect)
	s := p.Simulate()
	for _, faults := range [][]int{nil, {1}} {
		j := s.Start(s.CarWith(faults, rand.New(rand.NewPCG(1, 1))))
		work(t, j, SimMove{Do: DoLastResort})
		want := SimTally{Minutes: noLastResort, Unavoidable: noLastResort, LastResort: true}
		if faults != nil {
			want.Unavoidable = 20 + MeasureAgain
		}
		if got := j.Tally(); got != want || !j.Over() {
			t.Errorf("faults %v: took %+v, by hand %+v", faults, got, want)
		}
	}
}

// TestAnswersOfASimulatedCar: a rule answers once its readings are taken, unless
// its given cannot be so then.
func TestAnswersOfASimulatedCar(t *testing.T) {
	p := tiny(t, twins)
	s := p.Simulate()
	for _, x := range []struct {
		because string
		made    []string
		want    []string
	}{
		{"nothing was read", nil, nil},
		{"a difference takes both its readings, and what asks for an unread one speaks", []string{"cold-end"}, []string{"hot-not-taken"}},
		{"one reading of a difference is not enough", []string{"hot-end"}, nil},
		{"what asks for an unread one is silent once it is read", []string{"hot-end", "cold-end"}, []string{"gap-wide", "never-taken"}},
		{"a rule for cars that are not ready is silent", []string{"look"}, []string{"it-is-seen"}},
	} {
		made := make([]bool, len(p.rules.Checks))
		for _, id := range x.made {
			made[p.rules.Check(id).Index] = true
		}
		var got []string
		for _, f := range s.findings(made) {
			got = append(got, p.findings[f].rules[0].ID)
		}
		if !slices.Equal(got, x.want) {
			t.Errorf("%v (%s): %v answer, want %v", x.made, x.because, got, x.want)
		}
	}
}

// TestOpening: what every job begins with in the shipped packs.
func TestOpening(t *testing.T) {
	for name, want := range map[string][]string{
		"continuous-injection":  {"ask-the-customer", "set-up-list"},
		"starting-and-charging": {"ask", "rest"}, // rest yields three of its four set-up points
	} {
		p, err := Open(Sources{Pack: name})
		if err != nil {
			t.Fatal(err)
		}
		if got := p.Simulate().Opening(); !slices.Equal(got, want) {
			t.Errorf("%s opens with %v, want %v", name, got, want)
		}
	}
}
