package source_test

import (
	"fmt"
	"os"

	"culprit/engine/source"
)

// A tool as it is written, with the place of each value.
type tool struct {
	label source.Got[string]
	price source.Got[float64]
}

var toolTable = source.NewTable("tool",
	source.Key("label", source.Text, func(t *tool) *source.Got[string] { return &t.label }, "its name for people").Required(),
	source.Key("price", source.Number(source.NumberFrom(0, false, 1000, false)), func(t *tool) *source.Got[float64] { return &t.price }, "what it costs"),
)

// A file of tools by id is read by a table of their keys; everything that is wrong comes out at once, sorted, with carets.
func Example() {
	file := source.NewFile("tools.yaml", []byte(`hammer: {label: Hammer, price: 12.5}
pliers: {label: Pliers, prize: 9}
saw: {price: -1}
`))
	tools := source.MapOf("tool", source.Spelt(`^[a-z]+$`), "lower case letters", toolTable.Type())

	var report source.Report
	if top := source.Parse(file, &report); !top.IsZero() {
		all, _ := tools.Read(&report, top)
		fmt.Println(all[0].ID, all[0].V.label.V, all[0].V.price.V)
	}
	report.Problems.Sort()
	report.Problems.Format(os.Stdout)
	// Output:
	// hammer Hammer 12.5
	// tools.yaml:2:25: unknown key "prize" in a tool
	//     pliers: {label: Pliers, prize: 9}
	//                             ^^^^^
	//     did you mean "price"?
	// tools.yaml:3:1: tool "saw" has no "label"
	//     saw: {price: -1}
	//     ^^^
	// tools.yaml:3:14: "price" wants a number from 0 to 1000, not the number -1
	//     saw: {price: -1}
	//                  ^^
}

// An error inside a text points at the character that the author typed, whatever the quotes and escapes before it.
func ExampleReport_Within() {
	file := source.NewFile("f.yaml", []byte(`formula: "1\u00d72\x20+ x"`))
	var report source.Report
	table := source.NewTable("sheet", source.Key("formula", source.Text, func(g *source.Got[string]) *source.Got[string] { return g }, ""))
	got, _ := table.Type().Read(&report, source.Parse(file, &report))

	report.Within(got.Spot, len("1×2 + "), 1, "unknown name %q", "x")
	report.Problems.Format(os.Stdout)
	// Output:
	// f.yaml:1:25: unknown name "x"
	//     formula: "1\u00d72\x20+ x"
	//                             ^
}
