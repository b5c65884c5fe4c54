package quantity

import (
	"errors"
	"math"
	"testing"
)

func must(t *testing.T, text string) Quantity {
	t.Helper()
	q, err := Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func TestInConverts(t *testing.T) {
	for _, row := range []struct {
		why, text string
		unit      Unit
		want      float64
	}{
		{"a bare number takes the unit", "850", PerMinute, 850},
		{"the same unit: not a digit changes", "0.3 bar", Bar, 0.3},
		{"exact where whole ratios allow", "1.9 %", PPM, 19000},
		{"dwell is a duty", "25.2 deg dwell4", Percent, 28},
		{"duty is a dwell", "28 %", DegDwell6, 16.8},
		{"from one dwell scale to another", "25.2 deg dwell4", DegDwell8, 12.6},
		{"prefix", "300 ohm", KiloOhm, 0.3},
		{"rates", "50 Hz", PerMinute, 3000},
		{"scales with different zeros", "176 degF", Celsius, 80},
		{"and back", "80 degC", Fahrenheit, 176},
		{"minutes", "10 min", Second, 600},
		{"volume", "0.9 L", MilliLitre, 900},
	} {
		got, err := must(t, row.text).In(row.unit)
		if err != nil || math.Abs(got.Value-row.want) > 1e-14*math.Abs(row.want) || got.Unit != row.unit || !got.HasUnit {
			t.Errorf("%s: %s in %v = %+v, %v; want %v", row.why, row.text, row.unit, got, err, row.want)
		}
	}
}

// A struct written in code may lack HasUnit; 75 psi must not become 75 bar by that.
func TestAUnitCountsWithoutItsFlag(t *testing.T) {
	got, err := Quantity{Value: 75, Unit: PSI}.In(Bar)
	want, _ := Quantity{Value: 75, Unit: PSI, HasUnit: true}.In(Bar)
	if err != nil || got != want {
		t.Errorf("75 psi in bar: %+v, %v; want %+v", got, err, want)
	}
}

func TestUncertaintyIsScaledAndNotShifted(t *testing.T) {
	got, err := must(t, "68 degF ± 1.8").In(Celsius)
	if want := 1 / math.Sqrt(3); err != nil || math.Abs(got.Value-20) > 1e-13 || math.Abs(got.U-want) > 1e-15 || !got.HasU {
		t.Errorf("68 ± 1.8 degF = %+v, %v; want 20 ± 1 degC", got, err)
	}
	got, err = must(t, "3 ± 0.1").In(MilliAmpere)
	if err != nil || got.U != 0.1/math.Sqrt(3) || got.Unit != MilliAmpere {
		t.Errorf("a bare number with a limit, in mA: %+v, %v", got, err)
	}
	got, err = must(t, "3").In(None)
	if err != nil || got != (Quantity{Value: 3}) {
		t.Errorf("a bare number as a plain number: %+v, %v", got, err)
	}
}

func TestInRefuses(t *testing.T) {
	for _, row := range []struct {
		why, text string
		unit      Unit
		want      string
	}{
		{"another dimension", "75 psi", Percent, `"75 psi" is a pressure; here a fraction is wanted: %, ppm, deg dwell4, deg dwell6, deg dwell8`},
		{"dwell without its scale is an angle", "25.2 deg", Percent, `"25.2 deg" is an angle; here a fraction is wanted: %, ppm, deg dwell4, deg dwell6, deg dwell8`},
		{"a volume is no flow", "900 mL", LitrePerMinute, `"900 mL" is a volume; here a flow is wanted: L/min`},
		{"nor is a time", "30 s", MilliLitre, `"30 s" is a time; here a volume is wanted: mL, L`},
		{"a difference is no temperature", "300 K", Celsius, `"300 K" is a temperature difference; here a temperature is wanted: degC, degF`},
		{"a temperature is no difference", "20 degC", Kelvin, `"20 degC" is a temperature; here a temperature difference is wanted: K, degF difference`},
		{"a unit where none is wanted", "1 %", None, `"1 %" is a fraction; here a plain number is wanted`},
	} {
		got, err := must(t, row.text).In(row.unit)
		var dimensionError *DimensionError
		if !errors.As(err, &dimensionError) || err.Error() != row.want {
			t.Errorf("%s: %v; want %s", row.why, err, row.want)
		}
		if got != (Quantity{}) {
			t.Errorf("%s: %+v beside the error", row.why, got)
		}
	}
	if got, err := must(t, "1e308 %").In(PPM); err == nil || got != (Quantity{}) || err.Error() != `"1e+308 %" is too large to be given in ppm` {
		t.Errorf("an overflow gives %+v, %v", got, err)
	}
}

func TestLimits(t *testing.T) {
	for _, row := range []struct {
		why    string
		limits Limits
		value  float64
		a      float64
	}{
		{"none stated", Limits{}, 17, 0},
		{"absolute", Limits{Within: 0.06}, 1.9, 0.06},
		{"relative", Limits{Percent: 5}, 8, 0.4},
		{"relative of a negative value", Limits{Percent: 5}, -8, 0.4},
		{"both: the absolute is larger", Limits{Within: 0.06, Percent: 5}, 1, 0.06},
		{"both: the relative is larger", Limits{Within: 0.06, Percent: 5}, 2, 0.1},
		{"both at nought", Limits{Within: 0.2, Percent: 1}, 0, 0.2},
	} {
		if got, want := row.limits.U(row.value), row.a/math.Sqrt(3); math.Abs(got-want) > 1e-16 {
			t.Errorf("%s: U = %v, want %v/√3", row.why, got, row.a)
		}
	}
}
