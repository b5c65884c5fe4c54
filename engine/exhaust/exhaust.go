// Package exhaust does the arithmetic of the four exhaust gases: lambda from CO, CO2, O2 and HC, its gradient and
// its uncertainty, and the carbon sum.
//
// Start with Lambda, or with Uncertain where the readings carry uncertainties. The formula is that of
// Brettschneider as legal metrology has it (OIML R 99 / ISO 3930), without its term for NO, which four-gas
// analysers do not read. It takes the sample to be undiluted exhaust: air drawn in by a leak raises its result
// and nothing here can tell (see CarbonSum). It says nothing of the engine; that is for the rules.
package exhaust

// A Gas is one reading of a four-gas analyser. CO, CO2 and O2 are in % of the volume of the dried sample; HC is
// in ppm of that volume counted as n-hexane, as analysers show it.
type Gas struct{ CO, CO2, O2, HC float64 }

// A Fuel is the set of constants that the formula takes. OIML R 99 / ISO 3930 leave it to the
// analyser which fuels it offers.
type Fuel struct {
	HC float64 // atoms of hydrogen for each atom of carbon
	OC float64 // atoms of oxygen for each atom of carbon
	K1 float64 // % of carbon in the exhaust for each ppm of HC that the analyser shows
}

// Petrol is the set of OIML R 99 / ISO 3930. K1 is the six carbon atoms of n-hexane times 1e-4 % a ppm.
// Publications disagree whether the fuel's O/C is 0.0175 or 0.0176; over the range of an analyser that moves
// lambda by some 3e-5 at most, a hundredth of the 0.3 % within which R 99 wants the formula to be computed.
var Petrol = Fuel{HC: 1.7261, OC: 0.0176, K1: 6e-4}

// waterGas is the equilibrium constant CO·H2O/(CO2·H2) of the exhaust, frozen at some 1740 K. From it the
// formula infers the hydrogen that an analyser does not measure (Spindt, SAE 650507; OIML R 99 / ISO 3930 take
// the same 3.5).
const waterGas = 3.5

// percentPerPPM turns ppm into %.
const percentPerPPM = 1e-4

// CarbonSum is CO + CO2, in %. Of the carbon in the exhaust that is all but what HC holds (0.12 % at 200 ppm).
// It is some 15 % at lambda 1 and falls with the share of air in the sample.
func CarbonSum(g Gas) float64 { return g.CO + g.CO2 }

// Lambda is the air that was burned over the air that the fuel needed, from the gases of its exhaust:
//
//	w      = H/4 · 3.5/(3.5 + CO/CO2) - O/2
//	lambda = [CO2 + CO/2 + O2 + w (CO2 + CO)] / [(1 + H/4 - O/2) (CO2 + CO + K1 HC)]
//
// with H and O the fuel's atoms of hydrogen and oxygen for each of carbon. It is exactly 1 where CO2 is the only
// gas. It is an error where the formula does not hold: a *GasError for a gas that is not a finite number, is
// negative (even by less than the analyser's error at zero, since an analyser that reads below nought wants its
// zero set), or is CO2 and zero, and for gases that make up more than 100 %; a *FuelError for constants of no
// fuel.
func Lambda(g Gas, f Fuel) (float64, error) {
	lambda, _, err := LambdaGradient(g, f)
	return lambda, err
}

// LambdaGradient is Lambda with its partial derivatives by the gases: a change of lambda for each % of CO, CO2
// and O2 and for each ppm of HC. They are derived from the formula, not estimated from differences.
func LambdaGradient(g Gas, f Fuel) (lambda float64, d Gas, err error) {
	if err := f.check(); err != nil {
		return 0, Gas{}, err
	}
	if err := g.check(); err != nil {
		return 0, Gas{}, err
	}
	// Everything by parts of t, so that no square of a small number is needed.
	t := waterGas*g.CO2 + g.CO
	h := f.HC / 4 * (waterGas * g.CO2 / t) // w + O/2
	w := h - f.OC/2
	need := 1 + (f.HC/4 - f.OC/2) // moles of O2 for each of carbon
	carbon := g.CO2 + g.CO + f.K1*g.HC
	lambda = (g.CO2*(1+w) + g.CO*(0.5+w) + g.O2) / (need * carbon)

	bend := f.HC / 4 * waterGas * ((g.CO2 + g.CO) / t) // (CO2+CO) dw = bend (CO dCO2 - CO2 dCO)/t
	d = Gas{
		CO:  (0.5 + w - bend*(g.CO2/t) - lambda*need) / (need * carbon),
		CO2: (1 + w + bend*(g.CO/t) - lambda*need) / (need * carbon),
		O2:  1 / (need * carbon),
		HC:  -lambda * f.K1 / carbon,
	}
	if !finite(lambda) || !finite(d.CO) || !finite(d.CO2) || !finite(d.O2) || !finite(d.HC) {
		return 0, Gas{}, &GasError{Gas: "CO2", Value: g.CO2, Problem: "is too small for lambda to be a number"}
	}
	return lambda, d, nil
}
