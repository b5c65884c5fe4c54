package truth

import (
	"math"
)

// arrange puts variables into an order that depends on what they are and not
// on where the expression names them, so that the order of operands does not
// matter: those that stand alone first, then the others, each beside those it
// hangs together with.
func (f *formula) arrange(vars uint32) {
	j := &f.joint
	j.count = 0
	for i := range f.vars {
		if vars>>i&1 == 0 {
			continue
		}
		at := j.count
		for at > 0 && f.before(i, j.order[at-1], vars) {
			j.order[at] = j.order[at-1]
			at--
		}
		j.order[at] = i
		j.count++
	}
}

// before orders variables of a set.
func (f *formula) before(a, b int, vars uint32) bool {
	p, q := f.vars[a].related&vars, f.vars[b].related&vars
	if p == q {
		return less(f.vars[a].share, f.vars[b].share)
	}
	if alone := p&(p-1) == 0; alone != (q&(q-1) == 0) {
		return alone
	}
	return less(f.leader(p), f.leader(q))
}

// leader is the share of the first variable of a set.
func (f *formula) leader(set uint32) []term {
	var first []term
	for i := range f.vars {
		if set>>i&1 != 0 && (first == nil || less(f.vars[i].share, first)) {
			first = f.vars[i].share
		}
	}
	return first
}

// less orders shares by their readings, then by size.
func less(a, b []term) bool {
	for i := range min(len(a), len(b)) {
		if a[i].reading != b[i].reading {
			return a[i].reading < b[i].reading
		}
		if a[i].slope != b[i].slope {
			return a[i].slope < b[i].slope
		}
	}
	return len(a) < len(b)
}

// determined is the part of a quantity that those before it leave open, below
// which it is taken to be fixed by them.
const determined = 1e-10

// factorize takes the variables apart into independent scores (Gram-Schmidt on
// their shares). Of those that hang together the one that is least explained
// comes next, so that rounding is not blown up and what the others determine
// comes last.
func (f *formula) factorize() {
	j := &f.joint
	f.spreadOut()
	n := len(j.moved)
	for r := range j.count {
		row := func(k int) []float64 { return j.left[k*n : k*n+n] }
		next, most := r, norm(row(r))
		for k := r + 1; k < j.count && f.vars[j.order[k]].related == f.vars[j.order[r]].related; k++ {
			if s := norm(row(k)); s > most+determined {
				next, most = k, s
			}
		}
		if next != r {
			j.order[r], j.order[next] = j.order[next], j.order[r]
			j.factor[r], j.factor[next] = j.factor[next], j.factor[r]
			for i, a := range row(r) {
				row(r)[i], row(next)[i] = row(next)[i], a
			}
		}
		own := row(r)
		if most < determined {
			most = 0
		}
		j.factor[r][r] = most
		for k := r + 1; k < j.count; k++ {
			j.factor[k][r] = 0
			if most == 0 {
				continue
			}
			common := 0.0
			for i, x := range row(k) {
				common += x * own[i] / most
			}
			if math.Abs(common) <= unrelated {
				continue
			}
			j.factor[k][r] = common
			for i := range row(k) {
				row(k)[i] -= common * own[i] / most
			}
		}
	}
}

// spreadOut writes the shares of the ordered variables into rows.
func (f *formula) spreadOut() {
	j := &f.joint
	j.moved = j.moved[:0]
	for _, i := range j.order[:j.count] {
		for _, t := range f.vars[i].share {
			j.moved = insert(j.moved, t.reading)
		}
	}
	j.left = j.left[:0]
	for _, i := range j.order[:j.count] {
		share := f.vars[i].share
		for _, reading := range j.moved {
			x := 0.0
			if len(share) > 0 && share[0].reading == reading {
				x, share = share[0].slope, share[1:]
			}
			j.left = append(j.left, x)
		}
	}
}

func norm(row []float64) float64 {
	sum := 0.0
	for _, x := range row {
		sum += x * x
	}
	return math.Sqrt(sum)
}
