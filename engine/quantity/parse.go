package quantity

import (
	"math"
	"strconv"
	"strings"
)

// maxText is the longest text, in bytes, that is read as a quantity or a unit.
const maxText = 64

// Parse reads a number, its unit and its limits of error: "850", "-3 mA", "1.9%", "25.2 deg dwell4", "1.9 % ±
// 0.06", "1.9 ± 0.06 %", "5.2 bar +- 1 psi". The unit may be left out (HasUnit is then false). What stands
// behind ±, "+-" or "+/-" is a limit of error a in the unit of the value or in one that it is given itself, and
// U is a/√3; "± 5 %" of a value in % is thus five percentage points. Anything that is not one finite decimal
// number is a *ParseError, with nothing else returned.
func Parse(text string) (Quantity, error) {
	if len(text) > maxText {
		return Quantity{}, tooLong(text)
	}
	rest := strings.TrimSpace(text)
	value, rest, err := number(text, rest)
	if err != nil {
		return Quantity{}, err
	}
	if rest == "" {
		return Quantity{Value: value}, nil
	}
	unitText, limitText, hasLimit := cutLimit(rest)
	q := Quantity{Value: value}
	if q.Unit, err = unitAfter(text, unitText); err != nil {
		return Quantity{}, err
	}
	if hasLimit {
		if q.U, q.Unit, err = limit(text, limitText, q.Unit); err != nil {
			return Quantity{}, err
		}
		q.HasU = true
	}
	q.HasUnit = q.Unit != None
	return q, nil
}

// ParseUnit reads a unit by its symbol or another usual spelling; spaces do not count, and neither do capitals
// except where they would change the prefix or the unit (MV is not mV). The empty text is the plain number.
func ParseUnit(text string) (Unit, error) {
	if len(text) > maxText {
		return None, tooLong(text)
	}
	if u, ok := lookup(text); ok {
		return u, nil
	}
	return None, unknownUnit(strings.TrimSpace(text))
}

// number reads the decimal number at the start of s and returns what follows it without leading space.
// whole is the text that an error quotes.
func number(whole, s string) (float64, string, error) {
	digits, negate := s, false
	if r, ok := strings.CutPrefix(s, "−"); ok { // minus sign U+2212
		digits, negate = r, true
	}
	n := numberLen(digits, !negate)
	if n == 0 {
		return 0, "", missingNumber(whole, s)
	}
	if n < len(digits) && notDecimal(digits[n:], digits[:n]) {
		return 0, "", badNumber(whole, digits, n)
	}
	v, err := strconv.ParseFloat(digits[:n], 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, "", &ParseError{Text: quote(digits[:n]) + " is too large a number"}
	}
	switch {
	case v == 0 && hasDigitAboveZero(digits[:n]):
		return 0, "", &ParseError{Text: quote(digits[:n]) + " is too small a number"}
	case v == 0:
		v = 0 // a nought has no sign
	case negate:
		v = -v
	}
	return v, strings.TrimSpace(digits[n:]), nil
}

// hasDigitAboveZero looks at the digits of a number before its exponent.
func hasDigitAboveZero(number string) bool {
	if e := strings.IndexAny(number, "eE"); e >= 0 {
		number = number[:e]
	}
	return strings.ContainsAny(number, "123456789")
}

// numberLen is the length of the decimal number at the start of s: digits with at most one point among or about
// them and perhaps an exponent. It is 0 where there is no digit.
func numberLen(s string, sign bool) int {
	i := 0
	if sign && i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	from := i
	i += digitsLen(s[i:])
	digits := i - from
	if i < len(s) && s[i] == '.' {
		after := digitsLen(s[i+1:])
		if digits += after; digits > 0 {
			i += 1 + after
		}
	}
	if digits == 0 {
		return 0
	}
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		j := i + 1
		if j < len(s) && (s[j] == '+' || s[j] == '-') {
			j++
		}
		if n := digitsLen(s[j:]); n > 0 {
			i = j + n
		}
	}
	return i
}

func digitsLen(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}

// notDecimal says whether what follows a number shows that it was not a decimal number with a point: a comma, a
// second point, an underscore or the x of a hexadecimal number.
func notDecimal(after, num string) bool {
	switch after[0] {
	case ',', '_', '.', '\'':
		return true
	case 'x', 'X':
		return num == "0"
	}
	return false
}

// cutLimit splits at the sign that announces a limit of error.
func cutLimit(s string) (unit, limit string, found bool) {
	for _, sign := range [...]string{"±", "+-", "+/-"} {
		if unit, limit, found = strings.Cut(s, sign); found {
			return strings.TrimSpace(unit), strings.TrimSpace(limit), true
		}
	}
	return s, "", false
}

// limit reads a limit of error and perhaps its unit, and gives it as a standard uncertainty in the value's unit,
// which is the limit's own where the value came without one.
func limit(whole, s string, unit Unit) (float64, Unit, error) {
	a, rest, err := number(whole, s)
	if err != nil {
		return 0, None, err
	}
	own, err := unitAfter(whole, rest)
	if err != nil {
		return 0, None, err
	}
	switch {
	case a < 0:
		return 0, None, &ParseError{Text: "the limit of error in " + quote(whole) + " is negative"}
	case own == None || own == unit:
	case unit == None:
		unit = own
	case !own.Fits(unit) && !own.Fits(unit.Difference()):
		return 0, None, limitMisfit(whole, own, unit)
	default:
		a = scale(a, own.facts(), unit.facts())
		if math.IsInf(a, 0) {
			return 0, None, &ParseError{Text: "the limit of error in " + quote(whole) + " is too large"}
		}
	}
	return a / math.Sqrt(3), unit, nil
}
