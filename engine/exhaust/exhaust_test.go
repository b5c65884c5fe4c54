package exhaust

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// samples are readings that an engine can give, from rich over even to lean and misfiring.
var samples = []struct {
	why string
	gas Gas
}{
	{"nothing but CO2: the CO terms are at their edge", Gas{CO: 0, CO2: 15.3, O2: 0, HC: 0}},
	{"ahead of a catalyst at lambda 1", Gas{CO: 0.5, CO2: 14.7, O2: 0.5, HC: 100}},
	{"one leaking injector: CO and O2 both high", Gas{CO: 1.95, CO2: 13.4, O2: 1.3, HC: 290}},
	{"very rich", Gas{CO: 9, CO2: 8, O2: 0.2, HC: 900}},
	{"lean with misfire: HC and O2 high", Gas{CO: 0.2, CO2: 9, O2: 8, HC: 1500}},
	{"CO above CO2, where the water-gas term bends most", Gas{CO: 14, CO2: 5, O2: 0, HC: 2000}},
	{"an analyser's smallest CO2", Gas{CO: 0, CO2: 0.1, O2: 20.8, HC: 1}},
}

func TestNothingButCarbonDioxideIsLambdaOne(t *testing.T) {
	for _, f := range []Fuel{Petrol, {HC: 4}, {HC: 1.89, OC: 0.016, K1: 6e-4}, {HC: 2.53, K1: 1}} {
		for co2 := 0.1; co2 <= 100; co2 += 0.1 {
			if got, err := Lambda(Gas{CO2: co2}, f); got != 1 || err != nil {
				t.Fatalf("Lambda(CO2 %v, %v) = %v, %v; the formula cancels to 1", co2, f, got, err)
			}
		}
	}
}

func TestLambdaFallsWithCarbonMonoxideAndFuelAndRisesWithOxygen(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		g := Gas{CO: 8 * r.Float64(), CO2: 6 + 10*r.Float64(), O2: 8 * r.Float64(), HC: 2000 * r.Float64()}
		_, d, err := LambdaGradient(g, Petrol)
		if err != nil {
			t.Fatal(err)
		}
		if d.CO >= 0 || d.HC >= 0 || d.O2 <= 0 {
			t.Errorf("gradient at %v is %v; CO and HC must lower lambda, O2 raise it", g, d)
		}
	}
}

func TestScalingAllGasesChangesNothing(t *testing.T) {
	for _, s := range samples {
		want, d, err := LambdaGradient(s.gas, Petrol)
		if err != nil {
			t.Fatal(err)
		}
		half := Gas{CO: s.gas.CO / 2, CO2: s.gas.CO2 / 2, O2: s.gas.O2 / 2, HC: s.gas.HC / 2}
		if got, _ := Lambda(half, Petrol); !(math.Abs(got-want) <= 1e-14*want) {
			t.Errorf("%s: lambda of half of everything is %v, of all %v", s.why, got, want)
		}
		// Euler's theorem on functions of degree 0.
		euler := d.CO*s.gas.CO + d.CO2*s.gas.CO2 + d.O2*s.gas.O2 + d.HC*s.gas.HC
		if !(math.Abs(euler) <= 1e-13*want) {
			t.Errorf("%s: gradient times gas is %v, must be 0", s.why, euler)
		}
	}
}

func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	ok := Gas{CO: 0.5, CO2: 14.7, O2: 0.5, HC: 100}
	for _, row := range []struct {
		why  string
		gas  Gas
		want string
	}{
		{"no CO2 at all: CO/CO2 has no value", Gas{CO: 1, O2: 20}, "CO2 of 0 % is no exhaust: without CO2 there is no lambda"},
		{"negative CO", Gas{CO: -0.1, CO2: 14}, "CO of -0.1 % is negative"},
		{"a zero error of the analyser is refused too", Gas{CO2: 14, O2: -0.01}, "O2 of -0.01 % is negative"},
		{"negative CO2", Gas{CO2: -14}, "CO2 of -14 % is negative"},
		{"negative HC is in ppm", Gas{CO2: 14, HC: -3}, "HC of -3 ppm is negative"},
		{"more than there is", Gas{CO: 30, CO2: 50, O2: 21, HC: 0}, "the sum of the gases of 101 % is more than the whole sample"},
		{"HC counts in the sum", Gas{CO2: 50, O2: 50, HC: 10000}, "the sum of the gases of 101 % is more than the whole sample"},
		{"NaN", Gas{CO: nan, CO2: 14}, "CO of NaN % is not a finite number"},
		{"infinite", Gas{CO2: 14, HC: inf}, "HC of +Inf ppm is not a finite number"},
		{"a quotient that overflows", Gas{CO2: 5e-324, O2: 20}, "CO2 of 5e-324 % is too small for lambda to be a number"},
	} {
		lambda, d, err := LambdaGradient(row.gas, Petrol)
		var gasError *GasError
		if !errors.As(err, &gasError) || err.Error() != row.want {
			t.Errorf("%s: error %v, want %s", row.why, err, row.want)
		}
		if lambda != 0 || d != (Gas{}) {
			t.Errorf("%s: %v and %v beside an error", row.why, lambda, d)
		}
	}
	for _, row := range []struct {
		why  string
		fuel Fuel
		want string
	}{
		{"less than no hydrogen", Fuel{HC: -1}, "H/C of -1 is that of no fuel"},
		{"more hydrogen than methane", Fuel{HC: 4.1}, "H/C of 4.1 is that of no fuel"},
		{"a fuel that is burned already", Fuel{HC: 2, OC: 3}, "O/C of 3 is that of no fuel"},
		{"NaN", Fuel{HC: 2, K1: nan}, "K1 of NaN is that of no fuel"},
	} {
		_, err := Lambda(ok, row.fuel)
		var fuelError *FuelError
		if !errors.As(err, &fuelError) || err.Error() != row.want {
			t.Errorf("%s: error %v, want %s", row.why, err, row.want)
		}
	}
}

func TestUncertainRefusesWhatIsNoUncertainty(t *testing.T) {
	for _, u := range []Gas{{CO: -1}, {CO2: math.NaN()}, {HC: math.Inf(1)}} {
		if l, ul, err := Uncertain(samples[1].gas, u, Petrol); err == nil || l != 0 || ul != 0 {
			t.Errorf("Uncertain with %v = %v, %v, %v; want an error and nothing else", u, l, ul, err)
		}
	}
	if _, _, err := Uncertain(Gas{}, Gas{}, Petrol); err == nil {
		t.Error("Uncertain takes a sample that Lambda refuses")
	}
}

func TestCertainReadingsGiveACertainLambda(t *testing.T) {
	for _, s := range samples {
		want, _ := Lambda(s.gas, Petrol)
		if l, u, err := Uncertain(s.gas, Gas{}, Petrol); l != want || u != 0 || err != nil {
			t.Errorf("%s: Uncertain without uncertainty = %v, %v, %v; want %v, 0", s.why, l, u, err, want)
		}
	}
}

func TestCarbonSum(t *testing.T) {
	if got := CarbonSum(Gas{CO: 2, CO2: 13.5, O2: 1, HC: 300}); got != 15.5 {
		t.Errorf("CarbonSum = %v, want CO + CO2 = 15.5", got)
	}
}

// FuzzLambda holds that an error comes alone, and that no error comes with a number that is none.
func FuzzLambda(f *testing.F) {
	for _, s := range samples {
		f.Add(s.gas.CO, s.gas.CO2, s.gas.O2, s.gas.HC)
	}
	f.Add(0.0, 5e-324, 20.0, 0.0)
	f.Add(1e-320, 1e-300, 0.0, 1e5)
	f.Fuzz(func(t *testing.T, co, co2, o2, hc float64) {
		l, d, err := LambdaGradient(Gas{CO: co, CO2: co2, O2: o2, HC: hc}, Petrol)
		if err != nil && (l != 0 || d != (Gas{})) {
			t.Errorf("%v and %v beside %v", l, d, err)
		}
		if err == nil && !(l >= 0 && finite(l) && finite(d.CO) && finite(d.CO2) && finite(d.O2) && finite(d.HC)) {
			t.Errorf("lambda %v, gradient %v", l, d)
		}
	})
}

func BenchmarkLambdaGradient(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		for _, s := range samples {
			if _, _, err := LambdaGradient(s.gas, Petrol); err != nil {
				b.Fatal(err)
			}
		}
	}
}
