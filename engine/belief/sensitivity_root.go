package belief

import "math"

// bracket finds where f turns from at most 0 at low to above 0 at high; either
// may be the larger number. It returns the end above 0 of what is left, having
// called f there last. It goes by chords, the value at an end that stays being
// halved (the Illinois rule), and every third time by halves, so that the
// bracket shrinks whatever f is like.
func bracket(f func(float64) (float64, error), low, high, fLow, fHigh float64) (float64, error) {
	stayed := 0 // above 0: low did the last time; below: high
	for k := 1; math.Abs(high-low) > rootWithin*max(math.Abs(high), math.Abs(low)) && k < 200; k++ {
		x := low + (high-low)*fLow/(fLow-fHigh)
		if k%3 == 0 || !(x > min(low, high) && x < max(low, high)) { // also where a value is infinite
			x = low + (high-low)/2
		}
		y, err := f(x)
		if err != nil {
			return 0, err
		}
		if y > 0 {
			high, fHigh = x, y
			if stayed > 0 {
				fLow /= 2
			}
			stayed = 1
		} else {
			low, fLow = x, y
			if stayed < 0 {
				fHigh /= 2
			}
			stayed = -1
		}
	}
	_, err := f(high)
	return high, err
}

// rootWithin is how closely, of itself, a root is found.
const rootWithin = 1e-10
