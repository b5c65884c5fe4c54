package belief

import "math"

// unitFor returns the unit of a condition and makes it if it is new.
func (w *work) unitFor(condition int32) int32 {
	if u := w.unitOf[condition]; u >= 0 {
		return u
	}
	u := int32(len(w.units))
	values := int32(w.n.states(condition)) + 1
	w.units = append(w.units, unit{condition: condition, weights: int32(len(w.value)), values: values})
	for range values {
		w.value, w.shift = append(w.value, 1), append(w.shift, 0)
	}
	w.unitOf[condition] = u
	return u
}

// weighValue multiplies the weight of a unit's value. Until normalize it has an exponent of
// its own, for what one finding all but excludes another may ask for.
func (w *work) weighValue(u int32, value int, x float64) {
	at := w.units[u].weights + int32(value)
	s := scale{w.value[at], w.shift[at]}
	s.times(x)
	w.value[at], w.shift[at] = s.value, s.shift
}

// normalize scales a unit's weights so that the largest is 1.
func (w *work) normalize(u int32) {
	weights := w.weightsOf(u)
	shift := w.shift[w.units[u].weights:][:len(weights)]
	most, highest := 0.0, math.MinInt
	for v, x := range weights {
		if x > 0 {
			highest = max(highest, shift[v]+math.Ilogb(x))
		}
	}
	for v, x := range weights {
		if x > 0 {
			weights[v] = math.Ldexp(x, shift[v]-highest)
			most = max(most, weights[v])
		}
		shift[v] = 0
	}
	w.scale.times(most)
	if most == 0 {
		return
	}
	w.scale.shift += highest
	for v := range weights {
		weights[v] /= most
	}
}

func (w *work) weightsOf(u int32) []float64 {
	t := &w.units[u]
	return w.value[t.weights : t.weights+t.values]
}
