package truth

import (
	"strconv"

	"github.com/expr-lang/expr/ast"

	"culprit/engine/quantity"
	"culprit/engine/source"
)

// withExponent finds the numbers that the parser prints with an exponent: those of a million and more, and very small ones. What
// stands before one keeps it apart from names, which end in letters and digits too.
var withExponent = source.Pattern(`(^|[^\pL\pN_.])([0-9]+(?:\.[0-9]+)?e[-+][0-9]+)`)

// said gives a comparison as a rule says it, with its numbers as a person writes them: 1000000 and not 1e+06.
func said(n ast.Node) string {
	return withExponent().ReplaceAllStringFunc(n.String(), func(found string) string {
		at := withExponent().FindStringSubmatchIndex(found)[4]
		v, err := strconv.ParseFloat(found[at:], 64)
		if err != nil {
			return found
		}
		return found[:at] + quantity.Quantity{Value: v}.String()
	})
}
