package modelcar

import "testing"

// sound draws a car without faults.
func sound(t *testing.T, seed uint64, o Options) *Car {
	t.Helper()
	return ill(t, seed, o)
}

// ill draws a car with faults.
func ill(t *testing.T, seed uint64, o Options, faults ...Fault) *Car {
	t.Helper()
	c, err := Draw(seed, faults, o)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// bench draws seeds of the cars that laws are tried on: few enough to be quick.
func bench(do func(seed uint64)) {
	for seed := range uint64(25) {
		do(seed)
	}
}
