package modelcar

import (
	"encoding/json"
	"fmt"
)

// A ValueKind is what sort of reading a value is.
type ValueKind uint8

// The kinds of value.
const (
	Number ValueKind = iota
	YesNo
	Choice
	Trace
)

// A Value is one reading as it would be written down. Which field counts is told by Kind.
type Value struct {
	Kind    ValueKind
	Number  float64 // in the unit of the reading
	Yes     bool
	Word    string
	Every   float64   // s, of a trace
	Samples []float64 // of a trace, in the unit of the reading
}

// MarshalJSON writes a value in the form that a job has it.
func (v Value) MarshalJSON() ([]byte, error) {
	switch v.Kind {
	case YesNo:
		return json.Marshal(v.Yes)
	case Choice:
		return json.Marshal(v.Word)
	case Trace:
		return json.Marshal(struct {
			Every  string    `json:"every"`
			Values []float64 `json:"values"`
		}{fmt.Sprintf("%g ms", 1000*v.Every), v.Samples})
	}
	return json.Marshal(v.Number)
}
