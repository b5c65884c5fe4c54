package modelcar

// A Design is a kind of car: what its maker made otherwise than the average of Parameters.
type Design struct {
	ID    string
	Label string
	duty  float64 // duty that the idle is set to, %
	own   map[pid]float64
}

// Designs are the cars that can be staged. Both are invented; what they are set to is common practice.
var Designs = []*Design{
	{ID: "brackenby-1800", Label: "Brackenby 1800 (invented)", duty: 28},
	{ID: "ostrel-2000", Label: "Ostrel 2.0 (invented)", duty: 30, own: map[pid]float64{
		displacement: 2.0, idleTarget: 800, timingSet: 12, systemPressure: 5.5, pumpDelivery: 1100,
		valveOhms: 11.5, regulatorOhms: 19.5, restPressure: 3.25, injectorOpening: 3.75,
	}},
}

// design finds a kind of car; nil if there is none of that id.
func design(id string) *Design {
	for _, d := range Designs {
		if d.ID == id {
			return d
		}
	}
	return nil
}
