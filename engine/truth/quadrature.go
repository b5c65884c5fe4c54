package truth

import (
	"math"
	"slices"
)

// over integrates over the variables from place i on, those before it having
// scores.
func (f *formula) over(i int) Truth {
	j := &f.joint
	for _, k := range j.marks {
		if k.at >= i {
			j.truth[k.mark] = isUnknown
		}
	}
	if k := f.holds(); k != isUnknown || i == j.count {
		return k.truth() // whatever comes later
	}
	if j.factor[i][i] == 0 {
		j.fix(i, j.mean(i, i))
		return f.over(i + 1)
	}
	if j.pair(i) {
		return f.overPair(i)
	}
	smooth := j.smooth(i)
	start, end := j.pieces(i, i, j.factor[i][i], !smooth)
	if smooth {
		j.resolve(i)
		slices.Sort(j.breaks[start:])
		end = len(j.breaks)
	}
	var sum Truth
	for b := start; b+1 < end; b++ {
		from, to := j.breaks[b], j.breaks[b+1]
		if from == to {
			continue
		}
		j.score[i] = (from + to) / 2
		j.fix(i, j.mean(i, i+1))
		var t Truth
		if smooth {
			t = adaptive(func(z float64) Truth {
				j.score[i] = z
				t, w := f.over(i+1), density(z)
				return Truth{w * t.Least, w * t.Most}
			}, from, to, smallError, deepest)
		} else {
			t = f.over(i + 1)
			p := inside(from, to)
			t.Least *= p
			t.Most *= p
		}
		sum.Least += t.Least
		sum.Most += t.Most
	}
	j.breaks = j.breaks[:start]
	return sum
}

// mean of a variable given the scores chosen before place upto.
func (j *joint) mean(i, upto int) float64 {
	m := 0.0
	for c := range upto {
		m += j.factor[i][c] * j.score[c]
	}
	return m
}

// smooth reports whether the probability of what comes later depends smoothly
// on the score of a variable. Else it changes in steps only, where a later
// variable that the score determines passes a limit.
func (j *joint) smooth(i int) bool {
	for k := i + 1; k < j.count; k++ {
		if j.factor[k][i] != 0 && j.rest(k, i) > 0 {
			return true
		}
	}
	return false
}

// rest is the standard deviation of a variable once the scores up to place i
// are chosen.
func (j *joint) rest(k, i int) float64 {
	sum := 0.0
	for c := i + 1; c <= k; c++ {
		sum += j.factor[k][c] * j.factor[k][c]
	}
	return math.Sqrt(sum)
}

// pieces stacks the scores at which a variable, given those before place upto
// and with spread s, passes one of its limits, sorted, from end to end; steps
// adds those at which a later variable that it determines does. It says where
// on the stack they lie.
func (j *joint) pieces(i, upto int, s float64, steps bool) (start, end int) {
	start = len(j.breaks)
	j.breaks = append(j.breaks, -reach, reach)
	m := j.mean(i, upto)
	for _, k := range j.marks {
		switch {
		case k.at == i:
			j.breakAt((k.a-m)/s, (k.b-m)/s)
		case steps && k.at > i && j.factor[k.at][i] != 0:
			later := j.mean(k.at, i)
			j.breakAt((k.a-later)/j.factor[k.at][i], (k.b-later)/j.factor[k.at][i])
		}
	}
	slices.Sort(j.breaks[start:])
	return start, len(j.breaks)
}

func (j *joint) breakAt(at ...float64) {
	for _, z := range at {
		if z > -reach && z < reach {
			j.breaks = append(j.breaks, z)
		}
	}
}

// resolve adds breaks that keep the quadrature's panels to the scale on which
// the integrand changes: that of the density, and that of a later variable
// passing a limit, however steep.
func (j *joint) resolve(i int) {
	j.breakAt(-5, -2.5, 0, 2.5, 5)
	for _, k := range j.marks {
		if k.at <= i || j.factor[k.at][i] == 0 {
			continue
		}
		slope := j.factor[k.at][i]
		width := j.rest(k.at, i) / math.Abs(slope)
		if width > 0.25 {
			continue
		}
		m := j.mean(k.at, i)
		for _, limit := range [2]float64{k.a, k.b} {
			at := (limit - m) / slope
			j.breakAt(at, at-4*width, at+4*width, at-reach*width, at+reach*width)
		}
	}
}

// fix decides the marks of a variable whose standard score is known.
func (j *joint) fix(i int, x float64) {
	for _, k := range j.marks {
		if k.at == i {
			j.truth[k.mark] = decided(k.a <= x && x <= k.b)
		}
	}
}

// pair reports whether the variables at places i and i+1 are correlated and no
// later one depends on either.
func (j *joint) pair(i int) bool {
	if i+1 >= j.count || j.factor[i+1][i] == 0 || j.factor[i+1][i+1] == 0 {
		return false
	}
	for k := i + 2; k < j.count; k++ {
		if j.factor[k][i] != 0 || j.factor[k][i+1] != 0 {
			return false
		}
	}
	return true
}

// overPair integrates over two correlated variables: the limits of both make a
// grid, in whose cells nothing changes.
func (f *formula) overPair(i int) Truth {
	j := &f.joint
	r, s := j.factor[i+1][i], j.factor[i+1][i+1]
	norm := math.Hypot(r, s)
	r, s = r/norm, s/norm
	start, end := j.pieces(i, i, j.factor[i][i], false)
	across, stop := j.pieces(i+1, i, norm, false)
	m, n := j.mean(i, i), j.mean(i+1, i)
	// The grid's line below the current row, and the row's own upper line.
	width := stop - across
	lower := len(j.breaks)
	for range 2 * width {
		j.breaks = append(j.breaks, 0)
	}
	var sum Truth
	for p := start; p+1 < end; p++ {
		line := j.breaks[lower : lower+2*width]
		for q := range width {
			line[width+q] = bivariate(j.breaks[p+1], j.breaks[across+q], r, s)
		}
		j.fix(i, m+j.factor[i][i]*(j.breaks[p]+j.breaks[p+1])/2)
		for q := 0; q+1 < width; q++ {
			weight := (line[width+q+1] - line[width+q]) - (line[q+1] - line[q])
			if weight <= 0 {
				continue
			}
			j.fix(i+1, n+norm*(j.breaks[across+q]+j.breaks[across+q+1])/2)
			t := f.over(i + 2)
			line = j.breaks[lower : lower+2*width] // the stack may have moved
			sum.Least += weight * t.Least
			sum.Most += weight * t.Most
		}
		copy(line, line[width:])
	}
	j.breaks = j.breaks[:start]
	return sum
}

const (
	// smallError is the difference of two quadrature rules at which the better
	// one is taken. Its own error is smaller by orders of magnitude, but for
	// panels with a kink, where it is about as large.
	smallError = 1e-10
	// deepest is how often a panel is halved at most.
	deepest = 40
)

// adaptive integrates a function by the Gauss-Kronrod rule of 7 and 15 points,
// halving panels until both rules agree.
func adaptive(y func(float64) Truth, from, to, tolerance float64, depth int) Truth {
	middle, half := (from+to)/2, (to-from)/2
	t := y(middle)
	fine := Truth{kronrod[7] * t.Least, kronrod[7] * t.Most}
	coarse := Truth{gauss[3] * t.Least, gauss[3] * t.Most}
	for k, x := range points {
		a, b := y(middle-half*x), y(middle+half*x)
		a.Least += b.Least
		a.Most += b.Most
		fine.Least += kronrod[k] * a.Least
		fine.Most += kronrod[k] * a.Most
		if k%2 == 1 {
			coarse.Least += gauss[k/2] * a.Least
			coarse.Most += gauss[k/2] * a.Most
		}
	}
	off := half * max(math.Abs(fine.Least-coarse.Least), math.Abs(fine.Most-coarse.Most))
	if off <= tolerance || depth == 0 {
		return Truth{half * fine.Least, half * fine.Most}
	}
	left := adaptive(y, from, middle, tolerance, depth-1)
	right := adaptive(y, middle, to, tolerance, depth-1)
	return Truth{left.Least + right.Least, left.Most + right.Most}
}

// Points and weights of the Gauss-Kronrod rule on -1..1, the point at 0 last in
// the weights (Piessens and others 1983, QUADPACK, qk15).
var (
	points = [7]float64{
		0.991455371120812639206854697526329, 0.949107912342758524526189684047851,
		0.864864423359769072789712788640926, 0.741531185599394439863864773280788,
		0.586087235467691130294144691258130, 0.405845151377397166906606412076961,
		0.207784955007898467600689403773245,
	}
	kronrod = [8]float64{
		0.022935322010529224963732008058970, 0.063092092629978553290700663189204,
		0.104790010322250183839876322541518, 0.140653259715525918745189590510238,
		0.169004726639267902826583426598550, 0.190350578064785409913256402421014,
		0.204432940075298892414161999234649, 0.209482141084727828012999174891714,
	}
	gauss = [4]float64{
		0.129484966168869693270611432679082, 0.279705391489276667901467771423780,
		0.381830050505118944950369775488975, 0.417959183673469387755102040816327,
	}
)
