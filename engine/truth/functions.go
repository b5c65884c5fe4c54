package truth

import "culprit/engine/exhaust"

// function is one that an expression may call. The signature is what the type
// checker goes by; how a call is lowered depends on the fields below it.
type function struct {
	name        string
	signature   any
	derivedOnly bool   // stands only in derived readings
	doc         string // one line, for the reference of the language

	// compute gives value and partial derivatives of a named function.
	compute func(args []float64, gradient []float64) (float64, error)
	// measure reads one figure out of a trace.
	measure func(t *Samples) (value, u float64, err error)
}

var functions []*function

// The table is filled at start because some entries call back into it.
func init() {
	test := func(float64) bool { return false }
	trace := func(Samples) float64 { return 0 }
	functions = []*function{
		{name: "ok", signature: test, doc: "the reading lies inside its specification"},
		{name: "high", signature: test, doc: "the reading lies above its specification"},
		{name: "low", signature: test, doc: "the reading lies below its specification"},
		{name: "known", signature: func(any) bool { return false }, doc: "the reading was taken, or can be derived"},
		{name: "between", signature: func(x, from, to float64) bool { return false }, doc: "the first lies between the other two"},
		{name: "abs", signature: func(x float64) float64 { return 0 }, doc: "the size without its sign"},
		{name: "min", signature: func(a, b float64, more ...float64) float64 { return 0 }, doc: "the least"},
		{name: "max", signature: func(a, b float64, more ...float64) float64 { return 0 }, doc: "the greatest"},
		{name: "reference", signature: func(float64) float64 { return 0 }, derivedOnly: true, doc: "the reference figure of the reading's specification"},
		{name: "lambda", signature: func(co, co2, o2, hc float64) float64 { return 0 }, derivedOnly: true, compute: lambda,
			doc: "the air ratio from CO, CO2 and O2 in % vol and HC in ppm hexane (OIML R 99)"},
		{name: "trace_min", signature: trace, derivedOnly: true, measure: (*Samples).min, doc: "the lowest value of a trace, single spikes left out"},
		{name: "trace_max", signature: trace, derivedOnly: true, measure: (*Samples).max, doc: "the highest value of a trace, single spikes left out"},
		{name: "trace_mean", signature: trace, derivedOnly: true, measure: (*Samples).mean, doc: "the mean of a trace"},
		{name: "switch_rate", signature: trace, derivedOnly: true, measure: (*Samples).switchRate, doc: "how often a second a trace of volts goes through 0.45 V and back, in Hz"},
		{name: "toggles", signature: func(Samples) bool { return false }, derivedOnly: true, doc: "whether a trace of volts goes through 0.45 V and back"},
	}
}

// functionNamed finds a function, nil where there is none of that name.
func functionNamed(name string) *function {
	for _, f := range functions {
		if f.name == name {
			return f
		}
	}
	return nil
}

// Functions lists name and meaning of every function, those for derived
// readings marked so.
func Functions() []FunctionDoc {
	docs := make([]FunctionDoc, len(functions))
	for i, f := range functions {
		docs[i] = FunctionDoc{Name: f.name, Doc: f.doc, DerivedOnly: f.derivedOnly}
	}
	return docs
}

// FunctionDoc is a line of the reference of the language.
type FunctionDoc struct {
	Name, Doc   string
	DerivedOnly bool
}

// keywords of the expression syntax, which no reading may be called.
var keywords = []string{
	"and", "or", "not", "in", "matches", "contains", "startsWith", "endsWith", "let", "if", "else", "true", "false", "nil",
}

// Reserved reports whether a reading may not have this id, because expressions
// mean something else by it.
func Reserved(id string) bool {
	if functionNamed(id) != nil {
		return true
	}
	for _, k := range keywords {
		if k == id {
			return true
		}
	}
	return false
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
