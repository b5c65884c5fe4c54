package quantity

import (
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestSymbolsReadBack(t *testing.T) {
	seen := map[string]Unit{}
	for u := None; u < unitCount; u++ {
		for _, text := range append([]string{u.String(), " " + u.String() + " "}, u.facts().aliases...) {
			if got, err := ParseUnit(text); err != nil || got != u {
				t.Errorf("ParseUnit(%q) = %v, %v; want %v", text, got, err, u)
			}
		}
		for _, text := range append([]string{u.String()}, u.facts().aliases...) {
			key := strings.ToLower(strings.ReplaceAll(text, " ", ""))
			if other, ok := seen[key]; ok && other != u {
				t.Errorf("%q stands for %v and %v", text, other, u)
			}
			seen[key] = u
			if strings.Contains(text, string(utf8.RuneError)) || strings.ContainsRune(text, '±') {
				t.Errorf("%q cannot be read behind a number", text)
			}
			q, err := Parse("3 " + text)
			if err != nil || q.Value != 3 || q.Unit != u {
				t.Errorf("Parse(%q) = %+v, %v", "3 "+text, q, err)
			}
		}
	}
}

func TestDifference(t *testing.T) {
	for u := None; u < unitCount; u++ {
		want := u
		switch u {
		case Celsius:
			want = Kelvin
		case Fahrenheit:
			want = FahrenheitDifference
		}
		if got := u.Difference(); got != want || got.Difference() != got {
			t.Errorf("two values in %v differ by %v, want %v", u, got, want)
		}
	}
}

func TestEveryUnitHasItsDimension(t *testing.T) {
	count := 0
	for d := Plain; d <= Time; d++ {
		list := Units(d)
		if len(list) == 0 {
			t.Errorf("no unit for a %v", d)
		}
		count += len(list)
		for _, u := range list {
			if u.Dimension() != d || !u.Fits(list[0]) {
				t.Errorf("%v is listed as a %v", u, d)
			}
		}
	}
	if count != int(unitCount) {
		t.Errorf("the dimensions list %d units, there are %d", count, unitCount)
	}
	if got := Units(Fraction); !slices.Equal(got, []Unit{Percent, PPM, DegDwell4, DegDwell6, DegDwell8}) {
		t.Errorf("units of a fraction in order: %v", got)
	}
	if Volt.Fits(Ampere) || Litre.Fits(LitrePerMinute) || LitrePerMinute.Fits(PerMinute) || Second.Fits(Hertz) {
		t.Error("units of different dimensions fit")
	}
}

func TestUnknownNumbersAreNamedAndHarmless(t *testing.T) {
	if got := Unit(200).String(); got != "" {
		t.Errorf("a unit that there is not prints as %q", got)
	}
	if got := Dimension(200).String(); got != "unknown dimension" {
		t.Errorf("a dimension that there is not prints as %q", got)
	}
	if got := Units(Dimension(200)); got != nil {
		t.Errorf("a dimension that there is not has units %v", got)
	}
}

func TestConversionIsThereAndBack(t *testing.T) {
	for u := None; u < unitCount; u++ {
		for _, v := range Units(u.Dimension()) {
			for _, x := range []float64{-40, 0, 0.25, 1, 75, 12345} {
				if got := v.convert(u.convert(x, v), u); math.Abs(got-x) > 1e-13*(math.Abs(x)+32) {
					t.Errorf("%v %v by way of %v is %v", x, u, v, got)
				}
			}
		}
	}
}

func TestDimensionsSpeakEnglish(t *testing.T) {
	if got := Angle.article() + ", " + Pressure.article(); got != "an angle, a pressure" {
		t.Error(got)
	}
}
