package advice

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"culprit/engine/belief"
)

// bareProblem has faults that each are settled by a check of their own.
func bareProblem(t testing.TB, observe, repair []float64, last float64) *Problem {
	t.Helper()
	p := &Problem{LastResort: last}
	var m belief.Model
	for i := range observe {
		m.Faults = append(m.Faults, belief.Fault{Prior: 0.1})
		p.Faults = append(p.Faults, Fault{Repair: repair[i], Settle: i})
		p.Checks = append(p.Checks, Check{Minutes: observe[i]})
	}
	net, err := belief.New(m)
	if err != nil {
		t.Fatal(err)
	}
	p.Net = net
	return p
}

// singleFaultCost is the expected cost of going through single faults in an
// order, straight from the formula of Heckerman, Breese and Rommelse (1995):
// sum over i of (1 - sum of the p before) Co_i + p_i Cr_i (from memory).
func singleFaultCost(order []int, p, observe, repair []float64) float64 {
	sum, before := 0.0, 0.0
	for _, i := range order {
		sum += (1-before)*observe[i] + p[i]*repair[i]
		before += p[i]
	}
	return sum
}

// TestOutsideOrderOfRepairs compares the plan with every order there is. For one
// fault and perfect checks, ascending cost over probability is optimal (Kadane and
// Simon 1977; Kalagnanam and Henrion 1990); the numbers of the first two rows are
// worked out by hand from the formula above, all permutations tried.
func TestOutsideOrderOfRepairs(t *testing.T) {
	for _, row := range []struct {
		why                string
		p, observe, repair []float64
		want               float64
		order              []int
	}{
		{"three parts", []float64{.5, .3, .2}, []float64{4, 1, 2}, []float64{10, 20, 5}, 16.2, []int{1, 0, 2}},
		{"four parts, two of the same ratio", []float64{.4, .3, .2, .1}, []float64{20, 5, 10, 2}, make([]float64, 4), 20.4, []int{1, 3, 0, 2}},
	} {
		plan := bareProblem(t, row.observe, row.repair, 1000).Plan(row.p, 0)
		if !(math.Abs(plan.Minutes-row.want) <= 1e-9) {
			t.Errorf("%s: %v minutes, want %v", row.why, plan.Minutes, row.want)
		}
		var order []int
		for _, s := range plan.Steps {
			order = append(order, s.Faults...)
		}
		if !slices.Equal(order, row.order) {
			t.Errorf("%s: order %v, want %v", row.why, order, row.order)
		}
	}
	r := rand.New(rand.NewPCG(1990, 14))
	for range 300 {
		n := 1 + r.IntN(6)
		p, observe, repair := make([]float64, n), make([]float64, n), make([]float64, n)
		sum := 0.0
		for i := range n {
			p[i], observe[i], repair[i] = r.Float64(), 1+30*r.Float64(), 60*r.Float64()
			sum += p[i]
		}
		for i := range n {
			p[i] /= sum
		}
		plan := bareProblem(t, observe, repair, 1e6).Plan(p, 0)
		best := math.Inf(1)
		permutations(n, func(order []int) { best = min(best, singleFaultCost(order, p, observe, repair)) })
		if !(math.Abs(plan.Minutes-best) <= 1e-9*best) {
			t.Fatalf("p %v, checks %v, repairs %v: %v minutes, the best order takes %v", p, observe, repair, plan.Minutes, best)
		}
	}
}

func permutations(n int, do func([]int)) {
	order := make([]int, 0, n)
	used := make([]bool, n)
	var place func()
	place = func() {
		if len(order) == n {
			do(order)
			return
		}
		for i := range n {
			if used[i] {
				continue
			}
			used[i] = true
			order = append(order, i)
			place()
			order = order[:len(order)-1]
			used[i] = false
		}
	}
	place()
}

// TestLastResortEndsThePlan tries every place to stop: what the plan costs is the
// least of them.
func TestLastResortEndsThePlan(t *testing.T) {
	p, observe, repair := []float64{.5, .2, .1}, []float64{10, 20, 60}, []float64{30, 30, 30}
	stopped := 0
	for _, last := range []float64{0, 10, 40, 90, 200, 400, 1000} {
		plan := bareProblem(t, observe, repair, last).Plan(p, 0.2)
		best, needed := math.Inf(1), 0.0
		for stop := range 4 {
			sum, left := 0.0, 1.0
			for i := range stop {
				sum += left*observe[i] + p[i]*repair[i]
				left -= p[i]
			}
			if sum += left * last; sum < best {
				best, needed = sum, left
			}
		}
		if !(math.Abs(plan.Minutes-best) <= 1e-9) || !(math.Abs(plan.LastResort-needed) <= 1e-12) {
			t.Errorf("last resort %v: %v with %v for it, want %v with %v", last, plan.Minutes, plan.LastResort, best, needed)
		}
		if len(plan.Steps) < 3 {
			stopped++
		}
	}
	if stopped == 0 {
		t.Error("the plan never stopped early")
	}
}

// TestReachedIsExactWhereItSaysSo holds the closed form to the joint posterior of
// independent faults and of faults of which exactly one or none is there, and
// between its bounds on networks in which faults compete for the same findings.
func TestReachedIsExactWhereItSaysSo(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 95))
	for range 200 {
		n := 2 + r.IntN(4)
		p, observe := make([]float64, n), make([]float64, n)
		none := 1.0
		for i := range n {
			p[i], observe[i] = r.Float64(), 1+9*r.Float64()
			none *= 1 - p[i]
		}
		plan := bareProblem(t, observe, make([]float64, n), 1e9).Plan(p, none)
		rest := none
		for k := len(plan.Steps) - 1; k >= 0; k-- { // from the last step: what is still to be found
			absent := 1.0
			for _, s := range plan.Steps[k:] {
				absent *= 1 - p[s.Faults[0]]
			}
			if want := min(1, none+1-absent); !(math.Abs(plan.Steps[k].Reached-want) <= 1e-12) {
				t.Fatalf("independent %v: step %d is reached with %v, want %v", p, k, plan.Steps[k].Reached, want)
			}
			rest = plan.Steps[k].Reached
		}
		if !(math.Abs(rest-1) <= 1e-12) {
			t.Fatalf("the first step is reached with %v", rest)
		}
	}
}

func TestStepsShareAPreparation(t *testing.T) {
	p := bareProblem(t, []float64{5, 5}, []float64{0, 0}, 1000)
	p.Preparations = []float64{10}
	p.Checks[0].Prepare, p.Checks[1].Prepare = []int{0}, []int{0}
	plan := p.Plan([]float64{.6, .4}, 0)
	if got, want := plan.Minutes, 15+.4*5; !(math.Abs(got-want) <= 1e-12) {
		t.Errorf("%v minutes, want %v: the second check finds the gauge fitted", got, want)
	}
	if plan.Steps[1].Minutes != 5 {
		t.Errorf("the second step takes %v", plan.Steps[1].Minutes)
	}
}

func TestOneCheckSettlesSeveralFaults(t *testing.T) {
	p := bareProblem(t, []float64{10, 10}, []float64{20, 30}, 1000)
	p.Faults[1].Settle = 0
	plan := p.Plan([]float64{.6, .4}, 0)
	if len(plan.Steps) != 1 || !(math.Abs(plan.Minutes-(10+.6*20+.4*30)) <= 1e-12) {
		t.Errorf("%+v", plan)
	}
}

func TestAFaultWhoseCheckIsMadeIsRepairedOutright(t *testing.T) {
	for _, row := range []struct {
		why  string
		mark func(*Problem)
	}{
		{"made", func(p *Problem) { p.Checks[0].Made = true }},
		{"no tool for it", func(p *Problem) { p.Checks[0].Barred = true }},
		{"no check", func(p *Problem) { p.Faults[0].Settle = -1 }},
	} {
		p := bareProblem(t, []float64{5, 5}, []float64{40, 40}, 1000)
		row.mark(p)
		plan := p.Plan([]float64{.9, .1}, 0)
		// Settling the other first takes 5, repairing it .1*40; then 40 with .9 left.
		first := plan.Steps[slices.IndexFunc(plan.Steps, func(s Step) bool { return s.Faults[0] == 0 })]
		if first.Check != -1 || first.Minutes != 40 {
			t.Errorf("%s: %+v", row.why, first)
		}
	}
	p := bareProblem(t, []float64{5}, []float64{40}, 100)
	p.Faults[0].NoRepair = true
	if plan := p.Plan([]float64{1}, 0); len(plan.Steps) != 0 || plan.Minutes != 100 {
		t.Errorf("a fault without a repair: %+v", plan)
	}
}

// TestOrderOfSeveralFaults compares the plan with the best of all orders by the
// same sum where any number of faults may be present, independently, one of them
// certainly in half of the cases.
func TestOrderOfSeveralFaults(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 7))
	for range 400 {
		k := 2 + r.IntN(4)
		p, observe := make([]float64, k), make([]float64, k)
		none := 1.0
		for i := range k {
			p[i], observe[i] = r.Float64()*r.Float64(), 1+40*r.Float64()
			none *= 1 - p[i]
		}
		p[0] = max(p[0], float64(r.IntN(2))) // certain in half of the cases
		if p[0] == 1 {
			none = 0
		}
		got := bareProblem(t, observe, make([]float64, k), 1e6).Plan(p, none).Minutes - none*1e6 // but for the last resort, which is the same for all
		best := math.Inf(1)
		permutations(k, func(order []int) {
			at := place{none: none, absent: 1}
			for i := range p {
				at.add(&step{absent: 1 - p[i]})
			}
			cost := 0.0
			for _, i := range order {
				cost += at.reached() * observe[i]
				at.pass(&step{absent: 1 - p[i], probability: p[i]})
			}
			best = min(best, cost)
		})
		if !(math.Abs(got-best) <= 1e-6*(1+best)) {
			t.Fatalf("p %v, minutes %v: %v, the best order takes %v", p, observe, got, best)
		}
	}
}
