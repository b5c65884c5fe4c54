package exhaust

import (
	"math"
	"strconv"
)

// A GasError says which gas the formula cannot take.
type GasError struct {
	Gas     string  // "CO", "CO2", "O2", "HC"; or "the sum of the gases"
	Value   float64 // as given: in % of volume, or ppm for HC
	Problem string  // such as "is negative"
}

// Error is such as: CO of -0.1 % is negative.
func (e *GasError) Error() string {
	unit := " %"
	if e.Gas == "HC" {
		unit = " ppm"
	}
	return e.Gas + " of " + number(e.Value) + unit + " " + e.Problem
}

// A FuelError says which constant is that of no fuel.
type FuelError struct {
	Constant string // "H/C", "O/C" or "K1"
	Value    float64
}

// Error is such as: H/C of -1 is that of no fuel.
func (e *FuelError) Error() string {
	return e.Constant + " of " + number(e.Value) + " is that of no fuel"
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

type reading struct {
	name  string
	value float64
}

func (g Gas) list() [4]reading {
	return [...]reading{{"CO", g.CO}, {"CO2", g.CO2}, {"O2", g.O2}, {"HC", g.HC}}
}

func (g Gas) check() error {
	for _, r := range g.list() {
		switch {
		case !finite(r.value):
			return &GasError{r.name, r.value, "is not a finite number"}
		case r.value < 0:
			return &GasError{r.name, r.value, "is negative"}
		}
	}
	if g.CO2 == 0 {
		return &GasError{"CO2", 0, "is no exhaust: without CO2 there is no lambda"}
	}
	if sum := g.CO + g.CO2 + g.O2 + g.HC*percentPerPPM; sum > 100 {
		return &GasError{"the sum of the gases", sum, "is more than the whole sample"}
	}
	return nil
}

// check refuses what would not leave a positive need of oxygen; a fuel's oxygen never outweighs its carbon and
// hydrogen.
func (f Fuel) check() error {
	switch {
	case !finite(f.HC) || f.HC < 0 || f.HC > 4: // 4: methane has the most
		return &FuelError{"H/C", f.HC}
	case !finite(f.OC) || f.OC < 0 || f.OC >= 2+f.HC/2:
		return &FuelError{"O/C", f.OC}
	case !finite(f.K1) || f.K1 < 0 || f.K1 > 1:
		return &FuelError{"K1", f.K1}
	}
	return nil
}
