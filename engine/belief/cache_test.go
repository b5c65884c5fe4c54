package belief

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"sync"
	"testing"
)

// TestAnswerDoesNotDependOnWhatWasAskedBefore: to the last digit, a network that
// has met the structure before answers like one that has not.
func TestAnswerDoesNotDependOnWhatWasAskedBefore(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 4))
		m, e := lawShape.random(r)
		old := must(t, m)
		var questions []Evidence
		for range 6 {
			q := e
			q.Seen = nil
			for _, s := range e.Seen {
				if r.IntN(3) > 0 {
					q.Seen = append(q.Seen, s)
				}
			}
			questions = append(questions, q)
		}
		for range 3 {
			for _, q := range questions {
				var got, want Posterior
				err := old.Posterior(q, &got)
				if fresh := must(t, m).Posterior(q, &want); fmt.Sprint(err) != fmt.Sprint(fresh) {
					t.Fatalf("seed %d: %v, a new network %v", seed, err, fresh)
				}
				if err == nil && !reflect.DeepEqual(got, want) {
					t.Fatalf("seed %d: %+v, a new network %+v", seed, got, want)
				}
			}
		}
	}
}

// TestOrdersAreBounded asks for more structures than are kept, from several sides
// at once.
func TestOrdersAreBounded(t *testing.T) {
	m := Model{}
	for i := range 13 {
		m.Faults = append(m.Faults, Fault{0.1})
		m.Conditions = append(m.Conditions, Condition{Leaks: []float64{0.1}})
		m.Findings = append(m.Findings, Finding{[]Outcome{{Leak: 0.1, States: []Shown{{i, 0, 0.9}}}}})
	}
	for i := range 13 {
		m.Links = append(m.Links, Link{i, i, 0, 0.8}, Link{i, (i + 1) % 13, 0, 0.7})
	}
	n := must(t, m)
	var wait sync.WaitGroup
	for side := range 4 {
		wait.Go(func() {
			var p Posterior
			for set := side; set < 1<<13; set += 4 {
				var e Evidence
				for i := range 13 {
					if set>>i&1 == 1 {
						e.Seen = append(e.Seen, n.Sure(i, 0))
					}
				}
				if err := n.Posterior(e, &p); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wait.Wait()
	if n.programs.held == 0 || n.programs.held > mostHeld+1<<20 {
		t.Errorf("programs of %d numbers kept", n.programs.held)
	}
	if kept := len(n.orders.all); kept > mostOrders {
		t.Errorf("%d sequences kept", kept)
	}
}
