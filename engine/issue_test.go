package engine

// The two jobs by which the whole is shown: a leak, and the same car whose
// current was set by hand just before it was read.
const (
	hiddenLeak = `{"vehicle": "brackenby-1800",
		"readings": {"engine_warm": true, "idle_speed": 850, "valve_duty": 15, "regulator_current": 17, "regulator_current_2500": 11}}`
	justSet = `{"vehicle": "brackenby-1800",
		"readings": {"engine_warm": true, "idle_speed": 850, "valve_duty": 15, "regulator_current": 17, "regulator_current_2500": 11,
			"current_just_set": true, "co": 1.95, "co2": 13.4, "o2": 1.3, "hc": 290}}`
)
