package quantity

import "slices"

// A Dimension is a kind of quantity: units of one dimension convert into each other.
type Dimension uint8

// The dimensions. Volume, Flow and Time are three different things: "900 mL" is no answer where a flow is asked
// for.
const (
	Plain    Dimension = iota // a number without a unit
	Fraction                  // share of a whole: volume fractions, duty cycles, dwell
	Rate                      // events in a time: engine speed, switching rate
	Angle                     // of the crankshaft
	Current
	Voltage
	Resistance
	Pressure    // gauge or absolute as the reading says; no conversion adds the atmosphere
	Temperature // a point on the scale, not a difference
	TemperatureDifference
	Volume
	Flow // volume in a time
	Time
)

var dimensionNames = [...]string{
	Plain: "plain number", Fraction: "fraction", Rate: "rate", Angle: "angle", Current: "current",
	Voltage: "voltage", Resistance: "resistance", Pressure: "pressure", Temperature: "temperature",
	TemperatureDifference: "temperature difference", Volume: "volume", Flow: "flow", Time: "time",
}

// String gives the name in words, such as "pressure".
func (d Dimension) String() string {
	if int(d) < len(dimensionNames) {
		return dimensionNames[d]
	}
	return "unknown dimension"
}

// article is the name with "a" or "an" before it.
func (d Dimension) article() string {
	if d == Angle {
		return "an " + d.String()
	}
	return "a " + d.String()
}

// A Unit is one of the units of this package. The zero value is the plain number, which has no unit.
// Units compare with ==.
type Unit uint8

// The units. A dwell degree is a degree of a dwell meter's scale for so many cylinders, on which a full turn
// of the scale is 360 degrees over the cylinders; it is a share of time, so its dimension is Fraction.
const (
	None Unit = iota
	Percent
	PPM
	DegDwell4
	DegDwell6
	DegDwell8
	PerMinute
	Hertz
	Degree
	MilliAmpere
	Ampere
	MilliVolt
	Volt
	Ohm
	KiloOhm
	Bar
	MilliBar
	KiloPascal
	PSI
	InchHg
	Celsius
	Fahrenheit
	Kelvin
	FahrenheitDifference
	MilliLitre
	Litre
	LitrePerMinute
	Second
	MilliSecond
	Minute

	unitCount
)

// unitFacts says that value v in this unit is (v-zero)·num/den in the base unit of its dimension. Ratios of whole
// numbers are kept apart so that the conversions which can be exact are.
type unitFacts struct {
	symbol         string
	dimension      Dimension
	num, den, zero float64
	aliases        []string // other spellings, written without spaces
}

// Exact by definition: the pound 0.453 592 37 kg, the inch 0.0254 m, standard gravity 9.806 65 m/s²;
// "conventional" mercury weighs 13 595.1 kg/m³ (NIST SP 811, appendix B, where both factors are printed to seven
// digits). A difference of 1 °C is one of 1 K (SI Brochure, 9th edition, 2.3.1), and one of 1 °F is 5/9 K (NIST SP 811,
// appendix B.8, "degree Fahrenheit" to kelvin).
const (
	pascalPerPSI    = 0.45359237 * 9.80665 / (0.0254 * 0.0254)
	pascalPerInchHg = 13595.1 * 9.80665 * 0.0254
)

// The base units are: %, /min, deg, mA, mV, ohm, Pa, degC, K, mL, L/min, ms. Dwell degrees: see DutyOfDwell.
var units = [unitCount]unitFacts{
	None:                 {"", Plain, 1, 1, 0, nil},
	Percent:              {"%", Fraction, 1, 1, 0, []string{"percent", "pct", "%vol", "vol%", "vol.%", "%vol."}},
	PPM:                  {"ppm", Fraction, 1, 10000, 0, []string{"ppmvol", "ppmhexane"}},
	DegDwell4:            {"deg dwell4", Fraction, 10, 9, 0, []string{"dwell4", "°dwell4"}},
	DegDwell6:            {"deg dwell6", Fraction, 5, 3, 0, []string{"dwell6", "°dwell6"}},
	DegDwell8:            {"deg dwell8", Fraction, 20, 9, 0, []string{"dwell8", "°dwell8"}},
	PerMinute:            {"/min", Rate, 1, 1, 0, []string{"rpm", "1/min", "r/min", "rev/min", "U/min", "min-1", "min^-1", "min⁻¹"}},
	Hertz:                {"Hz", Rate, 60, 1, 0, []string{"/s", "1/s"}},
	Degree:               {"deg", Angle, 1, 1, 0, []string{"°", "degree", "degrees"}},
	MilliAmpere:          {"mA", Current, 1, 1, 0, nil},
	Ampere:               {"A", Current, 1000, 1, 0, []string{"amp", "amps"}},
	MilliVolt:            {"mV", Voltage, 1, 1, 0, nil},
	Volt:                 {"V", Voltage, 1000, 1, 0, []string{"volt", "volts"}},
	Ohm:                  {"ohm", Resistance, 1, 1, 0, []string{"ohms", "Ω", "\u2126"}}, // the Greek letter and the ohm sign
	KiloOhm:              {"kohm", Resistance, 1000, 1, 0, []string{"kohms", "kΩ", "k\u2126"}},
	Bar:                  {"bar", Pressure, 100000, 1, 0, nil},
	MilliBar:             {"mbar", Pressure, 100, 1, 0, []string{"hPa"}},
	KiloPascal:           {"kPa", Pressure, 1000, 1, 0, nil},
	PSI:                  {"psi", Pressure, pascalPerPSI, 1, 0, []string{"lbf/in²", "lbf/in2"}},
	InchHg:               {"inHg", Pressure, pascalPerInchHg, 1, 0, []string{`"Hg`, "″Hg"}},
	Celsius:              {"degC", Temperature, 1, 1, 0, []string{"°C", "℃"}},
	Fahrenheit:           {"degF", Temperature, 5, 9, 32, []string{"°F", "℉"}},
	Kelvin:               {"K", TemperatureDifference, 1, 1, 0, []string{"kelvin", "kelvins", "degC difference", "°C difference"}},
	FahrenheitDifference: {"degF difference", TemperatureDifference, 5, 9, 0, []string{"°F difference"}},
	MilliLitre:           {"mL", Volume, 1, 1, 0, []string{"cm³", "cm3", "cc"}},
	Litre:                {"L", Volume, 1000, 1, 0, []string{"litre", "litres", "liter", "liters", "ℓ"}},
	LitrePerMinute:       {"L/min", Flow, 1, 1, 0, []string{"ℓ/min"}},
	Second:               {"s", Time, 1000, 1, 0, []string{"sec"}},
	MilliSecond:          {"ms", Time, 1, 1, 0, []string{"msec"}},
	Minute:               {"min", Time, 60000, 1, 0, []string{"minute", "minutes"}},
}

func (u Unit) facts() *unitFacts {
	if u < unitCount {
		return &units[u]
	}
	return &units[None]
}

// String gives the canonical symbol, which ParseUnit takes back; it is empty for the plain number.
func (u Unit) String() string { return u.facts().symbol }

// Dimension is what the unit measures.
func (u Unit) Dimension() Dimension { return u.facts().dimension }

// Fits says whether a value in u can be converted to v.
func (u Unit) Fits(v Unit) bool { return u.Dimension() == v.Dimension() }

// Difference is the unit of the difference between two values in u: that of a temperature is a unit of its own, since its scale
// does not begin at nought; any other is u itself.
func (u Unit) Difference() Unit {
	switch u {
	case Celsius:
		return Kelvin
	case Fahrenheit:
		return FahrenheitDifference
	}
	return u
}

// Units lists the units of a dimension in the order in which a message shows them. Plain has the unit None alone.
func Units(d Dimension) []Unit {
	var list []Unit
	for u := None; u < unitCount; u++ {
		if u.Dimension() == d {
			list = append(list, u)
		}
	}
	return slices.Clip(list)
}

// convert brings a value from unit u to unit v of the same dimension.
func (u Unit) convert(value float64, v Unit) float64 {
	if u == v {
		return value
	}
	from, to := u.facts(), v.facts()
	return scale(value-from.zero, from, to) + to.zero
}

// scale converts a difference or an uncertainty: the zeros of the scales play no part.
func scale(value float64, from, to *unitFacts) float64 {
	return value * (from.num * to.den) / (from.den * to.num)
}

// DutyOfDwell is the duty cycle in % that a dwell meter shows as so many degrees on the scale for so many
// cylinders: duty = dwell × cylinders / 3.6, since the full scale of 360 degrees over the cylinders is a duty of
// 100 %. The number of cylinders is that of the scale the meter is set to, not that of the engine. A reading off
// the scale (below 0 or above 360/cylinders) gives a duty outside 0..100, for the caller to refuse as
// implausible.
func DutyOfDwell(degrees float64, cylinders int) float64 {
	return degrees * float64(cylinders) / 3.6
}
