package belief

import "math/bits"

func onesCount(m int) int { return bits.OnesCount(uint(m)) }

// jointTable fills r.factors with the weight of each combination of a joint's
// unit values, scaled to at most 1, and returns each combination's part of the
// index with the mask of all slots. at has the lowest slot of each unit's value.
//
// Where last is not negative, that unit does not count, and r.rest gets by how much
// the weight is more where it is certain to act.
func (w *work) jointTable(joint int32, at []int32, last int32) (offsets []int32, mask int) {
	r := &w.run
	j := &w.joints[joint]
	f := &w.n.findings[j.finding]
	members := w.membersOf(j)
	combinations := 1
	for k, u := range members {
		if int32(k) == last {
			continue
		}
		combinations *= int(w.units[u].values)
		mask |= (1<<w.units[u].width() - 1) << at[k]
	}
	r.factors = zeroed(r.factors, combinations)
	r.offsets = zeroed(r.offsets, combinations)
	r.rest = sized(r.rest, combinations)
	for c := range combinations {
		rest := c
		q, off := f.leak, 1-f.leak
		acted, certain := false, false
		strengths := r.strengths[:0]
		for k, u := range members {
			if int32(k) == last {
				continue
			}
			v := int32(rest % int(w.units[u].values))
			rest /= int(w.units[u].values)
			r.offsets[c] |= v << at[k]
			switch {
			case v == 0:
			case int32(k) < j.conditions:
				value := w.valueOf(u, v)
				q, off = f.shown[k].add(value, q, off, !acted)
				acted = true
				strengths = append(strengths, f.shown[k].chance[value])
			case f.clamps:
				c := &f.faults[int32(k)-j.conditions]
				q += off * c.on
				off *= c.off
				strengths = append(strengths, c.chance)
			default:
				certain = true
			}
		}
		if r.strengths = strengths; f.inhibits {
			q, off = opposed(f.leak, strengths)
		}
		if off > 1 {
			q, off = 0, 1
		}
		if certain {
			q, off = 1, 0
		}
		r.factors[c] = j.holds*q + j.none*off
		if last >= 0 {
			r.rest[c] = (j.holds - j.none) * off
		}
	}
	return r.offsets, mask
}

// add lets a value act on a finding's chance q, off = 1 - q.
func (s *shown) add(value int32, q, off float64, first bool) (float64, float64) {
	if first {
		q = s.chance[value] // exactly, where a sum would lose digits
	} else {
		q += off * s.on[value]
	}
	return q, off * s.off[value]
}

// valueOf returns the model's value, from 0 for none, of a unit's value.
func (w *work) valueOf(u, value int32) int32 {
	t := &w.units[u]
	if value == 0 || t.condition < 0 {
		return value
	}
	return w.bits[t.bit+value-1].state
}
