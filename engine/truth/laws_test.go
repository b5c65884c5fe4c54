package truth

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// quadratureError is what three or more entangled quantities may be off by;
// formulas of one or two are exact to 1e-14.
const quadratureError = 1e-8

// TestTruthIsAnInterval: 0 <= least <= most <= 1, and one number where every
// reading is known.
func TestTruthIsAnInterval(t *testing.T) {
	eachTree(t, 1, 3, 500, func(_ *rand.Rand, f *tree, s situation) {
		got := s.job(t).truth(f.source(false))
		if !(0 <= got.Least && got.Least <= got.Most && got.Most <= 1) {
			t.Errorf("%s in %v: %v", f.source(false), s, got)
		}
		if len(s.value) == len(treeNumbers) && len(s.flags) == len(treeFlags) && got.Least != got.Most {
			t.Errorf("%s with everything known: %v", f.source(false), got)
		}
	})
}

// TestGivingAReadingNarrows: whatever a reading turns out to be, the truth lies
// inside the interval of before. (known() is the exception: it asks whether.)
func TestGivingAReadingNarrows(t *testing.T) {
	eachTree(t, 2, 3, 500, func(random *rand.Rand, f *tree, s situation) {
		j := s.job(t)
		e := j.compile(f.source(false))
		before := e.Truth(j.v)
		for _, id := range treeNumbers {
			if _, ok := s.value[id]; !ok {
				j.number(id, random.NormFloat64()*2, random.Float64())
				break
			}
		}
		for _, id := range treeFlags {
			if _, ok := s.flags[id]; !ok {
				j.yes(id, random.IntN(2) == 0)
				break
			}
		}
		after := e.Truth(j.v)
		if after.Least < before.Least-quadratureError || after.Most > before.Most+quadratureError {
			t.Errorf("%s in %v: %v, and with one more reading %v", f.source(false), s, before, after)
		}
	})
}

func TestOrderOfOperandsDoesNotMatter(t *testing.T) {
	eachTree(t, 3, 3, 300, func(_ *rand.Rand, f *tree, s situation) {
		j := s.job(t)
		a, b := j.truth(f.source(false)), j.truth(f.source(true))
		near(t, f.source(false)+", least", a.Least, b.Least, 1e-12)
		near(t, f.source(false)+", most", a.Most, b.Most, 1e-12)
	})
}

func TestDeMorgan(t *testing.T) {
	eachTree(t, 4, 3, 300, func(_ *rand.Rand, f *tree, s situation) {
		j := s.job(t)
		no := &tree{op: "not", kids: []*tree{f}}
		a, b, yes := j.truth(no.source(false)), j.truth(f.opposite().source(false)), j.truth(f.source(false))
		near(t, no.source(false)+", least", a.Least, b.Least, 1e-12)
		near(t, no.source(false)+", most", a.Most, b.Most, 1e-12)
		near(t, no.source(false)+", of the opposite", a.Least, 1-yes.Most, quadratureError)
	})
}

// TestScaleDoesNotMatter: other units for everything change nothing, not even
// the last bit when the factor is a power of two.
func TestScaleDoesNotMatter(t *testing.T) {
	eachTree(t, 5, 3, 500, func(random *rand.Rand, f *tree, s situation) {
		by := math.Ldexp(1, random.IntN(60)-30)
		a := s.job(t).truth(f.source(false))
		scaled := situation{map[string]float64{}, map[string]float64{}, s.flags}
		for id, x := range s.value {
			scaled.value[id], scaled.u[id] = x*by, s.u[id]*by
		}
		if b := scaled.job(t).truth(f.scaled(by).source(false)); a != b {
			t.Errorf("%s: %v, times %v %v", f.source(false), a, by, b)
		}
	})
}

// TestAgainstMonteCarlo draws the true values 20 000 times from a fixed seed
// and counts. Five standard deviations of a count allow a false alarm in a
// million comparisons.
func TestAgainstMonteCarlo(t *testing.T) {
	const draws = 20_000
	eachTree(t, 6, 4, 120, func(random *rand.Rand, f *tree, s situation) {
		got := s.job(t).truth(f.source(false))
		least, most := 0.0, 0.0
		numbers := map[string]float64{}
		for range draws {
			for id, x := range s.value {
				numbers[id] = x + s.u[id]*random.NormFloat64()
			}
			switch f.eval(numbers, s.flags) {
			case 1:
				least++
				most++
			case 0.5:
				most++
			}
		}
		for _, c := range []struct {
			end         string
			got, counts float64
		}{{"least", got.Least, least}, {"most", got.Most, most}} {
			p := c.counts / draws
			allowed := 5*math.Sqrt(max(c.got*(1-c.got), 0)/draws) + 2.0/draws
			near(t, fmt.Sprintf("%s of %s in %v", c.end, f.source(false), s), c.got, p, allowed)
		}
	})
}

// TestApartIsAProduct: comparisons that share no reading multiply.
func TestApartIsAProduct(t *testing.T) {
	j := newJob(t)
	random := rand.New(rand.NewPCG(7, 0))
	for range 200 {
		product := 1.0
		limits := map[string]float64{}
		for _, id := range treeNumbers {
			j.number(id, random.NormFloat64(), random.Float64())
			limits[id] = random.NormFloat64()
		}
		src := ""
		for _, id := range treeNumbers {
			part := fmt.Sprintf("%s > %.17g", id, limits[id])
			product *= j.p(part)
			if src != "" {
				src += " and "
			}
			src += part
		}
		near(t, src, j.p(src), product, 1e-15)
	}
}

// TestExcludedMiddle: what is known holds or does not, and never both; of what
// is not known, strong Kleene logic says neither.
func TestExcludedMiddle(t *testing.T) {
	eachTree(t, 8, 2, 300, func(_ *rand.Rand, f *tree, s situation) {
		j := s.job(t)
		src := f.source(false)
		both, either := fmt.Sprintf("(%s) and not (%s)", src, src), fmt.Sprintf("(%s) or not (%s)", src, src)
		if _, err := j.s.Compile(both, YesNo, InRule); err != nil {
			return
		}
		if j.truth(src).Settled() && len(s.value) == len(treeNumbers) && len(s.flags) == len(treeFlags) {
			near(t, both, j.p(both), 0, quadratureError)
			near(t, either, j.p(either), 1, quadratureError)
		}
	})
}
