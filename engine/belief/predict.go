package belief

import "fmt"

// Predict returns the probabilities of a finding's outcomes, none of them last,
// when exactly these faults are present. Of the evidence only Acting counts.
// Errors are indexes out of range, a fault given twice, and a wrong Acting.
func (n *Network) Predict(e Evidence, faults []int, finding int) ([]float64, error) {
	if finding < 0 || finding >= len(n.findings) {
		return nil, fmt.Errorf("predict: there is no finding %d, only %d", finding, len(n.findings))
	}
	isIn := make([]bool, len(n.prior))
	for _, f := range faults {
		if f < 0 || f >= len(n.prior) {
			return nil, fmt.Errorf("predict: there is no fault %d, only %d", f, len(n.prior))
		}
		if isIn[f] {
			return nil, fmt.Errorf("predict: fault %d is given twice", f)
		}
		isIn[f] = true
	}
	if err := n.checkActing(e.Acting); err != nil {
		return nil, err
	}
	f := &n.findings[finding]
	if f.outcomes == 1 {
		q, off := n.expect(f, isIn, e.Acting)
		return []float64{q, off}, nil
	}
	if f.shownBy < 0 {
		return append([]float64(nil), f.chances[0]...), nil
	}
	out := make([]float64, f.outcomes+1)
	for v, p := range n.valuesGiven(f.shownBy, isIn, e.Acting) {
		for j, q := range f.chances[v] {
			out[j] += p * q
		}
	}
	return out, nil
}

// valuesGiven returns the chances of a condition's values, from 0 for none,
// when exactly the faults in the set are present.
func (n *Network) valuesGiven(condition int32, isIn []bool, acting []float64) []float64 {
	var chances []float64
	for s := n.first[condition]; s < n.first[condition+1]; s++ {
		on, off := n.leak[s], 1-n.leak[s]
		for _, k := range n.into.of(s) {
			l := &n.links[k]
			if !isIn[l.fault] {
				continue
			}
			linkOn, linkOff := l.acting(k, acting)
			on += off * linkOn
			off *= linkOff
		}
		chances = append(chances, on, off)
	}
	values := make([]float64, len(chances)/2+1)
	chooseValue(values, chances, nil)
	return values
}

// expect returns the chance of a finding's only outcome, and that of none. The
// conditions are independent here, so without clamping the mean of a product
// over them is a product of means.
func (n *Network) expect(f *finding, isIn []bool, acting []float64) (q, off float64) {
	values := make([][]float64, len(f.shown))
	for i := range f.shown {
		values[i] = n.valuesGiven(f.shown[i].condition, isIn, acting)
	}
	if f.clamps {
		return f.expectClamped(values, isIn, 0, f.leak, 1-f.leak)
	}
	q, off = f.leak, 1-f.leak
	for i := range f.shown {
		q += off * dot(f.shown[i].on, values[i])
		off *= dot(f.shown[i].off, values[i])
	}
	return f.withFaults(isIn, max(0, q), off)
}

// expectClamped takes the mean over the values of the conditions from k on.
func (f *finding) expectClamped(values [][]float64, isIn []bool, k int, q, off float64) (float64, float64) {
	if k == len(f.shown) {
		q, off = f.withFaults(isIn, q, off)
		if off > 1 {
			return 0, 1
		}
		return max(0, q), off
	}
	meanQ, meanOff := 0.0, 0.0
	for v, p := range values[k] {
		a, b := f.expectClamped(values, isIn, k+1, q+off*f.shown[k].on[v], off*f.shown[k].off[v])
		meanQ += p * a
		meanOff += p * b
	}
	return meanQ, meanOff
}

func (f *finding) withFaults(isIn []bool, q, off float64) (float64, float64) {
	for _, c := range f.faults {
		if isIn[c.fault] {
			q += off * c.on
			off *= c.off
		}
	}
	return q, off
}
