package exhaust

import "math"

// Uncertain is Lambda with its standard uncertainty, from the standard uncertainties u of the four readings (in
// the units of Gas; 0 for what is known exactly):
//
//	u²(lambda) = sum over the gases of (∂lambda/∂gas · u(gas))²
//
// which is the law of propagation of uncertainty for input that is not correlated (JCGM 100:2008, 5.1.2,
// equation 10). It is of first order, which is enough as long as u is small against the CO2 reading. An
// uncertainty that is negative or not finite is a *GasError; the other errors are those of Lambda.
func Uncertain(g, u Gas, f Fuel) (lambda, uLambda float64, err error) {
	for _, r := range u.list() {
		if !finite(r.value) || r.value < 0 {
			return 0, 0, &GasError{Gas: r.name, Value: r.value, Problem: "is no standard uncertainty"}
		}
	}
	lambda, d, err := LambdaGradient(g, f)
	if err != nil {
		return 0, 0, err
	}
	uLambda = math.Hypot(math.Hypot(d.CO*u.CO, d.CO2*u.CO2), math.Hypot(d.O2*u.O2, d.HC*u.HC))
	if !finite(uLambda) {
		return 0, 0, &GasError{Gas: "CO2", Value: g.CO2, Problem: "is too small for the uncertainty of lambda to be a number"}
	}
	return lambda, uLambda, nil
}
