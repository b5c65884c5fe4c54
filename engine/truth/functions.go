package truth

import (
	"reflect"
	"slices"
	"sync"

	"culprit/engine/exhaust"
	"culprit/engine/quantity"
)

// function is one that an expression may call. The signature is what the type
// checker goes by; how a call is lowered depends on which field below is set.
type function struct {
	name        string
	signature   any
	derivedOnly bool   // stands only in derived readings
	doc         string // one line, for the reference of the language

	test   logicOp       // a question about one reading
	number numberOp      // arithmetic
	of     quantity.Unit // of a function of a trace: the only unit it takes

	// compute gives value and partial derivatives of a named function of
	// numbers, each in the unit that it takes.
	compute func(args, gradient []float64) (float64, error)
	takes   []quantity.Unit
	level   func(*figures) float64 // a voltage, or whatever a trace is in
	timing  bool                   // the switching rate of a trace
}

// table lists the functions. They are put together when first asked for, since
// a program that compiles nothing should not wait for them.
var table = sync.OnceValue(func() []*function {
	ask := func(float64) bool { return false }
	trace := func(Samples) float64 { return 0 }
	several := func(a, b float64, more ...float64) float64 { return 0 }
	gas := []quantity.Unit{quantity.Percent, quantity.Percent, quantity.Percent, quantity.PPM}
	return []*function{
		{name: "ok", signature: ask, test: opOK, doc: "the reading lies inside its specification"},
		{name: "high", signature: ask, test: opHigh, doc: "the reading lies above its specification"},
		{name: "low", signature: ask, test: opLow, doc: "the reading lies below its specification"},
		{name: "known", signature: func(any) bool { return false }, test: opKnown, doc: "the reading was taken, or can be derived"},
		{name: "between", signature: func(x, from, to float64) bool { return false }, doc: "the first lies between the other two"},
		{name: "abs", signature: func(x float64) float64 { return 0 }, number: opAbs, doc: "the size without its sign"},
		{name: "min", signature: several, number: opMin, doc: "the least"},
		{name: "max", signature: several, number: opMax, doc: "the greatest"},
		{name: "reference", signature: func(float64) float64 { return 0 }, derivedOnly: true, doc: "the reference figure of the reading's specification"},
		{name: "lambda", signature: func(co, co2, o2, hc float64) float64 { return 0 }, derivedOnly: true, compute: lambda, takes: gas,
			doc: "the air ratio from CO, CO2 and O2 in % vol and HC in ppm hexane (OIML R 99)"},
		{name: "trace_min", signature: trace, derivedOnly: true, level: func(f *figures) float64 { return f.least }, doc: "the lowest value of a trace, single spikes left out"},
		{name: "trace_max", signature: trace, derivedOnly: true, level: func(f *figures) float64 { return f.most }, doc: "the highest value of a trace, single spikes left out"},
		{name: "trace_mean", signature: trace, derivedOnly: true, level: func(f *figures) float64 { return f.mean }, doc: "the mean of a trace"},
		{name: "switch_rate", signature: trace, derivedOnly: true, timing: true, of: quantity.Volt,
			doc: "how often a second a trace of volts goes through 0.45 V and back, in Hz"},
		{name: "toggles", signature: func(Samples) bool { return false }, derivedOnly: true, test: opToggle, of: quantity.Volt,
			doc: "whether a trace of volts goes through 0.45 V and back"},
	}
})

// functions finds a function by its name, nil where there is none.
var functions = sync.OnceValue(func() map[string]*function {
	m := make(map[string]*function, len(table()))
	for _, f := range table() {
		m[f.name] = f
	}
	return m
})

// kind is what a call of the function yields.
func (f *function) kind() Kind {
	if reflect.TypeOf(f.signature).Out(0).Kind() == reflect.Bool {
		return YesNo
	}
	return Number
}

// FunctionDoc is a line of the reference of the language.
type FunctionDoc struct {
	Name, Doc   string
	Yields      Kind
	DerivedOnly bool // it stands only in derived readings
}

// Functions lists name and meaning of every function.
func Functions() []FunctionDoc {
	docs := make([]FunctionDoc, len(table()))
	for i, f := range table() {
		docs[i] = FunctionDoc{Name: f.name, Doc: f.doc, Yields: f.kind(), DerivedOnly: f.derivedOnly}
	}
	return docs
}

// keywords of the expression syntax, which no reading may be called.
var keywords = []string{
	"and", "or", "not", "in", "matches", "contains", "startsWith", "endsWith", "let", "if", "else", "true", "false", "nil",
}

// Reserved reports whether a reading may not have this id, because expressions
// mean something else by it.
func Reserved(id string) bool {
	return functions()[id] != nil || slices.Contains(keywords, id)
}

// lambda is [exhaust.Lambda] for petrol as a function of an expression.
func lambda(args, gradient []float64) (float64, error) {
	gas := exhaust.Gas{CO: args[0], CO2: args[1], O2: args[2], HC: args[3]}
	l, d, err := exhaust.LambdaGradient(gas, exhaust.Petrol)
	if err != nil {
		return 0, err
	}
	gradient[0], gradient[1], gradient[2], gradient[3] = d.CO, d.CO2, d.O2, d.HC
	return l, nil
}
