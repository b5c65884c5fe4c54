package quantity_test

import (
	"fmt"

	"culprit/engine/quantity"
)

func ExampleParse() {
	q, err := quantity.Parse("25.2 deg dwell4")
	fmt.Println(q.Value, q.Unit, err)
	_, err = quantity.Parse("1,9 %")
	fmt.Println(err)
	// Output:
	// 25.2 deg dwell4 <nil>
	// decimal comma in "1,9 %"; write 1.9 with a point
}

func ExampleQuantity_In() {
	q, _ := quantity.Parse("75 psi")
	bar, _ := q.In(quantity.Bar)
	fmt.Println(quantity.Number(bar.Value), bar.Unit)
	_, err := q.In(quantity.Percent)
	fmt.Println(err)
	// Output:
	// 5.171 bar
	// "75 psi" is a pressure; here a fraction is wanted: %, ppm, deg dwell4, deg dwell6, deg dwell8
}

func ExampleLimits_U() {
	meter := quantity.Limits{Within: 0.06, Percent: 5}
	fmt.Println(quantity.Format(1.9, meter.U(1.9), quantity.Percent))
	// Output: 1.90 %
}
