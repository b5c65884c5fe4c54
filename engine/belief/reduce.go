package belief

import (
	"math"
	"slices"
)

// negligible is a ratio of two terms below which the smaller cannot change
// their float64 sum.
const negligible = 0x1p-55

// reduce turns evidence into the smallest problem with the same posterior:
//
//   - a finding that tells nothing leaves a constant;
//   - one that certainly does not hold is a product over its parents, and folds
//     into the faults' weights and the conditions' weights by value;
//   - one with a single parent is a weight of that parent's values;
//   - one with faults among several parents gets a bit of its own, turned on by
//     those faults as a state is by links;
//   - one with several conditions, or conditions and such a bit, is a joint;
//   - a condition that certainly has no state is a product over its causes, and
//     folds into the faults' weights.
//
// Conditions without evidence, and links to them, are left out, but for the one
// condition that the caller asks to keep (-1: none).
func (w *work) reduce(e *Evidence, keep int32) error {
	w.reset(e)
	for i := range e.Seen {
		w.see(&e.Seen[i])
	}
	for i := range e.Conditions {
		w.know(&e.Conditions[i])
	}
	if keep >= 0 {
		w.unitFor(keep)
	}
	for u := range w.units {
		w.normalize(int32(u))
		if int32(u) != w.keptUnit(keep) {
			w.ruleOut(int32(u), e.Acting)
		}
	}
	if w.scale.value == 0 {
		return ErrImpossible
	}
	for i := range w.weights {
		if err := w.settle(&w.weights[i]); err != nil {
			return err
		}
	}
	w.build(e)
	return nil
}

func (w *work) reset(e *Evidence) {
	for i := range w.units {
		if c := w.units[i].condition; c >= 0 {
			w.unitOf[c] = -1
		}
	}
	w.units, w.value, w.shift, w.bits = w.units[:0], w.value[:0], w.shift[:0], w.bits[:0]
	w.joints, w.members = w.joints[:0], w.members[:0]
	w.entries, w.arcs = w.entries[:0], w.arcs[:0]
	w.movers, w.folded = w.movers[:0], w.folded[:0]
	w.scale = scale{value: 1}
	w.told, w.done = e.Seen, e.Done
	w.isArranged, w.isLaid = false, false
	for i, p := range w.n.prior {
		w.weights[i] = weight{absent: scale{value: 1 - p}, present: scale{value: p}}
	}
	for _, k := range e.Faults {
		w.weigh(int32(k.Fault), k.Absent, k.Present)
	}
}

// weigh multiplies a fault's weights.
func (w *work) weigh(fault int32, absent, present float64) {
	w.weights[fault].absent.times(absent)
	w.weights[fault].present.times(present)
}

// settle works out a fault's shares and moves their sum into the scale.
func (w *work) settle(f *weight) error {
	absent, present := f.absent.value, f.present.value
	shift := f.present.shift - f.absent.shift
	f.log = math.Log(present/absent) + float64(shift)*math.Ln2
	if present == 0 || absent > 0 && shift <= 0 {
		w.scale.shift += f.absent.shift
		present = math.Ldexp(present, shift)
	} else {
		w.scale.shift += f.present.shift
		absent = math.Ldexp(absent, -shift)
	}
	sum := absent + present
	if sum == 0 {
		return ErrImpossible
	}
	w.scale.times(sum)
	f.absentShare, f.presentShare = absent/sum, present/sum
	return nil
}

// know folds in what is known of a condition.
func (w *work) know(k *KnownCondition) {
	u := w.unitFor(int32(k.Condition))
	for v, l := range k.Likelihood {
		w.weighValue(u, v, l)
	}
}

// see folds one seen finding into the problem.
func (w *work) see(s *Seen) {
	f := &w.n.findings[s.Finding]
	if f.outcomes > 1 {
		w.seeSeveral(f, s.Likelihood)
		return
	}
	most := max(s.Likelihood[0], s.Likelihood[1])
	w.scale.times(most)
	holds, none := s.Likelihood[0]/most, s.Likelihood[1]/most
	switch {
	case holds == none:
	case len(f.shown)+len(f.faults) == 0:
		w.scale.times(holds*f.leak + none*(1-f.leak))
	case len(f.shown) == 1 && len(f.faults) == 0:
		u := w.unitFor(f.shown[0].condition)
		for v, q := range f.shown[0].chance {
			w.weighValue(u, v, holds*q+none*w.offOf(f, v))
		}
	case len(f.shown) == 0 && len(f.faults) == 1:
		c := &f.faults[0]
		w.weigh(c.fault, holds*f.leak+none*(1-f.leak), holds*c.chance+none*(1-f.leak)*c.off)
	case f.ruledBy(holds, none):
		w.rule(f, none)
	default:
		w.join(int32(s.Finding), holds, none)
	}
}

// ruledBy reports whether likelihoods say that a finding with one outcome does not hold,
// so far as the sum of what is said for each can tell.
func (f *finding) ruledBy(holds, none float64) bool {
	return !f.clamps && holds*f.most <= negligible*none*f.least
}

// offOf returns the chance that a finding with one condition does not arise.
func (w *work) offOf(f *finding, v int) float64 { return (1 - f.leak) * f.shown[0].off[v] }

// rule folds in a finding that certainly does not hold.
func (w *work) rule(f *finding, none float64) {
	w.scale.times(none * (1 - f.leak))
	for i := range f.shown {
		u := w.unitFor(f.shown[i].condition)
		for v, r := range f.shown[i].off {
			w.weighValue(u, v, r)
		}
	}
	for _, c := range f.faults {
		w.weigh(c.fault, 1, c.off)
	}
}

// ruleOut takes a condition out that is known to have no state: no cause of any
// of its states has acted.
func (w *work) ruleOut(u int32, acting []float64) {
	t := &w.units[u]
	weights := w.weightsOf(u)
	if t.condition < 0 || weights[0] == 0 || slices.ContainsFunc(weights[1:], func(x float64) bool { return x != 0 }) {
		return
	}
	n := w.n
	for s := n.first[t.condition]; s < n.first[t.condition+1]; s++ {
		w.scale.times(1 - n.leak[s])
		for _, k := range n.into.of(s) {
			_, off := n.links[k].acting(k, acting)
			w.weigh(n.links[k].fault, 1, off)
		}
	}
	t.ruledOut = true
}

// keptUnit is the unit of the condition that a caller keeps, or -1.
func (w *work) keptUnit(keep int32) int32 {
	if keep < 0 {
		return -1
	}
	return w.unitOf[keep]
}

// join enters a finding that couples its parents. Its faults turn on a bit of
// its own: given that bit the finding holds for certain, else as often as its
// conditions say. Where conditions can push the chance below 0 that split does
// not hold, and each of its faults is mirrored by a bit.
func (w *work) join(finding int32, holds, none float64) {
	f := &w.n.findings[finding]
	j := joint{finding: finding, holds: holds, none: none, first: int32(len(w.members)), conditions: int32(len(f.shown))}
	for k := range f.shown {
		w.members = append(w.members, w.unitFor(f.shown[k].condition))
	}
	switch {
	case len(f.faults) == 0:
	case f.clamps:
		for _, c := range f.faults {
			b := w.findingBit(finding)
			w.members = append(w.members, w.bits[b].unit)
			w.entries = append(w.entries, entry{c.fault, b, 1, 0})
		}
	default:
		b := w.findingBit(finding)
		u := w.bits[b].unit
		for _, c := range f.faults {
			w.entries = append(w.entries, entry{c.fault, b, c.on, c.off})
		}
		if len(f.shown) == 0 {
			w.weighValue(u, 0, holds*f.leak+none*(1-f.leak))
			w.weighValue(u, 1, holds)
			return
		}
		w.members = append(w.members, u)
	}
	j.many = int32(len(w.members)) - j.first
	w.joints = append(w.joints, j)
}

// findingBit makes a unit of a finding with one bit that only faults turn on.
func (w *work) findingBit(finding int32) int32 {
	b := int32(len(w.bits))
	w.bits = append(w.bits, bit{unit: int32(len(w.units)), state: 1, on: 0, off: 1, head: -1})
	w.units = append(w.units, unit{condition: -1, weights: int32(len(w.value)), values: 2, bit: b, bits: 1, finding: finding})
	w.value, w.shift = append(w.value, 1, 1), append(w.shift, 0, 0)
	return b
}

// seeSeveral folds in a finding with several outcomes.
func (w *work) seeSeveral(f *finding, likelihood []float64) {
	same, most := true, slices.Max(likelihood)
	for _, l := range likelihood {
		same = same && l == likelihood[0]
	}
	switch {
	case same:
		w.scale.times(likelihood[0])
	case f.shownBy < 0:
		w.scale.times(most)
		w.scale.times(meanOf(likelihood, f.chances[0], most))
	default:
		u := w.unitFor(f.shownBy)
		w.scale.times(most)
		for v, chance := range f.chances {
			w.weighValue(u, v, meanOf(likelihood, chance, most))
		}
	}
}

// meanOf returns the mean of likelihoods by chances, as a share of the most of them.
func meanOf(likelihood, chances []float64, most float64) float64 {
	sum := 0.0
	for j, l := range likelihood {
		sum += l / most * chances[j]
	}
	return sum
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}
