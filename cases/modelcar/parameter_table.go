package modelcar

// The places of the parameters.
const (
	ambient pid = iota
	airTemperature
	chargeTemperature
	displacement
	compressionRatio
	isentropic
	breathing
	throttleGap
	holeDischarge
	valveShut
	valveFirst
	valveSecond
	valveLeak
	valveSpring
	dutyLeast
	dutyMost
	dutyDefault
	idleTarget
	idleRisePerKelvin
	frictionBase
	frictionLinear
	frictionSquare
	beltDrives
	consumersDrag
	efficiency
	bestTimingIdle
	bestTimingRaised
	timingCurve
	timingSet
	timingAdvance
	cylinderCharge
	currentReference
	pressureReference
	pressurePerCurrent
	authority
	injectorSpread
	systemPressure
	pumpStall
	pumpReserve
	pumpSlope
	pumpDelivery
	counterPressure
	injectorOpening
	cycleSpread
	quench
	quenchRich
	quenchAdvance
	quenchRaised
	frozenCO
	leanLimit
	leanLimitWidth
	richLimit
	richLimitWidth
	strayMisfire
	sensorTemperature
	sensorAge
	sensorBurnsHC
	sensorLag
	forcedRich
	loopDelay
	loopRate
	loopNoise
	warmTemperature
	loopTemperature
	enrichmentPerKelvin
	coolant
	thermistor20
	thermistorB
	compressionPressure
	restPressure
	railCompliance
	balanceDrop
	consumersShare
	regulatorOhms
	valveOhms
	battery
	parameterCount
)

const (
	judgement = "judgement"
	practice  = "common practice, no source"
)

// Parameters is every number of the model. docs/model-car.md prints it.
var Parameters = [parameterCount]Parameter{
	ambient:           {"pressure of the air outside", 101.325, 1.5, "kPa", "standard atmosphere; the tolerance is weather"},
	airTemperature:    {"temperature of the air outside", 295, 8, "K", judgement},
	chargeTemperature: {"temperature of the charge as the inlet valve shuts", 330, 8, "K", judgement},
	displacement:      {"swept volume", 1.8, 0, "L", "of the invented car"},
	compressionRatio:  {"compression ratio", 9.5, 0, "", judgement},
	isentropic:        {"ratio of the specific heats of the charge", 1.35, 0, "", "Heywood 1988, chapter 4 (from memory)"},
	breathing:         {"what heat and the valves leave of the ideal filling", 0.85, 0.02, "", "Heywood 1988, 6.2 (from memory)"},

	throttleGap:       {"effective gap of the shut throttle", 2.5, 0.3, "mm²", judgement},
	holeDischarge:     {"discharge coefficient of a hole", 0.7, 0.05, "", "0.6 to 0.85, Heywood 1988, appendix C (from memory)"},
	valveShut:         {"duty at which the idle air valve begins to open", 12, 1, "%", judgement},
	valveFirst:        {"opening of the valve, linear in its travel", 6.5, 0.3, "mm²", judgement},
	valveSecond:       {"opening of the valve, square of its travel", 14, 0.6, "mm²", judgement},
	valveLeak:         {"what the shut valve still lets through", 0.3, 0.1, "mm²", judgement},
	valveSpring:       {"duty at which the valve would stand as its spring leaves it", 40, 6, "%", judgement},
	dutyLeast:         {"lowest duty that the unit gives", 10, 0.5, "%", judgement},
	dutyMost:          {"highest duty that the unit gives", 90, 1, "%", judgement},
	dutyDefault:       {"duty while the unit does not regulate", 35, 1, "%", judgement},
	idleTarget:        {"idle speed that the unit keeps", 850, 12, "/min", practice},
	idleRisePerKelvin: {"rise of that speed for each kelvin below warm", 4.5, 0.3, "/min/K", judgement},

	frictionBase:     {"friction, constant", 0.80, 0.03, "bar", "mean effective pressure; shape of Heywood 1988, 13.5 (from memory), less pumping"},
	frictionLinear:   {"friction, by 1000/min", 0.13, 0.01, "bar", "the same"},
	frictionSquare:   {"friction, by the square of 1000/min", 0.05, 0.004, "bar", "the same"},
	beltDrives:       {"pull of the belt drives", 0.12, 0.02, "bar", judgement},
	consumersDrag:    {"pull of the alternator with the consumers on", 0.20, 0.03, "bar", judgement},
	efficiency:       {"gross indicated efficiency at the best timing, lambda 1", 0.33, 0.008, "", judgement},
	bestTimingIdle:   {"timing of most torque at idle", 25, 1, "deg", "before top dead centre; " + judgement},
	bestTimingRaised: {"timing of most torque at 2500/min", 33, 1, "deg", judgement},
	timingCurve:      {"loss of torque by the square of what timing is off", 4e-4, 3e-5, "/deg²", "Heywood 1988, 15.3.2 (from memory)"},
	timingSet:        {"timing at idle", 10, 1, "deg", practice},
	timingAdvance:    {"advance of the timing from idle to 2500/min", 20, 1, "deg", judgement},
	cylinderCharge:   {"work of one cylinder against the mean, else equal", 1, 0.03, "", judgement},

	currentReference:   {"regulator current that belongs to the reference mixture", 10, 0, "mA", practice},
	pressureReference:  {"pressure difference at that current", 0.40, 0.02, "bar", practice},
	pressurePerCurrent: {"change of the difference with the current", 0.010, 0.0005, "bar/mA", "from 0.4 bar at 10 mA and cut-off below -30 mA: common practice, no source"},
	authority:          {"how far the closed loop moves the current either way", 14, 0.8, "mA", judgement},
	injectorSpread:     {"quantity of one injector against the mean", 1, 0.04, "", practice},
	systemPressure:     {"system pressure", 5.4, 0.1, "bar", practice},
	pumpStall:          {"pressure of the sound pump with nothing drawn", 7.5, 0.3, "bar", judgement},
	pumpReserve:        {"by how much a pump that begins to be weak still outdoes the system pressure", 0.15, 0.05, "bar", judgement},
	pumpSlope:          {"what that pressure loses with fuel drawn", 0.1, 0.02, "bar s/g", judgement},
	pumpDelivery:       {"delivery of the sound pump in 30 s", 1050, 80, "mL", practice},
	counterPressure:    {"share of the plunger's counter-force that follows the system pressure", 0.3, 0.05, "", judgement},
	injectorOpening:    {"opening pressure of an injector", 3.7, 0.2, "bar", practice},

	cycleSpread:    {"spread of the mixture from cycle to cycle", 0.032, 0.004, "", "standard deviation, of lambda; " + judgement},
	quench:         {"share of the fuel that leaves unburnt at lambda 1", 0.0045, 0.0010, "", "some 150 ppm hexane at idle: common practice, no source"},
	quenchRich:     {"growth of that share with 1 - lambda", 10, 1, "", judgement},
	quenchAdvance:  {"growth of that share for each degree of advance", 0.03, 0.003, "/deg", judgement},
	quenchRaised:   {"that share at 2500/min against idle", 0.75, 0.05, "", judgement},
	frozenCO:       {"share of the carbon that leaves as CO whatever the mixture", 0.012, 0.002, "", "0.2 to 0.3 % CO when lean, Heywood 1988, chapter 11 (from memory); lower end"},
	leanLimit:      {"lambda at which half of the cycles misfire", 1.40, 0.03, "", judgement},
	leanLimitWidth: {"width of that limit, in logarithms", 0.05, 0.004, "", judgement},
	richLimit:      {"lambda, rich, at which half of the cycles misfire", 0.50, 0.02, "", judgement},
	richLimitWidth: {"width of that limit, in logarithms", 0.06, 0.004, "", judgement},
	strayMisfire:   {"cycles that a sound engine misses at idle", 0.0004, 0.0003, "", judgement},

	sensorTemperature:   {"temperature of the oxygen sensor", 873, 40, "K", "best near 600 °C: textbook of automotive electronics; the tolerance is judgement"},
	sensorAge:           {"what age and the meter leave of its voltage", 0.92, 0.03, "", "ageing lowers the voltage: SAE 1979; the value is judgement"},
	sensorBurnsHC:       {"share of the HC that the sensor's own surface burns", 0.3, 0.05, "", judgement},
	sensorLag:           {"time constant of the sensor", 0.08, 0.02, "s", judgement},
	forcedRich:          {"lambda when the mixture is forced rich, against what it was", 0.87, 0.02, "", judgement},
	loopDelay:           {"delay from the slit to the sensor at idle", 0.35, 0.05, "s", judgement},
	loopRate:            {"how fast the unit moves the current", 3.5, 0.3, "mA/s", judgement},
	loopNoise:           {"unrest of lambda at the sensor", 0.006, 0.001, "", "standard deviation; " + judgement},
	warmTemperature:     {"coolant temperature at which enrichment ends", 75, 0, "°C", judgement},
	loopTemperature:     {"coolant temperature at which the loop closes", 60, 0, "°C", judgement},
	enrichmentPerKelvin: {"enrichment current for each kelvin below warm", 0.42, 0.02, "mA/K", "tens of mA when cold: common practice, no source"},
	coolant:             {"coolant temperature of the warm engine", 89, 4, "°C", practice},
	thermistor20:        {"resistance of the coolant sensor at 20 °C", 2.5, 0.12, "kohm", practice},
	thermistorB:         {"its B value", 3560, 30, "K", "3520 to 3610 K from workshop data sheets"},

	compressionPressure: {"compression of a cylinder", 11.2, 0.7, "bar", practice},
	restPressure:        {"rest pressure after ten minutes", 3.15, 0.3, "bar", practice},
	railCompliance:      {"fuel that the accumulator gives for each bar", 10, 1.5, "mL/bar", judgement},
	balanceDrop:         {"drop in speed with one sound cylinder out", 130, 15, "/min", judgement},
	consumersShare:      {"share of the drop that the unit is too slow to catch", 0.28, 0.06, "", judgement},
	regulatorOhms:       {"resistance of the mixture regulator", 20, 1, "ohm", practice},
	valveOhms:           {"resistance of the idle air valve", 10, 1, "ohm", judgement},
	battery:             {"battery volts with the pump running", 13.4, 0.5, "V", practice},
}
