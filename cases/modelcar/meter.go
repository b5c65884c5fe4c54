package modelcar

import "math"

// A Meter is what stands between a number and the paper it is written on. The limits of error are those that
// the trade's instruments state, the larger of Within and Percent of the reading; the error is even within them. They
// are part of the pack of rules too, and a test holds the two together.
type Meter struct {
	Within      float64 // in the unit of the reading
	Percent     float64
	Step        float64 // what it shows at the finest
	Least, Most float64 // ends of its scale
}

// read is what the meter shows, with e even between -1 and 1.
func (m Meter) read(value, e float64) float64 {
	shown := value + e*max(m.Within, m.Percent/100*math.Abs(value))
	return m.show(shown)
}

// show brings a value to the scale and to the step.
func (m Meter) show(value float64) float64 {
	value = min(max(m.Least, value), m.Most)
	if m.Step == 0 {
		return value
	}
	per := math.Round(1 / m.Step) // dividing by a whole number leaves no tail of digits
	if per >= 1 {
		return math.Round(value*per) / per
	}
	return math.Round(value/m.Step) * m.Step
}
