package belief

import "math"

// run holds the tables of the passes. Memory is bounded: where all tables of
// the forward pass would take more than memory, only those at the starts
// of segments are kept, and the backward pass works each segment's out again.
type run struct {
	memory   int       // numbers that the tables may take before segments are used
	tables   []float64 // a segment's tables in a row
	before   []int     // by step of the segment: where its input starts in tables
	checks   []float64 // the tables at the segments' starts
	segments []segment
	back     [2][]float64
	spare    []float64
	chance   scale // P(evidence) but for work.scale

	absent, present []float64 // by fault: its posterior sums but for its weights
	masks           []float64 // weights by set of a unit's bits
	sums            []float64
	offsets         []int32
	chain           []int32   // a bit's folded faults
	byValue         []float64 // like work.value: sums by value, but for a factor a unit
	factors         []float64 // the table of a joint
	rest            []float64 // what its last one can add
	strengths       []float64 // of what acts on its finding
}

type segment struct{ from, to, check, size int }

// slowBits are the live bits from which a step takes long enough, some
// microseconds, to ask first whether anybody still waits for the answer.
const slowBits = 12

// memoryNumbers is what run.memory is but in tests: 128 MiB.
const memoryNumbers = 16 << 20

// forward goes through all steps. It returns ErrImpossible where nothing is
// left, or ErrStopped.
func (w *work) forward() error {
	r := &w.run
	r.split(&w.plan)
	r.chance = scale{}
	table := append(r.spare[:0], 1)
	for i := range r.segments {
		s := &r.segments[i]
		r.checks = append(r.checks[:s.check], table...)
		out, err := w.forwardSegment(s, true)
		if err != nil {
			return err
		}
		table = append(r.spare[:0], out...)
		r.spare = table
	}
	r.chance.value = table[0]
	return nil
}

// split chooses the segments.
func (r *run) split(p *plan) {
	total, largest := 0, 1
	for i := range p.steps {
		size := 1 << p.after(i)
		total += size
		largest = max(largest, size)
	}
	limit := math.MaxInt
	if total > r.memory {
		limit = max(4*largest, int(math.Sqrt(float64(total)*float64(largest))))
	}
	r.segments = r.segments[:0]
	current := segment{size: 1}
	for i := range p.steps {
		size := 1 << p.after(i)
		if current.size+size > limit && i > current.from {
			current.to = i
			r.segments = append(r.segments, current)
			start := 1 << p.steps[i].live
			current = segment{from: i, check: current.check + 1<<p.steps[current.from].live, size: start}
		}
		current.size += size
	}
	current.to = len(p.steps)
	r.segments = append(r.segments, current)
}

// after returns how many slots a step leaves.
func (p *plan) after(i int) uint8 {
	if i+1 < len(p.steps) {
		return p.steps[i+1].live
	}
	return 0
}

// forwardSegment fills r.tables from the segment's check and returns the last
// table. Each step writes a new table but for stepCouple, which works in place.
func (w *work) forwardSegment(s *segment, first bool) ([]float64, error) {
	r, p := &w.run, &w.plan
	r.tables = sized(r.tables, s.size)
	r.before = r.before[:0]
	start, end := 0, 1
	if s.from < len(p.steps) {
		end = 1 << p.steps[s.from].live
	}
	copy(r.tables[:end], r.checks[s.check:])
	for i := s.from; i < s.to; i++ {
		r.before = append(r.before, start)
		src := r.tables[start:end]
		t := &p.steps[i]
		if t.live >= slowBits && w.stopped() {
			return nil, ErrStopped
		}
		dst := src
		if t.kind != stepCouple {
			start, end = end, end+1<<p.after(i)
			dst = r.tables[start:end]
		}
		w.forwardStep(t, dst, src)
		if t.kind == stepSum || t.kind == stepClose || t.kind == stepCouple {
			if !r.rescale(dst, first) {
				return nil, ErrImpossible
			}
		}
	}
	return r.tables[start:end], nil
}

// faint is the sum below which a table is scaled up.
const faint = 0x1p-64

// rescale keeps the largest number of a table in range; it reports whether their sum is above 0.
func (r *run) rescale(table []float64, keep bool) bool {
	for _, x := range table {
		if x >= faint { // none is negative but by rounding
			return true
		}
	}
	sum := total(table)
	if sum <= 0 {
		return false
	}
	exp := math.Ilogb(sum)
	for i := range table {
		table[i] = math.Ldexp(table[i], -exp)
	}
	if keep {
		r.chance.shift += exp
	}
	return true
}

func (w *work) forwardStep(t *step, dst, src []float64) {
	switch t.kind {
	case stepBirth:
		b := &w.bits[t.id]
		bearInto(dst, src, b.onAll, b.offAll)
	case stepMove:
		w.move(t, dst, src)
	case stepSum:
		weights, mask := w.sumWeights(t)
		sumOut(dst, src, weights, w.run.offsets, mask)
	case stepClose:
		w.closeUnit(t, dst, src)
	case stepCouple:
		w.coupleJoint(t, dst)
	case stepDrop:
		dropField(dst, src, int(w.plan.at[t.at]), w.units[t.id].width())
	}
}

func (w *work) move(t *step, dst, src []float64) {
	f := &w.weights[t.id]
	arcs := w.arcsOf(t.id)
	at := w.plan.at[t.at:][:len(arcs)]
	switch len(arcs) {
	case 2:
		move2(dst, src, f.absentShare, f.presentShare, arcs[0], arcs[1], at[0], at[1])
	case 3:
		move3(dst, src, f.absentShare, f.presentShare, arcs[0], arcs[1], arcs[2], at[0], at[1], at[2])
	default:
		from := src
		for ; len(arcs) > 1; arcs, at = arcs[2:], at[2:] {
			spread2(dst, from, arcs[0], arcs[1], at[0], at[1])
			from = dst
		}
		if len(arcs) == 1 {
			spread(dst, dst, arcs[0], at[0])
		}
		mix(dst, src, f.absentShare, f.presentShare)
	}
}

// sumWeights fills r.masks with the weight of each set of a unit's bits: the
// mean over its choices of value. r.offsets has each set's part of the index.
func (w *work) sumWeights(t *step) (weights []float64, mask int) {
	r := &w.run
	u := &w.units[t.id]
	values := w.weightsOf(t.id)
	mask = w.maskOffsets(t)
	r.masks = zeroed(r.masks, 1<<u.bits)
	for m := range r.masks {
		if m == 0 {
			r.masks[0] = values[0]
			continue
		}
		sum, many := 0.0, 0
		for v := range int(u.bits) {
			if m>>v&1 == 1 {
				sum += values[v+1]
				many++
			}
		}
		r.masks[m] = sum / float64(many)
	}
	return r.masks, mask
}

// maskOffsets fills r.offsets for the bits of a unit and returns their mask.
func (w *work) maskOffsets(t *step) (mask int) {
	r := &w.run
	n := int(w.units[t.id].bits)
	r.offsets = zeroed(r.offsets, 1<<n)
	for k := range n {
		slot := int32(1) << w.plan.at[int(t.at)+k]
		mask |= int(slot)
		for m := range 1 << k {
			r.offsets[m|1<<k] = r.offsets[m] | slot
		}
	}
	return mask
}

// closeUnit replaces a unit's bits by its value, which goes on top.
func (w *work) closeUnit(t *step, dst, src []float64) {
	r := &w.run
	u := &w.units[t.id]
	values := w.weightsOf(t.id)
	mask := w.maskOffsets(t)
	clear(dst)
	rest := len(src) >> u.bits
	for m, offset := range r.offsets {
		many := float64(onesCount(m))
		for v := range int(u.values) {
			k := values[v]
			if v == 0 {
				if m != 0 {
					continue
				}
			} else if m>>(v-1)&1 == 0 {
				continue
			} else {
				k /= many
			}
			part, to := src[offset:], dst[v*rest:][:rest]
			i := 0
			for x := range to {
				to[x] += k * part[i]
				i = ((i | mask) + 1) &^ mask
			}
		}
	}
}

// coupleJoint multiplies a table by a joint's, which is 0 at no value that can
// be: unused codes of a field stay as they are, for their numbers are 0.
func (w *work) coupleJoint(t *step, table []float64) {
	offset, mask := w.jointTable(t.id, w.plan.at[t.at:], -1)
	for i, k := range w.run.factors {
		couple(table, k, int(offset[i]), mask)
	}
}
