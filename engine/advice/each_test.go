package advice

import (
	"sync/atomic"
	"testing"
)

// TestEachPanicsWhereItCanBeCaught: a fault in one of many goroutines ends the
// call, not the program, and the others are done.
func TestEachPanicsWhereItCanBeCaught(t *testing.T) {
	var done atomic.Int32
	defer func() {
		if f := recover(); f != "seven" || done.Load() != 99 {
			t.Errorf("%v after %d", f, done.Load())
		}
	}()
	each(100, func(i int) {
		if i == 7 {
			panic("seven")
		}
		done.Add(1)
	})
	t.Error("no panic")
}
