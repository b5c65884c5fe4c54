package truth

import (
	"math"
	"slices"
)

// joint works out the probability of a formula whose comparisons may share
// readings. Each uncertain quantity is a normal variable; their joint
// distribution follows from the readings below them (covariance by the law of
// propagation). With its Cholesky factor the quantities are gone through one
// by one: the last is integrated in closed form, and one on which no later
// quantity depends as well, so only truly entangled ones cost a quadrature.
type joint struct {
	code   []step
	stack  []kleene
	marks  []mark
	vars   []variable
	factor [maxVars][maxVars]float64 // lower triangle, unit variances
	score  [maxVars]float64          // the independent scores chosen so far
	nested int                       // how many variables need a quadrature
	breaks []float64
}

// mark is an uncertain comparison: whether the standard score of a variable
// lies between a and b.
type mark struct {
	variable int
	a, b     float64
	truth    kleene
}

// variable is an uncertain quantity; those that are the same up to scale and
// sign are one.
type variable struct {
	terms []term
	u     float64
}

const (
	// maxVars is how many uncertain quantities a formula may hang on at once.
	// One more stays unknown, which widens the interval instead of bending it.
	maxVars = 12
	// maxNested is how many of them may be entangled.
	maxNested = 3
	// maxJoined is how many comparisons one expression may write.
	maxJoined = 12
)

// begin hands out cleared scratch. Derived readings are evaluated inside one
// formula, never across two, so one set suffices; known() alone asks a formula
// within a formula and gets a fresh one.
func (v *Values) begin() *joint {
	j := &v.joint
	j.code, j.marks, j.vars = j.code[:0], j.marks[:0], j.vars[:0]
	return j
}

// knownWithin is Known, safe inside the evaluation of another formula.
func (v *Values) knownWithin(reading int) bool {
	e := v.scope.from[reading]
	if v.given[reading].known || e == nil || e.kind == Number {
		return v.Known(reading)
	}
	outer := v.joint
	v.joint = joint{}
	yes := v.Known(reading)
	v.joint = outer
	return yes
}

// mark notes an uncertain comparison.
func (j *joint) mark(v *Values, r result, u, a, b float64) kleene {
	at, sign := -1, 1.0
	for i := range j.vars {
		rho := v.covariance(r.terms, j.vars[i].terms) / (u * j.vars[i].u)
		if math.Abs(rho) > 1-1e-12 {
			at, sign = i, math.Copysign(1, rho)
			break
		}
	}
	if at < 0 {
		if len(j.vars) == maxVars {
			return isUnknown
		}
		at = len(j.vars)
		j.vars = append(j.vars, variable{r.terms, u})
	}
	if sign < 0 {
		a, b = -b, -a
	}
	j.code = append(j.code, step{op: stepMark, mark: len(j.marks)})
	j.marks = append(j.marks, mark{variable: at, a: a, b: b})
	return isCode
}

// probability integrates the formula over what the quantities may truly be.
func (j *joint) probability(v *Values) Truth {
	j.factorize(v)
	if j.nested > maxNested {
		return Truth{0, 1}
	}
	t := j.over(0)
	return Truth{clamp(t.Least), clamp(t.Most)}
}

func clamp(p float64) float64 { return min(max(p, 0), 1) }

// factorize fills the Cholesky factor of the quantities' correlation.
func (j *joint) factorize(v *Values) {
	k := len(j.vars)
	j.nested = 0
	for r := range k {
		for c := range r + 1 {
			rho := 1.0
			if c < r {
				rho = v.covariance(j.vars[r].terms, j.vars[c].terms) / (j.vars[r].u * j.vars[c].u)
			}
			for i := range c {
				rho -= j.factor[r][i] * j.factor[c][i]
			}
			switch {
			case c == r:
				j.factor[r][r] = math.Sqrt(max(rho, 0))
				if j.factor[r][r] < 1e-7 { // determined by the others
					j.factor[r][r] = 0
				}
			case j.factor[c][c] == 0 || math.Abs(rho) < 1e-14:
				j.factor[r][c] = 0
			default:
				j.factor[r][c] = rho / j.factor[c][c]
			}
		}
	}
	for c := range k {
		if j.entangled(c) {
			j.nested++
		}
	}
}

// entangled reports whether a later quantity depends on this one's score.
func (j *joint) entangled(c int) bool {
	for r := c + 1; r < len(j.vars); r++ {
		if j.factor[r][c] != 0 {
			return true
		}
	}
	return false
}

// mean of a quantity given the scores chosen before variable upto.
func (j *joint) mean(i, upto int) float64 {
	m := 0.0
	for c := range upto {
		m += j.factor[i][c] * j.score[c]
	}
	return m
}

// over integrates over variable i and all later ones.
func (j *joint) over(i int) Truth {
	if i == len(j.vars) {
		switch j.decide() {
		case isTrue:
			return Truth{1, 1}
		case isFalse:
			return Truth{0, 0}
		}
		return Truth{0, 1}
	}
	m, s := j.mean(i, i), j.factor[i][i]
	if s == 0 {
		j.fix(i, m)
		return j.over(i + 1)
	}
	start := len(j.breaks)
	j.breaks = append(j.breaks, -reach, reach)
	for _, k := range j.marks {
		if k.variable == i {
			j.breakAt((k.a-m)/s, (k.b-m)/s)
		}
	}
	entangled := j.entangled(i)
	if entangled {
		j.breakAtLater(i)
	}
	slices.Sort(j.breaks[start:])
	end := len(j.breaks)
	var sum Truth
	for b := start; b+1 < end; b++ {
		from, to := j.breaks[b], j.breaks[b+1]
		if from == to {
			continue
		}
		j.fix(i, m+s*(from+to)/2)
		var t Truth
		if entangled {
			t = j.quadrature(i, from, to)
		} else {
			p := inside(from, to)
			t = j.over(i + 1)
			t.Least *= p
			t.Most *= p
		}
		sum.Least += t.Least
		sum.Most += t.Most
	}
	j.breaks = j.breaks[:start]
	return sum
}

// fix decides the marks of a variable whose standard score is known.
func (j *joint) fix(i int, x float64) {
	for k := range j.marks {
		if m := &j.marks[k]; m.variable == i {
			m.truth = decided(m.a <= x && x <= m.b)
		}
	}
}

// breakAt adds places where the integrand jumps.
func (j *joint) breakAt(at ...float64) {
	for _, z := range at {
		if z > -reach && z < reach {
			j.breaks = append(j.breaks, z)
		}
	}
}

// breakAtLater adds the places where a later quantity goes through one of its
// limits, so that the quadrature resolves the step however steep it is.
func (j *joint) breakAtLater(i int) {
	for _, k := range j.marks {
		slope := 0.0
		if k.variable > i {
			slope = j.factor[k.variable][i]
		}
		if slope == 0 {
			continue
		}
		rest := 0.0
		for c := i + 1; c <= k.variable; c++ {
			rest += j.factor[k.variable][c] * j.factor[k.variable][c]
		}
		width := math.Sqrt(rest) / math.Abs(slope)
		for _, limit := range [2]float64{k.a, k.b} {
			at := (limit - j.mean(k.variable, i)) / slope
			j.breakAt(at, at-width, at+width, at-3*width, at+3*width, at-reach*width, at+reach*width)
		}
	}
}

// quadrature integrates variable i between two scores by Gauss-Legendre over
// panels; fewer points are spent where quadratures are nested.
func (j *joint) quadrature(i int, from, to float64) Truth {
	panel := [maxNested]float64{1, 1.5, 2.5}[j.nested-1]
	panels := math.Ceil((to - from) / panel)
	half := (to - from) / panels / 2
	var sum Truth
	for p := range int(panels) {
		middle := from + half*float64(2*p+1)
		for k, x := range gaussPoints {
			z := middle + half*x
			j.score[i] = z
			t := j.over(i + 1)
			w := half * gaussWeights[k] * density(z)
			sum.Least += w * t.Least
			sum.Most += w * t.Most
		}
	}
	return sum
}

// Points and weights of the 8-point Gauss-Legendre rule on -1..1, exact for
// polynomials to degree 15 (Abramowitz and Stegun 1964, table 25.4, n = 8).
var (
	gaussPoints = [8]float64{
		-0.9602898564975363, -0.7966664774136267, -0.5255324099163290, -0.1834346424956498,
		0.1834346424956498, 0.5255324099163290, 0.7966664774136267, 0.9602898564975363,
	}
	gaussWeights = [8]float64{
		0.1012285362903763, 0.2223810344533745, 0.3137066458778873, 0.3626837833783620,
		0.3626837833783620, 0.3137066458778873, 0.2223810344533745, 0.1012285362903763,
	}
)

// quantities counts the comparisons that an expression writes.
func quantities(n *logic) int {
	if n == nil {
		return 0
	}
	count := quantities(n.left) + quantities(n.right)
	switch n.op {
	case opWithin, opOK, opHigh, opLow:
		count++
	}
	return count
}
