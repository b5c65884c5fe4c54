// Package modelcar is a physical model of an idling and cruising engine, which makes the readings that a car with
// given faults would show. docs/model-car.md tells its equations and its numbers.
//
// Start with Draw, which draws a car from the tolerances in Parameters and puts faults into it, and then ask the
// Car for its Readings. The same seed gives the same car and the same readings everywhere, whichever readings are
// asked for.
//
// The model is written from physics and from the trade, and knows nothing of the rule packs: no strength and no
// prior of theirs is in it. It holds steady states at idle and at 2500/min. It has no cranking, no driving and no
// load on the road.
package modelcar
