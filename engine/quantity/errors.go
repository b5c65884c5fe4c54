package quantity

import (
	"strconv"
	"strings"
	"unicode"
)

// A ParseError says why a text is not a quantity or a unit.
type ParseError struct {
	Text string // what is wrong
	Hint string // how to write it; may be empty
}

// Error is the text with the hint behind it.
func (e *ParseError) Error() string {
	if e.Hint == "" {
		return e.Text
	}
	return e.Text + "; " + e.Hint
}

func quote(s string) string { return strconv.Quote(s) }

func tooLong(text string) error {
	return &ParseError{Text: "a text of " + strconv.Itoa(len(text)) + " bytes is no quantity",
		Hint: "at most " + strconv.Itoa(maxText) + " are read"}
}

// missingNumber explains text that stands where a number should.
func missingNumber(whole, s string) error {
	word := strings.ToLower(strings.TrimLeft(s, "+-−"))
	switch {
	case strings.TrimSpace(whole) == "":
		return &ParseError{Text: "no number given"}
	case s == "":
		return &ParseError{Text: "no number behind the sign of the limit of error in " + quote(whole)}
	case strings.HasPrefix(word, "nan") || strings.HasPrefix(word, "inf") || strings.HasPrefix(word, "∞"):
		return &ParseError{Text: quote(whole) + " is not a finite number"}
	case len(s) > 1 && s[0] == ',' && s[1] >= '0' && s[1] <= '9':
		return &ParseError{Text: "decimal comma in " + quote(whole), Hint: "write 0." + s[1:1+digitsLen(s[1:])] + " with a point"}
	}
	return &ParseError{Text: "no number at the start of " + quote(s)}
}

// badNumber explains a number of n bytes at the start of s that goes on in a way which no decimal number does.
func badNumber(whole, s string, n int) error {
	before, after := s[:n], s[n+1:]
	more := digitsLen(after)
	switch s[n] {
	case ',':
		if more == 0 {
			return &ParseError{Text: "a comma behind the number in " + quote(whole), Hint: "give one number and its unit"}
		}
		hint := "write " + before + "." + after[:more] + " with a point"
		if more == 3 {
			hint += ", or " + before + after[:more] + " if thousands were meant"
		}
		return &ParseError{Text: "decimal comma in " + quote(whole), Hint: hint}
	case 'x', 'X':
		return &ParseError{Text: quote(whole) + " is not a decimal number"}
	case '.':
		return &ParseError{Text: "more than one point in the number of " + quote(whole)}
	}
	return &ParseError{Text: quote(s[n:n+1]) + " inside the number of " + quote(whole), Hint: "write the digits without a separator"}
}

// unitAfter looks up what follows a number.
func unitAfter(whole, s string) (Unit, error) {
	if s == "" {
		return None, nil
	}
	if u, ok := lookup(s); ok {
		return u, nil
	}
	if severalNumbers(s) {
		return None, &ParseError{Text: "several numbers in " + quote(whole), Hint: "give one number and its unit"}
	}
	return None, unknownUnit(s)
}

// severalNumbers says whether a second number stands in s, the text behind the first: at its start, behind a
// dash or a slash or a second sign, or behind a unit.
func severalNumbers(s string) bool {
	if number := strings.TrimLeft(s, "-+−–—/.…±~ "); numberLen(number, false) > 0 {
		return true
	}
	before := ' '
	for i, r := range s {
		if numberLen(s[i:], true) == 0 || unicode.IsDigit(before) {
			before = r
			continue
		}
		if u, ok := lookup(strings.TrimRight(s[:i], " ,;-–—/")); ok && u != None {
			return true
		}
		before = r
	}
	return false
}

func limitMisfit(whole string, own, unit Unit) error {
	hint := "give it in " + unit.String()
	if own == Percent {
		hint += ", not as a percentage"
	}
	return &ParseError{Text: "the limit of error in " + quote(whole) + " is " + own.Dimension().article() +
		", the value " + unit.Dimension().article(), Hint: hint}
}

// unknownUnit explains a unit that is not known, with the nearest one that is.
func unknownUnit(s string) error {
	e := &ParseError{Text: "unknown unit " + quote(s)}
	plain := strings.ToLower(strings.Join(strings.Fields(s), ""))
	switch {
	case plain == "f" || plain == "c":
		e.Hint = "a temperature is given in deg" + strings.ToUpper(plain)
	case plain == "k":
		e.Hint = "a prefix needs its unit: kohm or kPa; a temperature difference is given in K"
	case plain == "m":
		e.Hint = "a prefix needs its unit: mA, mV, mbar, mL or ms"
	case plain == "celsius" || plain == "centigrade" || plain == "fahrenheit":
		e.Hint = "a temperature is given in deg" + strings.ToUpper(plain[:1])
	case plain == "pa", plain == "mpa", plain == "mmhg", plain == "torr", plain == "atm", plain == "at", plain == "kg/cm2", plain == "inh2o", plain == "mmh2o":
		e.Hint = "a pressure is given in bar, mbar, kPa, psi or inHg"
	case strings.Contains(plain, "dwell"):
		e.Hint = "dwell is given with the cylinders of the meter's scale: deg dwell4, deg dwell6 or deg dwell8"
	default:
		if u := nearest(s); u != None {
			e.Hint = "did you mean " + quote(u.String()) + "?"
		} else {
			e.Hint = "the units are " + allUnits()
		}
	}
	return e
}

func allUnits() string {
	var names []string
	for u := None + 1; u < unitCount; u++ {
		names = append(names, u.String())
	}
	return strings.Join(names, ", ")
}
