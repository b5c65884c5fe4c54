package modelcar

// Looks: what people see, hear and smell. No physics here; every number is a judgement.

// A Look is how often a fault makes a yes/no reading come out as it does with it: Often from a severity of From on,
// below that in proportion to the square root of the severity, since a small drip shows nearly as well as a large one.
type Look struct {
	Reading string
	Fault   string
	Often   float64
	From    float64
}

// The severities from which looks are as sure as they get. A hint goes on growing. A proof, such as smoke, soap, a
// dry injector that is watched for a minute, or a part in the hand, does not miss what is large enough to bring a
// car in. A seal or a mark of paint is broken by whoever turns the screw at all. Judgements. Where a proof reaches only
// some of what the fault can be, its chance says so: a cap on the probe finds a hose that leaks and no hole in the
// tailpipe, and leads and plugs can be swapped between cylinders, the segments of a cap cannot.
const (
	hint  = 1.0
	proof = 0.1
	mark  = 0.02
)

// Usually is how a yes/no reading comes out without a fault that bears on it, and how often it is the other way all
// the same.
type Usually struct {
	Reading   string
	Sound     bool
	Otherwise float64
}

// Sound is how the looks of a sound car come out.
var Sound = []Usually{
	{"hiss_heard", false, 0.03},
	{"leak_found", false, 0.02},
	{"exhaust_leak_heard", false, 0.03},
	{"exhaust_leak_found", false, 0.02},
	{"throttle_dirty", false, 0.12},
	{"idle_screw_disturbed", false, 0.08},
	{"mixture_plug_missing", false, 0.12},
	{"idle_valve_moves_freely", true, 0.02},
	{"co_stays_after_stab", false, 0.03},
	{"sample_line_ok", true, 0.02},
	{"oil_smells_of_fuel", false, 0.04},
	{"injector_drips", false, 0.02},
	{"cold_start_valve_drips", false, 0.01},
	{"plate_free", true, 0.02},
	{"plunger_free", true, 0.02},
	{"plate_signal_smooth", true, 0.02},
	{"misfire_follows_part", false, 0.01},
	{"unit_swap_cures", false, 0.01},
	{"meter_scale_right", true, 0.01},
}

// Looks are what faults change in that.
var Looks = []Look{
	{"hiss_heard", "unmeasured-air", 0.75, hint},
	{"hiss_heard", "crankcase-air", 0.25, hint},
	{"leak_found", "unmeasured-air", 0.98, proof},
	{"exhaust_leak_heard", "exhaust-leak-before-sensor", 0.8, hint},
	{"exhaust_leak_found", "exhaust-leak-before-sensor", 0.97, proof},
	{"throttle_dirty", "throttle-gummed", 0.97, proof},
	{"idle_screw_disturbed", "idle-screw-in", 0.9, mark},
	{"idle_screw_disturbed", "idle-screw-out", 0.9, mark},
	{"mixture_plug_missing", "mixture-set-rich", 0.92, mark},
	{"mixture_plug_missing", "mixture-set-lean", 0.92, mark},
	{"idle_valve_moves_freely", "idle-valve-sticking", 0.92, proof},
	{"co_stays_after_stab", "plunger-sticking", 0.8, hint},
	{"co_stays_after_stab", "air-plate-binding", 0.3, hint},
	{"sample_line_ok", "sample-diluted", 0.6, proof},
	{"oil_smells_of_fuel", "fuel-in-oil", 0.92, hint},
	{"oil_smells_of_fuel", "injector-leaking", 0.15, hint},
	{"oil_smells_of_fuel", "cold-start-valve-leaking", 0.15, hint},
	{"injector_drips", "injector-leaking", 0.98, proof},
	{"cold_start_valve_drips", "cold-start-valve-leaking", 0.98, proof},
	{"plate_free", "air-plate-binding", 0.95, proof},
	{"plunger_free", "plunger-sticking", 0.93, proof},
	{"plate_signal_smooth", "plate-signal-worn", 0.95, proof},
	{"misfire_follows_part", "ignition-misfire", 0.85, proof},
	{"unit_swap_cures", "control-unit", 0.99, proof},
	{"meter_scale_right", "meter-on-wrong-scale", 0.98, proof},
}

// A Complaint is what the customer of a car with a fault comes for, with weights against each other. At a severity
// below 1 the weight is as much less, and the rest comes for nothing in particular.
type Complaint struct {
	Fault string
	Words []Weighted
}

// Weighted is one of several words.
type Weighted struct {
	Word   string
	Weight float64
}

// Complaints of every kind of fault.
var Complaints = []Complaint{
	{"unmeasured-air", []Weighted{{"none", 2}, {"stalls", 2}, {"hunting", 2}, {"hesitates", 2}}},
	{"crankcase-air", []Weighted{{"none", 4}, {"stalls", 2}, {"hunting", 2}}},
	{"throttle-gummed", []Weighted{{"none", 3}, {"stalls", 5}}},
	{"idle-screw-in", []Weighted{{"none", 5}, {"stalls", 2}}},
	{"idle-screw-out", []Weighted{{"none", 6}, {"thirsty", 1}}},
	{"idle-valve-sticking", []Weighted{{"none", 1}, {"stalls", 4}, {"hunting", 4}}},
	{"idle-valve-circuit", []Weighted{{"none", 1}, {"stalls", 5}, {"hard-start-cold", 2}}},
	{"idle-switch-open", []Weighted{{"none", 2}, {"stalls", 2}, {"hunting", 2}, {"thirsty", 1}}},
	{"air-plate-binding", []Weighted{{"none", 2}, {"hesitates", 5}, {"stalls", 1}}},
	{"plate-signal-worn", []Weighted{{"none", 1}, {"hesitates", 7}}},
	{"engine-drag", []Weighted{{"none", 4}, {"weak", 2}, {"thirsty", 2}}},
	{"timing-late", []Weighted{{"none", 2}, {"weak", 5}, {"thirsty", 2}}},
	{"timing-early", []Weighted{{"none", 5}, {"hesitates", 1}}},
	{"mixture-set-rich", []Weighted{{"none", 5}, {"thirsty", 3}, {"black-smoke", 1}, {"fuel-smell", 1}}},
	{"mixture-set-lean", []Weighted{{"none", 5}, {"hesitates", 2}, {"hard-start-cold", 1}}},
	{"injector-leaking", []Weighted{{"none", 1}, {"hard-start-hot", 5}, {"thirsty", 1}, {"black-smoke", 1}}},
	{"injector-clogged", []Weighted{{"none", 2}, {"weak", 2}, {"hesitates", 3}, {"stalls", 1}}},
	{"regulator-stuck-rich", []Weighted{{"none", 1}, {"black-smoke", 3}, {"thirsty", 3}, {"fuel-smell", 2}}},
	{"regulator-stuck-lean", []Weighted{{"none", 1}, {"weak", 3}, {"hesitates", 3}, {"stalls", 2}}},
	{"regulator-circuit-open", []Weighted{{"none", 1}, {"hard-start-cold", 4}, {"hesitates", 3}}},
	{"fuel-supply-weak", []Weighted{{"none", 1}, {"weak", 6}, {"hesitates", 2}}},
	{"system-pressure-high", []Weighted{{"none", 4}, {"thirsty", 3}, {"black-smoke", 1}}},
	{"rest-pressure-lost", []Weighted{{"none", 1}, {"hard-start-hot", 8}}},
	{"cold-start-valve-leaking", []Weighted{{"none", 1}, {"hard-start-hot", 4}, {"thirsty", 2}, {"fuel-smell", 1}}},
	{"plunger-sticking", []Weighted{{"none", 1}, {"hesitates", 5}, {"stalls", 2}, {"black-smoke", 1}}},
	{"fuel-in-oil", []Weighted{{"none", 4}, {"fuel-smell", 2}, {"thirsty", 1}}},
	{"purge-open", []Weighted{{"none", 3}, {"fuel-smell", 3}, {"hard-start-hot", 1}}},
	{"oxygen-sensor-dead", []Weighted{{"none", 3}, {"thirsty", 4}, {"black-smoke", 1}}},
	{"oxygen-sensor-slow", []Weighted{{"none", 3}, {"hunting", 4}, {"thirsty", 1}}},
	{"oxygen-sensor-wire-open", []Weighted{{"none", 5}, {"thirsty", 2}}},
	{"exhaust-leak-before-sensor", []Weighted{{"none", 4}, {"thirsty", 3}}},
	{"coolant-sensor-reads-cold", []Weighted{{"none", 1}, {"thirsty", 4}, {"black-smoke", 3}, {"hard-start-hot", 2}}},
	{"coolant-sensor-reads-hot", []Weighted{{"none", 1}, {"hard-start-cold", 8}}},
	{"ignition-misfire", []Weighted{{"none", 1}, {"weak", 4}, {"hesitates", 2}, {"stalls", 1}}},
	{"compression-low", []Weighted{{"none", 2}, {"weak", 4}, {"hard-start-cold", 1}}},
	{"sample-diluted", []Weighted{{"none", 1}}},
	{"meter-on-wrong-scale", []Weighted{{"none", 1}}},
	{"control-unit", []Weighted{{"none", 1}, {"stalls", 2}, {"hunting", 2}, {"weak", 2}}},
}
