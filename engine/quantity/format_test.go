package quantity

import (
	"math"
	"testing"
)

func TestFormat(t *testing.T) {
	for _, row := range []struct {
		why      string
		value, u float64
		unit     Unit
		want     string
	}{
		{"noughts to the first digit of u", 17, 0.12, MilliAmpere, "17.0 mA"},
		{"digits to the second digit of u", 16.957, 0.12, MilliAmpere, "16.96 mA"},
		{"a converted pressure", 5.171067969876271, 0.05, Bar, "5.171 bar"},
		{"and with a poorer meter", 5.171067969876271, 0.3, Bar, "5.17 bar"},
		{"lambda has no unit", 1.0046834, 0.0061, None, "1.0047"},
		{"an uncertainty above 1", 290, 8.4, PPM, "290 ppm"},
		{"what was typed is found again however large u is", 2517, 250, PerMinute, "2517 /min"},
		{"u that rounds up to a further digit", 2.5, 0.0999, Volt, "2.5 V"},
		{"nothing is not negative", -0.0001, 0.1, Bar, "0.0 bar"},
		{"no uncertainty", 5.4, 0, Bar, "5.4 bar"},
		{"an uncertainty that is none", 5.4, math.NaN(), Bar, "5.4 bar"},
		{"no value", math.NaN(), 0.1, Bar, "NaN bar"},
	} {
		if got := Format(row.value, row.u, row.unit); got != row.want {
			t.Errorf("%s: Format(%v, %v) = %q, want %q", row.why, row.value, row.u, got, row.want)
		}
	}
}

func TestNumber(t *testing.T) {
	for _, row := range []struct {
		why   string
		value float64
		want  string
	}{
		{"whole", 850, "850"},
		{"as typed", 0.97, "0.97"},
		{"six digits as typed", 101.325, "101.325"},
		{"more come from arithmetic", 5.171067969876271, "5.171"},
		{"noughts that rounding leaves go", 0.30000000000000004, "0.3"},
		{"small", 0.0123456789, "0.01235"},
		{"no digit before the point is lost", 12345678.9, "12345679"},
		{"noughts before the point stay", 1200000.4, "1200000"},
		{"negative", -5.171067969876271, "-5.171"},
		{"nothing", 0, "0"},
		{"very small", 1e-9, "1e-09"},
		{"not a number", math.NaN(), "NaN"},
	} {
		if got := Number(row.value); got != row.want {
			t.Errorf("%s: Number(%v) = %q, want %q", row.why, row.value, got, row.want)
		}
	}
}

func TestString(t *testing.T) {
	for _, row := range []struct {
		why  string
		q    Quantity
		want string
	}{
		{"every digit where no uncertainty is known", Quantity{Value: 25.2, Unit: DegDwell4, HasUnit: true}, "25.2 deg dwell4"},
		{"bare", Quantity{Value: 850}, "850"},
		{"a nought has no sign", Quantity{Value: math.Copysign(0, -1), Unit: MilliAmpere, HasUnit: true}, "0 mA"},
		{"very large", Quantity{Value: 1e20}, "1e+20"},
		{"a limit, less its nought", Quantity{Value: 1.9, Unit: Percent, HasUnit: true, U: limitOf(0.06), HasU: true}, "1.90 ± 0.06 %"},
		{"a limit of two digits", Quantity{Value: 1.90412, Unit: Percent, HasUnit: true, U: limitOf(0.0654), HasU: true}, "1.904 ± 0.065 %"},
		{"a limit of tens", Quantity{Value: 2517, Unit: PerMinute, HasUnit: true, U: limitOf(250), HasU: true}, "2520 ± 250 /min"},
		{"a limit that rounds up", Quantity{Value: 5.123, U: limitOf(0.0996), HasU: true}, "5.1 ± 0.1"},
		{"a limit of nothing", Quantity{Value: 17, Unit: MilliAmpere, HasUnit: true, HasU: true}, "17 ± 0 mA"},
	} {
		if got := row.q.String(); got != row.want {
			t.Errorf("%s: %q, want %q", row.why, got, row.want)
		}
	}
}
