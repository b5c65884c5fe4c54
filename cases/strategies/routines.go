package strategies

import (
	"slices"

	"culprit/engine"
)

// routines are the checks of each shipped pack in the order in which a fixed
// routine prints them. Source: common practice. The first is the usual bench
// sheet for such a car, meters and gases before gauges and parts. The second goes from the battery along the cables to the
// starter, then to the charging.
var routines = map[string][]string{
	"continuous-injection": {
		"look-and-listen", "idle-and-duty", "timing", "current-at-idle", "current-at-speed",
		"gases-at-idle", "gases-at-speed", "sample-line", "oxygen-signal", "force-rich", "ground-wire",
		"breather-swap", "purge-swap", "leak-test", "pressure-test", "rest-pressure", "pump-delivery",
		"injector-test", "cold-start-valve", "coolant-sensor-ohms", "regulator-ohms", "throttle-switches",
		"plate-by-hand", "plugs", "balance", "compression",
	},
	"starting-and-charging": {
		"posts", "load-test", "crank", "starter-volts", "drops", "charging", "belt-look", "ripple",
		"charge-lead", "output", "belt-speed", "drain", "acid-density", "full-charge", "regulator-out", "starter-out",
	},
}

// Routine is the fixed routine for a pack by name: for one that has none, its
// checks in their own order.
func Routine(pack string, s *engine.Simulator) []string {
	if fixed, ok := routines[pack]; ok {
		return slices.Clone(fixed)
	}
	return s.Checks()
}
