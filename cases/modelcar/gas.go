package modelcar

import (
	"math"

	"culprit/engine/exhaust"
)

// Gas: what a mixture burns to, in moles for each mole of carbon of the fuel, and how cylinders mix.

const (
	nitrogen  = 3.773               // moles of N2 (with argon) for each of O2 in air: Heywood 1988, 3.2 (from memory)
	airOxygen = 1 / (1 + nitrogen)  // mole fraction of O2 in air
	oxygenAir = 32 + nitrogen*28.16 // g of air that hold a mole of O2
	waterGas  = 3.5                 // CO·H2O/(CO2·H2), frozen at some 1740 K: Spindt 1965, SAE 650507; OIML R 99
)

// products are moles. HC counts atoms of carbon in fuel that did not burn.
type products struct{ CO2, CO, H2O, H2, O2, N2, HC float64 }

func (a *products) add(b products, share float64) {
	a.CO2 += share * b.CO2
	a.CO += share * b.CO
	a.H2O += share * b.H2O
	a.H2 += share * b.H2
	a.O2 += share * b.O2
	a.N2 += share * b.N2
	a.HC += share * b.HC
}

// dry is the composition of a dried sample, HC as n-hexane, six atoms of carbon.
func (a products) dry() exhaust.Gas {
	n := a.CO2 + a.CO + a.H2 + a.O2 + a.N2 + a.HC/6
	return exhaust.Gas{CO: 100 * a.CO / n, CO2: 100 * a.CO2 / n, O2: 100 * a.O2 / n, HC: 1e6 * a.HC / 6 / n}
}

// need is the moles of O2 that a mole of the fuel's carbon takes with its hydrogen: 1 + y/4 - z/2.
func need(f exhaust.Fuel) float64 { return 1 + f.HC/4 - f.OC/2 }

// stoichiometric is the mass of air for each mass of fuel at lambda 1.
func stoichiometric(f exhaust.Fuel) float64 { return need(f) * oxygenAir / fuelMass(f) }

// fuelMass is g of fuel for each mole of carbon.
func fuelMass(f exhaust.Fuel) float64 { return 12.011 + 1.008*f.HC + 15.999*f.OC }

// burn is what a mole of carbon in fuel and its air at lambda burn to, all of it reacting. Lean, all carbon goes to
// CO2 and oxygen is left. Rich, carbon, hydrogen and oxygen balance and CO·H2O = k·CO2·H2 decide; with x moles of
// CO and b = z + 2 λ need - 2 that is
//
//	(1-k) x² + (b + k (1 + y/2 - b)) x - k (y/2 - b) = 0
//
// Richer than leastLambda there is hardly oxygen for CO alone, and the fuel above that does not react.
func burn(lambda float64, f exhaust.Fuel, k float64) products {
	oxygen := lambda * need(f)
	if lambda >= 1 {
		return products{CO2: 1, H2O: f.HC / 2, O2: oxygen - need(f), N2: nitrogen * oxygen}
	}
	if least := leastLambda(f); lambda < least {
		share := max(0, lambda) / least
		var p products
		p.add(burn(least, f, k), share)
		p.HC = 1 - share
		return p
	}
	b := f.OC + 2*oxygen - 2
	a1, b1, c1 := 1-k, b+k*(1+f.HC/2-b), -k*(f.HC/2-b)
	x := 2 * c1 / (-b1 - math.Sqrt(b1*b1-4*a1*c1)) // the root between 0 and 1; b1 > 0, so nothing cancels
	return products{CO2: 1 - x, CO: x, H2O: b + x, H2: f.HC/2 - b - x, N2: nitrogen * oxygen}
}

// leastLambda is the richest mixture of which all fuel still reacts: a fifth more oxygen than CO alone takes.
func leastLambda(f exhaust.Fuel) float64 { return (0.6 - f.OC/2) / need(f) }

// nodes and weights of the five-point Gauss-Hermite rule for the standard normal distribution (Abramowitz and
// Stegun 1964, table 25.10, turned to weight exp(-z²/2)).
var (
	hermiteNodes   = [5]float64{-2.8569700138728, -1.3556261799742, 0, 1.3556261799742, 2.8569700138728}
	hermiteWeights = [5]float64{0.011257411327721, 0.22207592200561, 0.53333333333334, 0.22207592200561, 0.011257411327721}
)

// exhale is what one cylinder puts out for each mole of carbon that it takes in: cycles spread about lambda with a
// standard deviation of spread, a share of them missing fire and leaving as they came, and of the rest a share of
// the fuel unburnt with its air and a share of the carbon left as CO.
func exhale(lambda, spread, missing, unburnt, frozen float64) products {
	f := exhaust.Petrol
	var out products
	var factor, mean, total [5]float64
	sum, norm := 0.0, 0.0
	for i, z := range hermiteNodes {
		factor[i] = math.Exp(spread * z)
		sum += hermiteWeights[i] * factor[i]
		norm += hermiteWeights[i]
	}
	for i := range factor { // so that no air is lost by averaging
		mean[i] = lambda * factor[i] * norm / sum
		total[i] = hermiteWeights[i] / norm
	}
	for i, l := range mean {
		burnt := burn(l, f, waterGas)
		var left products
		left.add(burnt, 1-unburnt)
		left.HC += unburnt
		left.O2 += unburnt * l * need(f) // what the unburnt share had for air
		left.N2 += unburnt * l * need(f) * nitrogen
		back := min(frozen, left.CO2)
		left.CO2 -= back
		left.CO += back
		left.O2 += back / 2
		out.add(left, (1-missing)*total[i])
		out.HC += missing * total[i]
		out.O2 += missing * total[i] * l * need(f)
		out.N2 += missing * total[i] * l * need(f) * nitrogen
	}
	return out
}
