package quantity

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// limitOf is the standard uncertainty of a limit of error.
func limitOf(a float64) float64 { return a / math.Sqrt(3) }

var parseRows = []struct {
	why, text string
	want      Quantity
}{
	{"a bare number takes the reading's unit", "850", Quantity{Value: 850}},
	{"space about it", "  850\t", Quantity{Value: 850}},
	{"no digit before the point", ".5 V", Quantity{Value: 0.5, Unit: Volt, HasUnit: true}},
	{"no digit behind the point", "5. V", Quantity{Value: 5, Unit: Volt, HasUnit: true}},
	{"a sign", "+3 mA", Quantity{Value: 3, Unit: MilliAmpere, HasUnit: true}},
	{"a negative pressure", "-0.4 bar", Quantity{Value: -0.4, Unit: Bar, HasUnit: true}},
	{"the minus sign that printed texts have", "−3 mA", Quantity{Value: -3, Unit: MilliAmpere, HasUnit: true}},
	{"rev/min", "850 rev/min", Quantity{Value: 850, Unit: PerMinute, HasUnit: true}},
	{"an exponent", "1e3 /min", Quantity{Value: 1000, Unit: PerMinute, HasUnit: true}},
	{"a negative exponent", "6E-4", Quantity{Value: 6e-4}},
	{"an e that is no exponent is the start of a unit, and there is none", "3 mL", Quantity{Value: 3, Unit: MilliLitre, HasUnit: true}},
	{"no space before the unit", "75psi", Quantity{Value: 75, Unit: PSI, HasUnit: true}},
	{"percent", "1.9%", Quantity{Value: 1.9, Unit: Percent, HasUnit: true}},
	{"percent as data sheets have it", "1.9 % vol", Quantity{Value: 1.9, Unit: Percent, HasUnit: true}},
	{"dwell", "25.2 deg dwell4", Quantity{Value: 25.2, Unit: DegDwell4, HasUnit: true}},
	{"dwell with the spaces elsewhere", "25.2deg dwell 4", Quantity{Value: 25.2, Unit: DegDwell4, HasUnit: true}},
	{"dwell with the degree sign", "16.8° dwell6", Quantity{Value: 16.8, Unit: DegDwell6, HasUnit: true}},
	{"a unit that begins with a slash", "2500/min", Quantity{Value: 2500, Unit: PerMinute, HasUnit: true}},
	{"a unit that begins with a digit, apart", "2500 1/min", Quantity{Value: 2500, Unit: PerMinute, HasUnit: true}},
	{"rpm", "850 rpm", Quantity{Value: 850, Unit: PerMinute, HasUnit: true}},
	{"Greek omega", "0.25 kΩ", Quantity{Value: 0.25, Unit: KiloOhm, HasUnit: true}},
	{"the ohm sign U+2126", "0.25 k\u2126", Quantity{Value: 0.25, Unit: KiloOhm, HasUnit: true}},
	{"degrees Celsius", "20 °C", Quantity{Value: 20, Unit: Celsius, HasUnit: true}},
	{"crank angle", "10°", Quantity{Value: 10, Unit: Degree, HasUnit: true}},
	{"capitals that change nothing", "75 PSI", Quantity{Value: 75, Unit: PSI, HasUnit: true}},
	{"a no-break space", "75\u00a0psi", Quantity{Value: 75, Unit: PSI, HasUnit: true}},
	{"minutes begin with m and are never mega", "10 Min", Quantity{Value: 10, Unit: Minute, HasUnit: true}},
	{"a limit behind the unit", "1.9 % +- 0.06", Quantity{Value: 1.9, Unit: Percent, HasUnit: true, U: limitOf(0.06), HasU: true}},
	{"a limit before the unit", "1.9 ± 0.06 %", Quantity{Value: 1.9, Unit: Percent, HasUnit: true, U: limitOf(0.06), HasU: true}},
	{"the unit twice", "1.9 % +/- 0.06 %", Quantity{Value: 1.9, Unit: Percent, HasUnit: true, U: limitOf(0.06), HasU: true}},
	{"a limit in a larger unit of the same kind", "900 mV ± 0.01 V", Quantity{Value: 900, Unit: MilliVolt, HasUnit: true, U: limitOf(10), HasU: true}},
	{"a limit of a temperature is a difference", "20 degC ± 9 degF", Quantity{Value: 20, Unit: Celsius, HasUnit: true, U: limitOf(5), HasU: true}},
	{"a temperature difference", "12 K", Quantity{Value: 12, Unit: Kelvin, HasUnit: true}},
	{"the same as those who have no K on the meter write it", "12 degC difference", Quantity{Value: 12, Unit: Kelvin, HasUnit: true}},
	{"a limit of a temperature in kelvin", "20 degC ± 2 K", Quantity{Value: 20, Unit: Celsius, HasUnit: true, U: limitOf(2), HasU: true}},
	{"a limit in kelvin of a temperature in degF (1 K is 1.8 degF: NIST SP 811, appendix B.8, from memory)", "68 degF ± 5 K",
		Quantity{Value: 68, Unit: Fahrenheit, HasUnit: true, U: limitOf(9), HasU: true}},
	{"a limit without any unit", "17 ±0.2", Quantity{Value: 17, U: limitOf(0.2), HasU: true}},
	{"a limit of nothing is known to be nothing", "17 mA ± 0", Quantity{Value: 17, Unit: MilliAmpere, HasUnit: true, HasU: true}},
}

func TestParse(t *testing.T) {
	for _, row := range parseRows {
		got, err := Parse(row.text)
		if err != nil || got != row.want {
			t.Errorf("%s: Parse(%q) = %+v, %v; want %+v", row.why, row.text, got, err, row.want)
		}
	}
}

// refusals are texts that are no quantity, with the whole message.
var refusals = []struct{ why, text, want string }{
	{"nothing", "", `no number given`},
	{"spaces", "  ", `no number given`},
	{"no number", "psi", `no number at the start of "psi"`},
	{"a sign alone", "-", `no number at the start of "-"`},
	{"a point alone", ". V", `no number at the start of ". V"`},
	{"not a number", "NaN", `"NaN" is not a finite number`},
	{"infinite", "-Inf bar", `"-Inf bar" is not a finite number`},
	{"hexadecimal", "0x1F", `"0x1F" is not a decimal number`},
	{"too large", "1e999 bar", `"1e999" is too large a number`},
	{"too small, which would be read as nothing", "-1e-400 bar", `"-1e-400" is too small a number`},
	{"decimal comma", "1,9 %", `decimal comma in "1,9 %"; write 1.9 with a point`},
	{"decimal comma without a nought", ",5 V", `decimal comma in ",5 V"; write 0.5 with a point`},
	{"a comma that may part thousands", "2,500 /min", `decimal comma in "2,500 /min"; write 2.500 with a point, or 2500 if thousands were meant`},
	{"a comma behind the number", "5, bar", `a comma behind the number in "5, bar"; give one number and its unit`},
	{"decimal comma in the limit", "1.9 % ± 0,06", `decimal comma in "1.9 % ± 0,06"; write 0.06 with a point`},
	{"parted thousands", "2'500 /min", `"'" inside the number of "2'500 /min"; write the digits without a separator`},
	{"parted as programmers do", "2_500", `"_" inside the number of "2_500"; write the digits without a separator`},
	{"two points", "1.2.3", `more than one point in the number of "1.2.3"`},
	{"a range", "800-900 /min", `several numbers in "800-900 /min"; give one number and its unit`},
	{"a range with a dash", "800 – 900 /min", `several numbers in "800 – 900 /min"; give one number and its unit`},
	{"two numbers", "1.9 2.0 %", `several numbers in "1.9 2.0 %"; give one number and its unit`},
	{"two quantities", "75 psi 80 psi", `several numbers in "75 psi 80 psi"; give one number and its unit`},
	{"a list", "5 bar, 6 bar", `several numbers in "5 bar, 6 bar"; give one number and its unit`},
	{"a number against the unit", "25.2 deg4", `several numbers in "25.2 deg4"; give one number and its unit`},
	{"two digits of a scale are one number", "25 deg dwell45", `unknown unit "deg dwell45"; dwell is given with the cylinders of the meter's scale: deg dwell4, deg dwell6 or deg dwell8`},
	{"an exponent without digits is a unit", "5e", `unknown unit "e"; the units are ` + allUnits()},
	{"two limits", "17 ± 0.1 ± 0.2", `several numbers in "17 ± 0.1 ± 0.2"; give one number and its unit`},
	{"a prefix alone", "12k", `unknown unit "k"; a prefix needs its unit: kohm or kPa; a temperature difference is given in K`},
	{"another prefix alone", "12 m", `unknown unit "m"; a prefix needs its unit: mA, mV, mbar, mL or ms`},
	{"farad or Fahrenheit", "68 F", `unknown unit "F"; a temperature is given in degF`},
	{"coulomb or Celsius", "20C", `unknown unit "C"; a temperature is given in degC`},
	{"Celsius in full, which is nearer to K by its letters", "20 Celsius", `unknown unit "Celsius"; a temperature is given in degC`},
	{"millimetres of mercury, which are not inches", "400 mmHg", `unknown unit "mmHg"; a pressure is given in bar, mbar, kPa, psi or inHg`},
	{"dwell without its scale", "25 deg dwell", `unknown unit "deg dwell"; dwell is given with the cylinders of the meter's scale: deg dwell4, deg dwell6 or deg dwell8`},
	{"dwell on a scale that is not there", "25 deg dwell5", `unknown unit "deg dwell5"; dwell is given with the cylinders of the meter's scale: deg dwell4, deg dwell6 or deg dwell8`},
	{"a slip", "10 pis", `unknown unit "pis"; did you mean "psi"?`},
	{"one letter is near to nothing", "1 h", `unknown unit "h"; the units are ` + allUnits()},
	{"a full stop behind the unit", "3 mA.", `unknown unit "mA."; did you mean "mA"?`},
	{"a longer slip", "10 l/mn", `unknown unit "l/mn"; did you mean "L/min"?`},
	{"mega is not milli", "3 MV", `unknown unit "MV"; did you mean "mV"?`},
	{"nor with a longer unit", "3 Mbar", `unknown unit "Mbar"; did you mean "mbar"?`},
	{"siemens is not seconds", "2 S", `unknown unit "S"; did you mean "s"?`},
	{"pascal is too small to be meant", "5 Pa", `unknown unit "Pa"; a pressure is given in bar, mbar, kPa, psi or inHg`},
	{"nothing near", "6 furlongs", `unknown unit "furlongs"; the units are ` + allUnits()},
	{"a negative limit", "17 mA ± -0.2", `the limit of error in "17 mA ± -0.2" is negative`},
	{"no limit behind the sign", "17 mA ±", `no number behind the sign of the limit of error in "17 mA ±"`},
	{"a percentage of a pressure is not its unit", "5 bar ± 2 %", `the limit of error in "5 bar ± 2 %" is a fraction, the value a pressure; give it in bar, not as a percentage`},
	{"a limit of another kind", "5 bar ± 2 mA", `the limit of error in "5 bar ± 2 mA" is a current, the value a pressure; give it in bar`},
	{"an unknown unit of the limit", "5 bar ± 2 pis", `unknown unit "pis"; did you mean "psi"?`},
	{"too long to be one", strings.Repeat("1", 65), `a text of 65 bytes is no quantity; at most 64 are read`},
}

func TestParseRefuses(t *testing.T) {
	for _, row := range refusals {
		got, err := Parse(row.text)
		var parseError *ParseError
		if !errors.As(err, &parseError) || err.Error() != row.want {
			t.Errorf("%s: Parse(%q) error\n\t%v\nwant\n\t%s", row.why, row.text, err, row.want)
		}
		if got != (Quantity{}) {
			t.Errorf("%s: Parse(%q) gives %+v beside the error", row.why, row.text, got)
		}
	}
}

func TestParseAllocatesNothing(t *testing.T) {
	for _, text := range []string{"850", "-3.25e2", "75 psi", "25.2 deg dwell 4", "1.9 ± 0.06 %"} {
		if n := testing.AllocsPerRun(100, func() { _, _ = Parse(text) }); n != 0 {
			t.Errorf("Parse(%q) allocates %v times; jobs are streamed through it", text, n)
		}
	}
}

// FuzzParse holds that nothing comes with an error, that what is read is a number, and that it reads the same
// again when printed: exactly where no limit is stated, else the same text.
func FuzzParse(f *testing.F) {
	for _, row := range parseRows {
		f.Add(row.text)
	}
	for _, row := range refusals {
		f.Add(row.text)
	}
	for _, text := range []string{"1e300 psi ± 1e290", "9.99e-7 V ± 0.0996", "1 ± 1e308 bar", "\xff\xfe", "-0 % ± 1e-320", "1e15 ± 123456"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		q, err := Parse(text)
		if err != nil {
			if q != (Quantity{}) {
				t.Errorf("Parse(%q) gives %+v beside %v", text, q, err)
			}
			return
		}
		if math.IsNaN(q.Value+q.U) || math.IsInf(q.Value, 0) || math.IsInf(q.U, 0) || q.U < 0 {
			t.Errorf("Parse(%q) = %+v", text, q)
		}
		printed := q.String()
		again, err := Parse(printed)
		if err != nil {
			t.Fatalf("Parse(%q) prints as %q, which gives %v", text, printed, err)
		}
		if !q.HasU && again != q {
			t.Errorf("%q: %+v prints as %q, which is %+v", text, q, printed, again)
		}
		if again.String() != printed {
			t.Errorf("%q prints as %q and then as %q", text, printed, again.String())
		}
	})
}

func FuzzParseUnit(f *testing.F) {
	for u := None; u < unitCount; u++ {
		f.Add(u.String())
	}
	f.Fuzz(func(t *testing.T, text string) {
		u, err := ParseUnit(text)
		if err != nil && u != None {
			t.Errorf("ParseUnit(%q) gives %v beside %v", text, u, err)
		}
		if again, err2 := ParseUnit(u.String()); err == nil && (err2 != nil || again != u) {
			t.Errorf("ParseUnit(%q) = %v, whose symbol gives %v, %v", text, u, again, err2)
		}
	})
}

func BenchmarkParse(b *testing.B) {
	for _, row := range []struct{ name, text string }{
		{"bare", "850"}, {"unit", "25.2 deg dwell4"}, {"folded", "75 PSI"}, {"limit", "1.9 % ± 0.06"},
	} {
		b.Run(row.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Parse(row.text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
