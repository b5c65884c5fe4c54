package modelcar

import "testing"

// One car a turn, drawn and read whole: what the score of the rules takes for each job besides ranking it.
func BenchmarkCar(b *testing.B) {
	ids := ReadingIDs()
	for i := range b.N {
		k := FaultKinds[i%len(FaultKinds)]
		c, err := Draw(uint64(i), []Fault{{k.ID, 0.7}}, Options{})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := c.Readings(ids); err != nil {
			b.Fatal(err)
		}
	}
}
