package truth

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
