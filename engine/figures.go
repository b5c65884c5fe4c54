package engine

import (
	"errors"
	"math"

	"culprit/engine/quantity"
	"culprit/engine/rulefile"
)

// parse reads the four figures as quantities.
func (f Figures) parse() (rulefile.Figures, []rulefile.FigureError) {
	var out rulefile.Figures
	var bad []rulefile.FigureError
	for _, x := range []struct {
		field, text string
		into        **quantity.Quantity
	}{
		{"from", f.From, &out.From}, {"to", f.To, &out.To},
		{"reference", f.Reference, &out.Reference}, {"within", f.Within, &out.Within},
	} {
		if x.text == "" {
			continue
		}
		q, err := quantity.Parse(x.text)
		if err != nil {
			text, hint := inWords(err)
			bad = append(bad, rulefile.FigureError{Field: x.field, Text: text, Hint: hint})
			continue
		}
		if math.Abs(q.Value) > huge {
			bad = append(bad, rulefile.FigureError{Field: x.field, Text: "no car has such a figure"})
			continue
		}
		*x.into = &q
	}
	return out, bad
}

// inWords gives an error about a quantity as what is wrong and how to mend it.
func inWords(err error) (text, hint string) {
	if p, ok := errors.AsType[*quantity.ParseError](err); ok {
		return p.Text, p.Hint
	}
	return err.Error(), ""
}
