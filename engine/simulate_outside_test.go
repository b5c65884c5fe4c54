package engine

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"culprit/engine/belief"
)

// leastChance is that of a goodness of fit below which a drawing counts as wrong.
// With some thousand comparisons of which one must not fail by chance, and a
// fixed seed, so that none does from one run to the next.
const leastChance = 1e-6

// fits holds counts to probabilities by Pearson's chi-square, with the
// distribution of gonum. What cannot happen must not have happened. Outcomes of which
// less than 5 are expected, the usual least for the statistic (Cochran 1954; from
// memory), are counted together. It reports whether there was anything to compare.
func fits(t *testing.T, what string, counts []int, probabilities []float64) bool {
	t.Helper()
	n := 0
	for _, c := range counts {
		n += c
	}
	var seen, want []float64
	rare, rarely := 0.0, 0.0
	for k, p := range probabilities {
		if p*float64(n) < 1e-9 && counts[k] > 0 {
			t.Errorf("%s: outcome %d cannot be, and was drawn %d times", what, k, counts[k])
		}
		if p*float64(n) >= 5 {
			seen, want = append(seen, float64(counts[k])), append(want, p*float64(n))
		} else {
			rare, rarely = rare+float64(counts[k]), rarely+p*float64(n)
		}
	}
	if rarely >= 5 {
		seen, want = append(seen, rare), append(want, rarely)
	}
	if len(seen) < 2 {
		return false
	}
	if chance := (distuv.ChiSquared{K: float64(len(seen) - 1)}).Survival(stat.ChiSquare(seen, want)); chance < leastChance {
		t.Errorf("%s: drawn %v, expected %v: a chance of %.2g", what, seen, want, chance)
	}
	return true
}

func shippedPacks(t *testing.T) []*Pack {
	var all []*Pack
	for _, name := range ShippedPacks() {
		p, err := Open(Sources{Pack: name})
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
	return all
}

// TestOutsideCarsFollowTheNetwork holds what rules say in drawn cars to the exact
// network, for no fault, each fault alone, and two together.
func TestOutsideCarsFollowTheNetwork(t *testing.T) {
	const cars = 1500
	for _, p := range shippedPacks(t) {
		s, compared := p.Simulate(), 0
		sets := [][]int{{}, {0, len(p.model.Faults) - 1}}
		for f := range p.model.Faults {
			sets = append(sets, []int{f})
		}
		random := rand.New(rand.NewPCG(7, 1))
		for _, faults := range sets {
			counts := make([][]int, len(p.findings))
			for f := range p.findings {
				counts[f] = make([]int, len(p.findings[f].rules)+1)
			}
			for range cars {
				c := s.CarWith(faults, random)
				for f := range counts {
					counts[f][c.says[f]]++
				}
			}
			for f := range counts {
				want, err := p.net.Predict(belief.Evidence{Acting: s.car.acting}, faults, f)
				if err != nil {
					t.Fatal(err)
				}
				if fits(t, fmt.Sprintf("%s, faults %v, rule %s", p.name, faults, p.findings[f].rules[0].ID), counts[f], want) {
					compared++
				}
			}
		}
		if all := len(sets) * len(p.findings); compared < all/2 {
			t.Errorf("%s: only %d of %d compared", p.name, compared, all)
		}
	}
}

// TestOutsideFindingsHangTogether holds the joint outcomes of two findings of one
// car to the exact probability of both, for findings that one condition joins.
func TestOutsideFindingsHangTogether(t *testing.T) {
	const cars, fault = 3000, 0
	for _, p := range shippedPacks(t) {
		s := p.Simulate()
		random := rand.New(rand.NewPCG(8, 1))
		var drawn []*SimCar
		for range cars {
			drawn = append(drawn, s.CarWith([]int{fault}, random))
		}
		base, compared := belief.Evidence{Acting: s.car.acting}, 0
		for f := range p.model.Faults {
			k := belief.KnownFault{Fault: f, Absent: 1}
			if f == fault {
				k.Present, k.Absent = 1, 0
			}
			base.Faults = append(base.Faults, k)
		}
		log := func(seen ...belief.Seen) float64 {
			e := base
			e.Seen = seen
			var found belief.Posterior
			if err := p.net.Posterior(e, &found); err != nil {
				if !errors.Is(err, belief.ErrImpossible) {
					t.Fatal(err)
				}
				return math.Inf(-1)
			}
			return found.LogEvidence
		}
		for a := range p.findings {
			b := (a + 1) % len(p.findings)
			rows, columns := len(p.findings[a].rules)+1, len(p.findings[b].rules)+1
			counts, want := make([]int, rows*columns), make([]float64, rows*columns)
			for _, c := range drawn {
				counts[c.says[a]*columns+c.says[b]]++
			}
			for i := range rows {
				for j := range columns {
					want[i*columns+j] = math.Exp(log(p.net.Sure(a, i), p.net.Sure(b, j)) - log())
				}
			}
			if fits(t, fmt.Sprintf("%s, findings %d and %d", p.name, a, b), counts, want) {
				compared++
			}
		}
		if compared < len(p.findings)/2 {
			t.Errorf("%s: only %d of %d compared", p.name, compared, len(p.findings))
		}
	}
}

// TestOutsideFaultsAreDrawnAsCommon holds the drawing of faults to closed forms:
// shares of the priors; priors over the chance that there is any; and for what the
// planner weighs, a share of cars without.
func TestOutsideFaultsAreDrawnAsCommon(t *testing.T) {
	const cars = 20000
	p := shippedPacks(t)[0]
	s := p.Simulate()
	random := rand.New(rand.NewPCG(9, 1))
	count := func(d Draw) (each []int, none, several int) {
		each = make([]int, len(p.model.Faults))
		for range cars {
			many := 0
			for f, is := range s.Car(d, random).present {
				if is {
					each[f]++
					many++
				}
			}
			switch {
			case many == 0:
				none++
			case many > 1:
				several++
			}
		}
		return each, none, several
	}
	sum, absent := 0.0, 1.0
	for _, f := range p.model.Faults {
		sum += f.Prior
		absent *= 1 - f.Prior
	}
	one, none, several := count(DrawOne)
	if none+several > 0 {
		t.Errorf("one fault: %d cars had none, %d several", none, several)
	}
	var shares []float64
	for _, f := range p.model.Faults {
		shares = append(shares, f.Prior/sum)
	}
	fits(t, "one fault", one, shares)
	if _, none, several := count(DrawTwo); none > 0 || several != cars {
		t.Errorf("two faults: %d of %d cars had two", several, cars)
	}
	each, none, _ := count(DrawAny)
	if none > 0 {
		t.Errorf("one or more: %d cars had none", none)
	}
	for f, x := range p.model.Faults {
		want := x.Prior / (1 - absent)
		fits(t, "one or more, fault "+p.rules.Faults[f].ID, []int{each[f], cars - each[f]}, []float64{want, 1 - want})
	}
	_, none, _ = count(DrawWeighed)
	fits(t, "weighed, outside the rules", []int{none, cars - none}, []float64{0.05, 0.95}) // advice.DefaultOutside, as its comment has it
}

// perfect has three faults that their checks prove without error.
const perfect = `
readings:
  a_seen: {label: A, kind: yes/no}
  b_seen: {label: B, kind: yes/no}
  c_seen: {label: C, kind: yes/no}
faults:
  a: {label: A, per_1000: 0.5, settle: look-a, repair: {minutes: 10, do: D}}
  b: {label: B, per_1000: 0.3, settle: look-b, repair: {minutes: 20, do: D}}
  c: {label: C, per_1000: 0.2, settle: look-c, repair: {minutes: 5, do: D}}
rules:
  a-is-seen: {says: A, when: a_seen, shows: {a: 1}, otherwise: 0, because: B}
  b-is-seen: {says: A, when: b_seen, shows: {b: 1}, otherwise: 0, because: B}
  c-is-seen: {says: A, when: c_seen, shows: {c: 1}, otherwise: 0, because: B}
checks:
  look-a: {label: A, yields: [a_seen], minutes: 4}
  look-b: {label: B, yields: [b_seen], minutes: 1}
  look-c: {label: C, yields: [c_seen], minutes: 2}
`

// TestOutsideSimulatedCostIsThatOfTheFormula works the same cars off in every order
// of checks. Expected: the sum of (1 - p before) C + p R, computed apart for all six
// orders (Heckerman, Breese and Rommelse 1995, from memory), with the minutes of
// measuring again; least for the order of p over C (Kalagnanam and Henrion 1990).
// The planner works in that order.
func TestOutsideSimulatedCostIsThatOfTheFormula(t *testing.T) {
	const cars = 20000
	p := tiny(t, perfect)
	s := p.Simulate()
	want := map[string]float64{"bac": 16.2, "bca": 16.4, "cba": 16.8, "abc": 16.9, "acb": 17.3, "cab": 17.5}
	mean := map[string]float64{}
	for order, expected := range want {
		random := rand.New(rand.NewPCG(10, 1))
		sum, squares := 0.0, 0.0
		for range cars {
			car := s.Car(DrawOne, random)
			j := s.Start(car)
			for _, fault := range strings.Split(order, "") {
				if j.Over() {
					break
				}
				work(t, j, SimMove{DoCheck, "look-" + fault})
				if car.Faults()[0] == fault {
					work(t, j, SimMove{DoRepair, fault})
				}
			}
			x := j.Tally().Minutes
			sum += x
			squares += x * x
		}
		mean[order] = sum / cars
		sigma := math.Sqrt((squares/cars - mean[order]*mean[order]) / cars)
		if math.Abs(mean[order]-MeasureAgain-expected) > 4*sigma {
			t.Errorf("%s takes %.3f, the formula says %.3f with a standard error of %.3f", order, mean[order]-MeasureAgain, expected, sigma)
		}
	}
	for order := range mean {
		if mean[order] < mean["bac"] {
			t.Errorf("%s takes %.3f, less than the order of p over C with %.3f", order, mean[order], mean["bac"])
		}
	}
	random := rand.New(rand.NewPCG(10, 1))
	sum := 0.0
	for range cars {
		j := s.Start(s.Car(DrawOne, random))
		for !j.Over() {
			m, err := j.Advise(context.Background(), true)
			if err != nil {
				t.Fatal(err)
			}
			work(t, j, m)
		}
		sum += j.Tally().Minutes
	}
	around(t, "minutes with the planner", sum/cars, mean["bac"], 1e-9)
}

func work(t *testing.T, j *SimJob, m SimMove) {
	t.Helper()
	if err := j.Do(m); err != nil {
		t.Fatal(err)
	}
}
