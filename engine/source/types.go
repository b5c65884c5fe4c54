package source

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// A Type reads one kind of value. Read gives false when there is nothing to use, and has then reported why.
// Where something useful is left (a record with one bad key) it reports and gives true.
type Type[V any] struct {
	Shape *Shape
	Read  func(r *Report, n Node) (V, bool)
}

// A Got is a value that was read and where it stood. Set is false where the key is missing or its value was refused.
type Got[V any] struct {
	V   V
	Set bool
	Spot
}

// Wants reports that a value is not what its Type wants: "KEY wants WHAT, not WHAT STANDS THERE".
func Wants(r *Report, n Node, shape *Shape) *Problem {
	if n.kind() == isRefused {
		return &Problem{}
	}
	if n.key == nil {
		return r.At(n.Spot(), "wanted %s here, not %s", shape.Name, n.stands())
	}
	return r.At(n.Spot(), "%q wants %s, not %s", Shorten(n.name()), shape.Name, n.stands())
}

// Scalar reads any single value, quoted or not, as the text that stands there. It is for languages of their own (expressions,
// quantities): shape says what they are, and its Pattern is for a schema only. Nothing and empty text are refused.
func Scalar(shape Shape) Type[string] {
	shape.Form = FormScalar
	s := &shape
	return Type[string]{s, func(r *Report, n Node) (string, bool) {
		switch n.kind() {
		case isText, isNumber, isYesNo:
			if strings.TrimSpace(n.yaml.Value) != "" {
				return n.yaml.Value, true
			}
		}
		Wants(r, n, s)
		return "", false
	}}
}

// Text reads text that is not empty. A bare number, yes/no value or nothing at all is refused: it was meant as something else,
// or wants quotes.
var Text = textType()

func textType() Type[string] {
	s := &Shape{Form: FormText, Name: "text"}
	return Type[string]{s, func(r *Report, n Node) (string, bool) {
		if n.kind() == isText && strings.TrimSpace(n.yaml.Value) != "" {
			return n.yaml.Value, true
		}
		p := Wants(r, n, s)
		if k := n.kind(); k == isNumber || k == isYesNo {
			p.Hint = "put quotes around it if it is meant as text"
		}
		return "", false
	}}
}

// Word reads one of the given words.
func Word(words ...string) Type[string] {
	s := &Shape{Form: FormWord, Name: listWords(words, "or"), Words: words}
	return Type[string]{s, func(r *Report, n Node) (string, bool) {
		switch n.kind() {
		case isText, isNumber, isYesNo:
			for _, w := range words {
				if n.yaml.Value == w {
					return w, true
				}
			}
			p := Wants(r, n, s)
			p.Hint = r.Near(n.yaml.Value, "", func() []string { return words })
		default:
			Wants(r, n, s)
		}
		return "", false
	}}
}

// ID reads a name of the spelling; what says what it names, with its article: "a check".
func ID(what string, spelling Spelling) Type[string] {
	s := &Shape{Form: FormText, Name: "the id of " + what, Pattern: spelling.pattern}
	return Type[string]{s, func(r *Report, n Node) (string, bool) {
		if (n.kind() == isText || n.kind() == isYesNo) && spelling.Fits(n.yaml.Value) {
			return n.yaml.Value, true
		}
		Wants(r, n, s)
		return "", false
	}}
}

// Name reads the id of something that is looked up afterwards; the spelling is for a schema. Text of any form is given
// on, so that whoever looks it up can name the nearest id there is.
func Name(what string, spelling Spelling) Type[string] {
	s := &Shape{Form: FormText, Name: "the id of " + what, Pattern: spelling.pattern}
	return Type[string]{s, func(r *Report, n Node) (string, bool) {
		if k := n.kind(); (k == isText || k == isYesNo) && strings.TrimSpace(n.yaml.Value) != "" {
			return n.yaml.Value, true
		}
		Wants(r, n, s)
		return "", false
	}}
}

// YesNo reads yes, no, true or false, without quotes.
var YesNo = yesNoType()

func yesNoType() Type[bool] {
	s := &Shape{Form: FormYesNo, Name: "yes or no"}
	return Type[bool]{s, func(r *Report, n Node) (bool, bool) {
		if k := n.kind(); k == isText || k == isYesNo {
			switch n.yaml.Value {
			case "yes", "true":
				if n.plain() {
					return true, true
				}
			case "no", "false":
				if n.plain() {
					return false, true
				}
			}
		}
		p := Wants(r, n, s)
		switch text, isText := n.Text(); {
		case !isText:
		case !n.plain():
			p.Hint = "take away the quotes"
		case slices.Contains([]string{"yes", "no", "true", "false"}, strings.ToLower(text)):
			p.Hint = "write " + strings.ToLower(text)
		}
		return false, false
	}}
}

// decimal is how numbers are written: no hexadecimal, no '_', no infinity.
var decimal = Pattern(`^[-+]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][-+]?[0-9]+)?$`)

// Number reads a finite decimal number that the shape's bounds allow. The shape's Name says what it is: "a number from 0 to 1".
func Number(shape Shape) Type[float64] {
	shape.Form = FormNumber
	s := &shape
	return Type[float64]{s, func(r *Report, n Node) (float64, bool) {
		if n.kind() == isNumber && decimal().MatchString(n.yaml.Value) {
			v, err := strconv.ParseFloat(n.yaml.Value, 64)
			if err == nil && !math.IsInf(v, 0) && s.inBounds(v) {
				return v, true
			}
		}
		p := Wants(r, n, s)
		switch text, isText := n.Text(); {
		case !isText:
		case !n.plain() && decimal().MatchString(text):
			p.Hint = "take away the quotes"
		case strings.Contains(text, ",") && decimal().MatchString(strings.Replace(text, ",", ".", 1)):
			p.Hint = "write a decimal point, not a comma"
		case n.plain():
			p.Hint = s.alone(text)
		}
		return 0, false
	}}
}

// alone advises on a number with something behind it: the number alone, or, where a share of 1 is wanted, its hundredth part. "" where
// that would be another number than was meant.
func (s *Shape) alone(text string) string {
	m := numberAndMore().FindStringSubmatch(text)
	if m == nil {
		return ""
	}
	v, err := strconv.ParseFloat(m[1], 64)
	switch {
	case err != nil || s.Most == nil:
		return ""
	case m[2] == "%" && *s.Most == 1 && s.inBounds(v/100):
		return fmt.Sprintf("write a number from 0 to 1 for %s %%", m[1])
	case m[2] == "%" && *s.Most != 100 || m[2] != "%" && *s.Most < 1000 || !s.inBounds(v):
		return ""
	}
	return "write only the number: " + m[1]
}

// numberAndMore is a number with a unit that could be left away: of minutes, or of a share in a hundred.
var numberAndMore = Pattern(`^([0-9]+(?:\.[0-9]+)?) ?(%|min|minutes)$`)

func (s *Shape) inBounds(v float64) bool {
	if s.Whole && v != math.Trunc(v) {
		return false
	}
	if s.Least != nil && (v < *s.Least || s.Above && v == *s.Least) {
		return false
	}
	return s.Most == nil || v < *s.Most || !s.Below && v == *s.Most
}

// NumberFrom is the shape of a number between least and most; above and below say that these are not allowed themselves.
func NumberFrom(least float64, above bool, most float64, below bool) Shape {
	s := Shape{Form: FormNumber, Least: &least, Above: above, Most: &most, Below: below, Name: "a number"}
	if math.IsInf(least, -1) {
		s.Least = nil
	} else if above {
		s.Name += fmt.Sprintf(" above %v", least)
	} else {
		s.Name += fmt.Sprintf(" from %v", least)
	}
	if math.IsInf(most, 1) {
		s.Most = nil
		return s
	}
	switch {
	case below:
		s.Name += fmt.Sprintf(" and below %v", most)
	case above:
		s.Name += fmt.Sprintf(" and up to %v", most)
	default:
		s.Name += fmt.Sprintf(" to %v", most)
	}
	return s
}
