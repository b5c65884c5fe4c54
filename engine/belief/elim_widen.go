package belief

// The operations of a program, by the width of its index.

func (p *program) forward(o *operation, t []float64) {
	if p.long != nil {
		forward(o, p.long, t)
	} else {
		forward(o, p.short, t)
	}
}

func (p *program) backward(o *operation, t, back []float64) {
	if p.long != nil {
		backward(o, p.long, t, back)
	} else {
		backward(o, p.short, t, back)
	}
}

func (p *program) widen(o *operation, y, x []float64) {
	if p.long != nil {
		widen(o, p.long, y, x)
	} else {
		widen(o, p.short, y, x)
	}
}

func (p *program) widenBack(o *operation, y, x []float64) {
	if p.long != nil {
		widenBack(o, p.long, y, x)
	} else {
		widenBack(o, p.short, y, x)
	}
}

// entry returns a number of the index.
func (p *program) entry(at int32) int32 {
	if p.long != nil {
		return int32(p.long[at])
	}
	return int32(p.short[at])
}

// widen fills a table that has slots with a third setting. Each row is one of x or,
// with either, the sum of two rows before.
func widen[I list](o *operation, index []I, y, x []float64) {
	rest, rows := index[o.at:][:o.inner], index[o.at+o.inner:][:o.outer]
	n := int(o.inner)
	for t, at := range rows {
		row := y[t*n:][:n]
		if step := int(eitherStep(int32(t))); step > 0 {
			on, off := y[(t-step)*n:][:n], y[(t-2*step)*n:][:n]
			for i := range row {
				row[i] = off[i] + on[i]
			}
			continue
		}
		for i, k := range rest {
			row[i] = x[at+k]
		}
	}
}

func widenBack[I list](o *operation, index []I, y, x []float64) {
	rest, rows := index[o.at:][:o.inner], index[o.at+o.inner:][:o.outer]
	n := int(o.inner)
	for t := len(rows) - 1; t >= 0; t-- {
		row, at := y[t*n:][:n], rows[t]
		if step := int(eitherStep(int32(t))); step > 0 {
			on, off := y[(t-step)*n:][:n], y[(t-2*step)*n:][:n]
			for i, b := range row {
				off[i] += b
				on[i] += b
			}
			continue
		}
		for i, k := range rest {
			x[at+k] += row[i]
		}
	}
}
