package belief

// findings takes the derivatives on to the numbers of all seen findings; those
// of the others do nothing.
func (t *slopes) findings() error {
	w := t.w
	jointOf := map[int32]int{}
	inJoint := map[int32]bool{}
	for j := range w.joints {
		jointOf[w.joints[j].finding] = j
		for _, u := range w.membersOf(&w.joints[j]) {
			inJoint[u] = true
		}
	}
	var alone []int32 // units of findings that show faults only
	for u := range w.units {
		if w.units[u].condition < 0 && !inJoint[int32(u)] {
			alone = append(alone, int32(u))
		}
	}
	for i := range t.e.Seen {
		seen := &t.e.Seen[i]
		f := &w.n.findings[seen.Finding]
		outcomes := t.s.m.Findings[seen.Finding].Outcomes
		out := t.s.finding(seen.Finding, t.out)
		var err error
		if f.outcomes > 1 {
			err = t.several(i, f, outcomes, out)
		} else {
			holds, none := seen.Likelihood[0], seen.Likelihood[1]
			o := &outcomes[0]
			_, joined := jointOf[int32(seen.Finding)]
			switch { // as work.see
			case holds == none:
			case len(f.shown)+len(f.faults) == 0:
				out[0] = (holds - none) / (holds*f.leak + none*(1-f.leak))
			case len(f.shown) == 1 && len(f.faults) == 0:
				err = t.oneCondition(i, f, o, out)
			case len(f.shown) == 0 && len(f.faults) == 1:
				err = t.oneFault(i, f, o, out)
			case joined:
				t.joined(jointOf[int32(seen.Finding)], f, o, out)
			case f.ruledBy(holds, none):
				t.ruled(o, 1-holds/none, out)
			default:
				t.faultsOnly(alone[0], f, o, holds/max(holds, none), none/max(holds, none), out)
				alone = alone[1:]
			}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// finding returns the part of a list of numbers that belongs to a finding.
func (s *Sensitivity) finding(f int, all []float64) []float64 {
	end := len(all)
	if f+1 < len(s.start) {
		end = s.start[f+1]
	}
	return all[s.start[f]:end]
}

// several: the weight of a value is the mean of the likelihoods by the outcomes'
// chances. What an outcome gains, "none of them" loses.
func (t *slopes) several(i int, f *finding, outcomes []Outcome, out []float64) error {
	likelihood := t.e.Seen[i].Likelihood
	none := likelihood[len(likelihood)-1]
	for v, chance := range f.chances {
		weight := dot(likelihood, chance)
		at := 0
		for j := range outcomes {
			o := &outcomes[j]
			number := at
			for k := range o.States {
				if o.States[k].State == v-1 {
					number = at + 1 + k
				}
			}
			at += 1 + len(o.States)
			gain := likelihood[j] - none
			if gain == 0 {
				continue
			}
			if f.shownBy < 0 {
				out[number] = gain / weight
				continue
			}
			d, err := t.byWeight(i, f.shownBy, v, weight)
			if err != nil {
				return err
			}
			out[number] += gain * d
		}
	}
	return nil
}

func (t *slopes) oneCondition(i int, f *finding, o *Outcome, out []float64) error {
	holds, none := t.e.Seen[i].Likelihood[0], t.e.Seen[i].Likelihood[1]
	for v, q := range f.shown[0].chance {
		number := 0
		for k := range o.States {
			if o.States[k].State == v-1 {
				number = 1 + k
			}
		}
		d, err := t.byWeight(i, f.shown[0].condition, v, holds*q+none*t.w.offOf(f, v))
		if err != nil {
			return err
		}
		out[number] += (holds - none) * d
	}
	return nil
}

func (t *slopes) oneFault(i int, f *finding, o *Outcome, out []float64) error {
	holds, none := t.e.Seen[i].Likelihood[0], t.e.Seen[i].Likelihood[1]
	fault := f.faults[0].fault
	for number, q := range []float64{f.leak, o.Faults[0].Strength} {
		p := t.present[fault]
		if number == 0 {
			p = 1 - p
		}
		weight := holds*q + none*(1-q)
		d := p / weight
		if weight == 0 { // as in byWeight
			rest := t.without(i)
			var post Posterior
			err := t.s.n.Posterior(rest, &post)
			if err != nil {
				return err
			}
			p = post.Faults[fault]
			if number == 0 {
				p = 1 - p
			}
			if d, err = t.relative(&rest, p); err != nil {
				return err
			}
		}
		out[number] = (holds - none) * d
	}
	return nil
}

// ruled: the finding does not hold, and each parent that is so leaves the factor
// (1-p)/(1-leak). It may be known by the evidence, or because nothing can make it
// hold as the numbers stand; loss is the share that is lost where it then holds.
func (t *slopes) ruled(o *Outcome, loss float64, out []float64) {
	many := 0.0
	for k, s := range o.States {
		p := t.chanceOf(int32(s.Condition), s.State+1)
		many += p
		out[1+k] = -loss * p / (1 - s.Strength)
	}
	for k, q := range o.Faults {
		p := t.present[q.Fault]
		many += p
		out[1+len(o.States)+k] = -loss * p / (1 - q.Strength)
	}
	out[0] = loss * (many - 1) / (1 - o.Leak)
}

// faultsOnly: the finding has a bit that its faults turn on.
func (t *slopes) faultsOnly(unit int32, f *finding, o *Outcome, holds, none float64, out []float64) {
	u := &t.w.units[unit]
	most := max(holds*f.leak+none*(1-f.leak), holds)
	out[0] = t.values[u.weights] / most * (holds - none)
	t.faultArcs(u.bit, o, out)
}

// faultArcs adds what the faults do through the bit of a finding.
func (t *slopes) faultArcs(bit int32, o *Outcome, out []float64) {
	for k, q := range o.Faults {
		a := t.arcTo(int32(q.Fault), bit)
		if a < 0 {
			continue // the fault cannot be present
		}
		out[1+len(o.States)+k] += t.arcs[a] * byStrength(o.Leak)
		out[0] += t.arcs[a] * byLeak(q.Strength, o.Leak)
	}
}

// joined: each number of the joint's table is holds q + none (1-q), where 1-q is
// (1-leak) by (1-p)/(1-leak) for each parent that is so, kept within 0..1.
func (t *slopes) joined(joint int, f *finding, o *Outcome, out []float64) {
	w := t.w
	j := &w.joints[joint]
	members := w.membersOf(j)
	active := make([]int, 0, len(members)) // numbers of the parents that are so
	for c, slope := range t.joints[joint] {
		active = active[:0]
		certain := false
		for k, u := range members {
			v := int32(c % int(w.units[u].values))
			c /= int(w.units[u].values)
			switch {
			case v == 0:
			case int32(k) < j.conditions:
				state := int(w.valueOf(u, v)) - 1
				for i, s := range o.States {
					if s.Condition == int(f.shown[k].condition) && s.State == state {
						active = append(active, 1+i)
					}
				}
			case f.clamps:
				active = append(active, 1+len(o.States)+k-int(j.conditions))
			default:
				certain = true
			}
		}
		if !certain {
			o.addSlopes(active, slope*(j.none-j.holds), out)
		}
	}
	if !f.clamps && len(f.faults) > 0 {
		t.faultArcs(w.units[members[j.conditions]].bit, o, out)
	}
}

// addSlopes adds slope times the derivatives of 1-q by the outcome's numbers,
// given which of its parents are so. Where 1-q is just 1 without being kept
// there, they are those of the side on which it is less, if the range has it.
func (o *Outcome) addSlopes(active []int, slope float64, out []float64) {
	strength := func(number int) float64 {
		if k := number - 1; k < len(o.States) {
			return o.States[k].Strength
		}
		return o.Faults[number-1-len(o.States)].Strength
	}
	if o.Leak == 1 {
		if len(active) == 0 {
			out[0] -= slope
		}
		return
	}
	off := 1 - o.Leak
	for _, number := range active {
		off *= (1 - strength(number)) / (1 - o.Leak)
	}
	if off > 1 {
		return // kept at 1
	}
	if more := float64(len(active) - 1); more <= 0 || off < 1 || o.Leak > 0 {
		out[0] += slope * off * more / (1 - o.Leak)
	}
	for i, number := range active {
		others := 1.0
		for k, other := range active {
			if k != i {
				others *= (1 - strength(other)) / (1 - o.Leak)
			}
		}
		out[number] -= slope * others
	}
}
