package modelcar

import "math/rand/v2"

// A Parameter is one number of the model, as it is in the average car.
type Parameter struct {
	Name      string
	Value     float64
	Tolerance float64 // from car to car, evenly within Value ± Tolerance; 0 for what is the same in all
	Unit      string
	Source    string // where the value is from; "judgement" where nobody published it
}

// pid is the place of a parameter in Parameters.
type pid int

// parameters are the numbers of one car.
type parameters [parameterCount]float64

// drawParameters draws a car's numbers. Every parameter takes one draw whether it has a tolerance or not, so that
// a tolerance changed leaves the others as they were.
func drawParameters(d *Design, r *rand.Rand) parameters {
	var p parameters
	for i, each := range Parameters {
		value := each.Value
		if own, ok := d.own[pid(i)]; ok {
			value = own
		}
		p[i] = value + each.Tolerance*(2*r.Float64()-1)
	}
	return p
}
