package truth

import (
	"slices"
	"testing"

	"culprit/engine/quantity"
)

// warm are readings of temperatures and of a difference.
var warm = []Reading{
	{ID: "air", Unit: quantity.Celsius}, {ID: "day", Unit: quantity.Celsius}, {ID: "oil", Unit: quantity.Fahrenheit},
	{ID: "rise", Unit: quantity.Kelvin}, {ID: "warming", Kind: Trace, Unit: quantity.Celsius},
}

// TestUnits: what an expression's unit is, as far as its readings tell.
func TestUnits(t *testing.T) {
	s := NewScope(bench)
	for _, c := range []struct {
		src  string
		unit quantity.Unit
		ok   bool
	}{
		{"co + o2 - 1", quantity.Percent, true},
		{"-abs(min(co, 3))", quantity.Percent, true},
		{"co * 2", quantity.Percent, true},
		{"co / 2", quantity.Percent, true},
		{"2 / co", quantity.None, false},
		{"co * o2", quantity.None, false},
		{"co / o2", quantity.None, false},
		{"3", quantity.None, false},
		{"ratio", quantity.None, true},
		{"reference(speed)", quantity.PerMinute, true},
		{"lambda(co, co2, o2, hc)", quantity.None, true},
		{"trace_mean(pulse)", quantity.MilliVolt, true},
		{"switch_rate(signal)", quantity.Hertz, true},
	} {
		e, err := s.Compile(c.src, Number, InDerived)
		if err != nil {
			t.Fatalf("%s: %v", c.src, err)
		}
		if u, ok := e.Unit(); u != c.unit || ok != c.ok {
			t.Errorf("%s is in %v (%t), want %v (%t)", c.src, u, ok, c.unit, c.ok)
		}
	}
	for _, c := range []struct {
		src, why string
		unit     quantity.Unit
	}{
		{"air - day", "two points of one scale differ by a difference", quantity.Kelvin},
		{"abs(day - air)", "whose size is one too", quantity.Kelvin},
		{"-air + day", "the same with the sign in front", quantity.Kelvin},
		{"air - day + rise", "differences add to differences", quantity.Kelvin},
		{"2 * air - 2 * day", "as many points added as taken away", quantity.Kelvin},
		{"0.1 * air + 0.2 * air - 0.3 * day", "the same, where factors are rounded", quantity.Kelvin},
		{"air + day - air - air", "the same, written in another order", quantity.Kelvin},
		{"(air - day) / 2", "half a difference", quantity.Kelvin},
		{"(air + day) / 2", "a mean is a point of the scale", quantity.Celsius},
		{"air - 20", "a number alone is in the unit of what it joins, and the scale may just be read wrong", quantity.Celsius},
		{"air + rise", "a temperature and a difference make a temperature", quantity.Celsius},
		{"rise + air", "in either order", quantity.Celsius},
		{"air - rise", "and a difference taken away does too", quantity.Celsius},
		{"max(air, day)", "one of two points", quantity.Celsius},
		{"trace_max(warming) - trace_min(warming)", "levels of a trace are points of its scale", quantity.Kelvin},
		{"oil - oil", "in Fahrenheit", quantity.FahrenheitDifference},
	} {
		e, err := NewScope(append(slices.Clone(bench), warm...)).Compile(c.src, Number, InDerived)
		if err != nil {
			t.Errorf("%s: %v", c.src, err)
			continue
		}
		if u, ok := e.Unit(); u != c.unit || !ok {
			t.Errorf("%s is in %v (%t), want %v: %s", c.src, u, ok, c.unit, c.why)
		}
	}
	for src, why := range map[string]string{
		"max(air, rise)":  "this joins degC with K",
		"air - oil":       "this joins degC with degF",
		"air + ratio":     "this joins degC with a plain number",
		"rise - oil":      "this joins K with degF",
		"min(rise, oil)":  "this joins K with degF",
		"rise + co":       "this joins K with %",
		"air - day + oil": "this joins K with degF",
	} {
		_, err := NewScope(append(slices.Clone(bench), warm...)).Compile(src, Number, InDerived)
		if e, ok := err.(*Error); !ok || e.Text != why {
			t.Errorf("%s: %v, want %s", src, err, why)
		}
	}
	if _, ok := newJob(t).compile("co > 1").Unit(); ok {
		t.Error("a comparison has a unit")
	}
}

// TestDemands: which yes/no readings an expression cannot hold without.
func TestDemands(t *testing.T) {
	s := NewScope(bench)
	yes := func(id string, yes bool) Flag {
		i, _ := s.Index(id)
		return Flag{i, yes}
	}
	for src, want := range map[string]struct {
		flags []Flag
		rest  bool
	}{
		"warm":                             {[]Flag{yes("warm", true)}, false},
		"warm and not closed":              {[]Flag{yes("warm", true), yes("closed", false)}, false},
		"co > 1 and (not not warm)":        {[]Flag{yes("warm", true)}, true},
		"(co > 1 and warm) and o2 < 2":     {[]Flag{yes("warm", true)}, true},
		"warm or closed":                   {nil, true},
		"not (warm or closed)":             {nil, true},
		`look == "sooty" and known(warm)`:  {nil, true},
		"between(co, 1, 2) and not closed": {[]Flag{yes("closed", false)}, true},
	} {
		e, err := s.Compile(src, YesNo, InRule)
		if err != nil {
			t.Fatal(src, err)
		}
		if flags, rest := e.Demands(); !slices.Equal(flags, want.flags) || rest != want.rest {
			t.Errorf("%s: %v %t, want %v %t", src, flags, rest, want.flags, want.rest)
		}
	}
	e, err := s.Compile("co + 1", Number, InDerived)
	if err != nil {
		t.Fatal(err)
	}
	if flags, rest := e.Demands(); flags != nil || !rest {
		t.Errorf("a number demands %v, %t", flags, rest)
	}
}
