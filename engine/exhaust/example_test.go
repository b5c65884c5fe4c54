package exhaust_test

import (
	"fmt"

	"culprit/engine/exhaust"
)

func ExampleLambda() {
	lambda, err := exhaust.Lambda(exhaust.Gas{CO: 0.5, CO2: 14.7, O2: 0.5, HC: 100}, exhaust.Petrol)
	fmt.Printf("%.3f %v\n", lambda, err)
	_, err = exhaust.Lambda(exhaust.Gas{CO: 0.5, CO2: 14.7, O2: -0.1}, exhaust.Petrol)
	fmt.Println(err)
	// Output:
	// 1.005 <nil>
	// O2 of -0.1 % is negative
}

func ExampleUncertain() {
	reading := exhaust.Gas{CO: 0.5, CO2: 14.7, O2: 0.5, HC: 100}
	standard := exhaust.Gas{CO: 0.035, CO2: 0.42, O2: 0.058, HC: 7}
	lambda, u, err := exhaust.Uncertain(reading, standard, exhaust.Petrol)
	fmt.Printf("%.4f, standard uncertainty %.4f, %v\n", lambda, u, err)
	// Output: 1.0047, standard uncertainty 0.0029, <nil>
}
