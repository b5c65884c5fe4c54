package truth_test

import (
	"fmt"

	"culprit/engine/quantity"
	"culprit/engine/truth"
)

// A rule asks two readings of one job. One is uncertain, and the other was not
// taken.
func Example() {
	scope := truth.NewScope([]truth.Reading{
		{ID: "co", Unit: quantity.Percent},
		{ID: "engine_warm", Kind: truth.YesNo},
	})
	rule, err := scope.Compile("engine_warm and co > 1.5", truth.YesNo, truth.InRule)
	if err != nil {
		panic(err)
	}
	values := scope.Values()
	co, _ := scope.Index("co")
	values.SetNumber(co, 1.6, 0.05)
	t := rule.Truth(values)
	fmt.Printf("at least %.3f, at most %.3f\n", t.Least, t.Most)
	for _, lack := range rule.Lacks(values) {
		fmt.Println("lacks", scope.Reading(lack.Reading).ID)
	}
	warm, _ := scope.Index("engine_warm")
	values.SetYesNo(warm, true)
	fmt.Printf("with it: %.3f\n", rule.Truth(values).Middle())

	_, err = scope.Compile("engine_wram and co > 1.5", truth.YesNo, truth.InRule)
	fmt.Println(err)
	// Output:
	// at least 0.000, at most 0.977
	// lacks engine_warm
	// with it: 0.977
	// at 0: there is no reading "engine_wram" (did you mean "engine_warm"?)
}
