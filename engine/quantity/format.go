package quantity

import (
	"math"
	"strconv"
	"strings"
)

// String gives the quantity as Parse reads it. Without an uncertainty that is every digit of the value; with one
// it is "1.90 ± 0.06 %", where the number behind ± is the limit √3·U to at most two significant digits and the
// value is rounded to the same place (JCGM 100:2008, 7.2.6).
func (q Quantity) String() string {
	if !q.HasU {
		return withUnit(shortest(q.Value), q.Unit)
	}
	a := q.U * math.Sqrt(3)
	if !(a > 0) || math.IsInf(a, 0) {
		return withUnit(shortest(q.Value)+" ± "+shortest(a), q.Unit)
	}
	_, last, digits := twoDigits(a)
	return withUnit(roundTo(q.Value, last)+" ± "+digits, q.Unit)
}

// Format gives a value for a person, rounded to its standard uncertainty u: to the place of the second
// significant digit of u (JCGM 100:2008, 7.2.6), less the noughts beyond the first one, so that 17 with u = 0.12
// is "17.0 mA" and 16.96 is "16.96 mA". Digits before the decimal point are kept however large u is. Where u is
// not above 0, it is as by Number.
func Format(value, u float64, unit Unit) string {
	if !(u > 0) || math.IsInf(u, 0) || math.IsNaN(value) || math.IsInf(value, 0) {
		return withUnit(Number(value), unit)
	}
	first, _, _ := twoDigits(u)
	text := roundTo(value, min(first-1, 0))
	keep := max(-first, 0) // decimals
	if dot := strings.IndexByte(text, '.'); dot >= 0 && !strings.ContainsRune(text, 'e') {
		for len(text)-1-dot > keep && text[len(text)-1] == '0' {
			text = text[:len(text)-1]
		}
		text = strings.TrimSuffix(text, ".")
	}
	return withUnit(text, unit)
}

// Number gives a number for a person, such as a limit: as it is where that takes at most six significant digits,
// else rounded to four, or to the point where it has more before it.
func Number(value float64) string {
	text := shortest(value)
	if math.IsNaN(value) || math.IsInf(value, 0) || strings.ContainsRune(text, 'e') {
		return text
	}
	if len(strings.TrimLeft(strings.Replace(text, ".", "", 1), "-0")) <= 6 {
		return text
	}
	exponent := int(math.Floor(math.Log10(math.Abs(value))))
	text = roundTo(value, min(exponent-3, 0))
	if strings.ContainsRune(text, '.') {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

func withUnit(number string, u Unit) string {
	if u == None {
		return number
	}
	return number + " " + u.String()
}

// shortest gives the fewest digits that read back as the same number; with an exponent only where it would be
// very long.
func shortest(v float64) string {
	if v == 0 { // no minus before nothing
		return "0"
	}
	if a := math.Abs(v); a < 1e-6 || a >= 1e15 {
		return strconv.FormatFloat(v, 'e', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// twoDigits rounds a > 0 to two significant digits, and to one where the second is a nought. It gives the power
// of ten of the first digit, that of the last one kept, and the number as text.
func twoDigits(a float64) (first, last int, text string) {
	e := strconv.FormatFloat(a, 'e', 1, 64) // d.de±xx
	first, _ = strconv.Atoi(e[4:])
	last = first - 1
	if e[2] == '0' {
		last = first
	}
	rounded, _ := strconv.ParseFloat(e, 64)
	return first, last, shortest(rounded)
}

// roundTo writes v rounded to a multiple of ten to the power place, with the decimals that this leaves.
func roundTo(v float64, place int) string {
	if place < -15 {
		return shortest(v)
	}
	var text string
	if place <= 0 {
		text = strconv.FormatFloat(v, 'f', -place, 64)
	} else {
		unit := math.Pow10(place)
		text = shortest(math.Round(v/unit) * unit)
	}
	if math.Abs(v) >= 1e15 {
		text = shortest(v)
	}
	if strings.Trim(text, "-0.") == "" { // no minus before nothing
		text = strings.TrimPrefix(text, "-")
	}
	return text
}
