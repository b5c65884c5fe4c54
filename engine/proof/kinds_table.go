package proof

// kinds is the single source for the list, for --explain, and for the table in
// docs/proofreading.md. The examples are joined to testdata/base.yaml by a test.
var kinds = []Kind{
	{
		ID: Unreadable, Title: "a folder or file that cannot be read",
		Why: "The folder is not there, holds no rule files, or the system refuses it; or a file is empty, too large or no text. " +
			"Nothing can be said about the rules in it. Name another folder, or mend what the message says.",
		Bad:  "# an empty file\n",
		Good: "cautions:\n  heat: Hot parts burn.\n",
	},
	{
		ID: Refused, Title: "something that a rule file may not say",
		Why: "A key that does not exist, a name that nothing has, a unit that does not fit, an expression that makes no sense: " +
			"the pack does not load, and no car can be ranked with it. The message says what is wrong and mostly what was meant.",
		Bad:  example("pressure-poor", "The pressure is poor", "fuel_presure < 4"),
		Good: example("pressure-poor", "The pressure is poor", "fuel_pressure < 4"),
	},
	{
		ID: "never-holds", Title: "an expression that can never hold",
		Why: "With every reading anywhere in its plausible range the expression still cannot be true: a limit lies at the wrong end, " +
			"two parts exclude each other, or \"given\" excludes \"when\". Such a rule is never evidence for anything. It is decided by " +
			"interval arithmetic, so it is proven. Readings count as exact.",
		Bad:  example("pressure-poor", "The pressure is poor", "fuel_pressure < 4 and fuel_pressure > 6"),
		Good: example("pressure-poor", "The pressure is poor", "fuel_pressure < 4 or fuel_pressure > 6"),
	},
	{
		ID: "always-holds", Title: "an expression that always holds",
		Why: "With every reading anywhere in its plausible range the expression is true. A rule that always holds tells nothing, and what is " +
			"always given can be left out. Often a limit has the wrong sign or lies at the end of the range.",
		Bad:  example("pressure-there", "There is pressure", "fuel_pressure >= 0"),
		Good: example("pressure-there", "There is pressure", "fuel_pressure >= 2"),
	},
	{
		ID: "limit-implausible", Title: "a limit or figure outside what the reading can be",
		Why: "A limit in a rule has no unit behind it: it is in the unit of the reading. A limit outside the plausible range is mostly meant in another " +
			"unit, and the hint says which would fit. The figures of vehicles are held against the range too.",
		Bad:  example("pressure-poor", "The pressure is poor", "fuel_pressure < 60"),
		Good: example("pressure-poor", "The pressure is poor", "fuel_pressure < 4.1"),
	},
	{
		ID: "not-exclusive", Title: "alternatives that can hold together",
		Why: "Rules with one name under \"alternatives\" are one finding with several outcomes, of which at most one can be. Here are readings with which two " +
			"of them hold, so their chances are counted wrongly. The readings are an example and have been tried. Where none is found, the rules may still overlap.",
		Bad:  pressureGroup("between(fuel_pressure, 3, 5)"),
		Good: pressureGroup("between(fuel_pressure, 4.2, 5)"),
	},
	{
		ID: "said-twice", Title: "two rules that ask the same",
		Why: "One physical fact, one rule. Two rules with the same \"given\" and \"when\" count one finding twice, and make the verdict too sure. " +
			"Brackets, the order of \"and\" and the side of a limit make no difference.",
		Bad:  example("howling-again", "The pump is loud", `pump_noise == "howling"`),
		Good: example("pump-hums", "The pump hums", `pump_noise == "humming"`),
	},
	{
		ID: "qualifier-in-when", Title: "a qualifier in the question of a rule",
		Why: "Where a part of \"when\" is no, the rule does not hold, and that counts against what it shows, although nobody has looked. What must be so before the question " +
			"makes sense belongs into \"given\": there the rule does not apply, and says nothing. Found are yes/no readings that two other rules have under \"given\", or that the " +
			"set-up list asks for, joined by \"and\" to something else.",
		Bad:  example("pressure-poor", "The pressure is poor", "engine_warm and fuel_pressure < 4"),
		Good: example("pressure-poor", "The pressure is poor", "fuel_pressure < 4", "given: engine_warm"),
	},
	{
		ID: "says-nothing", Title: "a rule that holds as often either way",
		Why: "Where the number under \"shows\" is that of \"otherwise\", the rule holds as often with the state or fault as without it, and so tells nothing of it, whatever is read. " +
			"Ask again in how many of a hundred such cars it holds, and in how many others. In a group of alternatives it may be so: an outcome that leaves all as it was.",
		Bad:  rule("pressure-poor", "says: The pressure is poor", "when: fuel_pressure < 4", "shows: {pump-worn: often}", "otherwise: often", "because: A worn pump cannot hold it"),
		Good: example("pressure-poor", "The pressure is poor", "fuel_pressure < 4"),
	},
	{
		ID: "nothing-brings", Title: "a rule that shows a state which no fault brings",
		Why: "A rule speaks for a fault through the states that the fault brings. Where no fault brings the state, the rule can hold as often as it likes and " +
			"points at nothing that could be repaired.",
		Bad:  "conditions:\n  supply:\n    label: Supply of the pump\n    states: {weak: too few volts}\n    of_itself: {weak: 0.01}\n" + supplyRule,
		Good: "conditions:\n  supply:\n    label: Supply of the pump\n    states: {weak: too few volts}\n    of_itself: {weak: 0.01}\n" + supplyRule + supplyFault,
	},
	{
		ID: "nothing-shows", Title: "a state of a condition that no rule shows",
		Why: "No reading can tell whether the state is there, so it carries nothing from the readings to the faults. Write the rule that is missing, or " +
			"take the state away.",
		Bad:  "conditions:\n  supply:\n    label: Supply of the pump\n    states: {weak: too few volts}\n    of_itself: {weak: 0.01}\n",
		Good: "conditions:\n  supply:\n    label: Supply of the pump\n    states: {weak: too few volts}\n    of_itself: {weak: 0.01}\n" + supplyRule + supplyFault,
	},
	{
		ID: "never-raised", Title: "a fault that no rule can raise",
		Why: "No rule shows the fault more often than otherwise, and no rule shows a state that it brings. Whatever is read, the fault stays as probable as it is " +
			"common, and can lead only where all others are excluded.",
		Bad:  filterBlocked + filterSettle + filterRepair,
		Good: filterBlocked + filterSettle + filterRepair + filterBrings,
	},
	{
		ID: "unread-reading", Title: "a reading that nothing reads",
		Why: "No rule, no link and no derived reading names it, so taking it changes no verdict. A technician's minutes are wasted on it. Readings of the set-up list " +
			"are told in the verdict, and count as read.",
		Bad:  pumpVolts,
		Good: pumpVolts + example("volts-few", "The pump gets few volts", "pump_volts < 11") + voltsTaken,
	},
	{
		ID: "no-check", Title: "a reading that no check yields",
		Why: "A rule, a link, a derived reading or the set-up list wants it, and no check yields it: an interview never asks for it, and nobody is told how it is taken, with what and " +
			"in how many minutes. So what reads it is seldom answered. What is assumed needs no check.",
		Bad:  pumpVolts + example("volts-few", "The pump gets few volts", "pump_volts < 11"),
		Good: pumpVolts + example("volts-few", "The pump gets few volts", "pump_volts < 11") + voltsTaken,
	},
	{
		ID: "idle-check", Title: "a check that yields nothing used",
		Why:  "All that the check yields is read by nothing, so it can never be worth its minutes.",
		Bad:  pumpVolts + "    excuse: {unread-reading: for the job sheet}\n" + voltsTaken,
		Good: pumpVolts + example("volts-few", "The pump gets few volts", "pump_volts < 11") + voltsTaken,
	},
	{
		ID: "no-caution", Title: "a danger that no caution names",
		Why: "The words of a check or repair, or the names of what it yields, say that it meets fuel, exhaust, ignition or moving parts, and none of its cautions warns of that. " +
			"People get hurt by what nobody told them. Words can mislead; where there is no such danger, say so in an excuse.",
		Bad:  "checks:\n  return-line:\n    label: Return line into a glass\n    yields: [fuel_pressure]\n    minutes: 8\n    do: Lead the fuel into a glass\n",
		Good: "checks:\n  return-line:\n    label: Return line into a glass\n    yields: [fuel_pressure]\n    minutes: 8\n    do: Lead the fuel into a glass\n    cautions: [fuel-vapour]\n",
	},
	{
		ID: "no-steps", Title: "a check or preparation that does not say what to do",
		Why: "Its name is enough for whoever wrote it, and for nobody else. Two people who do it in two ways read two values, and the rules trust both.",
		Bad: "checks:\n  return-line:\n    label: Return line into a glass\n    yields: [fuel_pressure]\n    minutes: 8\n    cautions: [fuel-vapour]\n",
		Good: "checks:\n  return-line:\n    label: Return line into a glass\n    yields: [fuel_pressure]\n    minutes: 8\n    do: Lead the fuel into a glass\n" +
			"    cautions: [fuel-vapour]\n",
	},
	{
		ID: "no-settle", Title: "a fault that no check settles",
		Why: "Before a repair is begun it should be certain that it is the right one. Where no check settles the fault, nothing stands between a ranking and a part that is " +
			"changed in vain.",
		Bad:  filterBlocked + filterRepair + filterBrings,
		Good: filterBlocked + filterSettle + filterRepair + filterBrings,
	},
	{
		ID: "no-repair", Title: "a fault without its repair",
		Why: "What a check is worth depends on the minutes that a repair in vain would cost. Without the repair nobody can weigh it, and the technician who found the " +
			"fault is left alone with it.",
		Bad:  filterBlocked + filterSettle + filterBrings,
		Good: filterBlocked + filterSettle + filterRepair + filterBrings,
	},
	{
		ID: "idle-preparation", Title: "a preparation that no check needs",
		Why: "A preparation is made once for all checks that name it. Where none does, its minutes are counted into no check, and what it warns of is told to nobody.",
		Bad: gaugeFitted,
		Good: gaugeFitted + "checks:\n  gauge-at-rest:\n    label: Pressure with the pump off\n    yields: [fuel_pressure]\n    minutes: 8\n    prepare: [gauge-fitted]\n" +
			"    do: Stop the pump and read the gauge\n",
	},
	{
		ID: "no-because", Title: "a rule without its reason",
		Why:  "The reason stands in every explanation. Without it a technician can only believe the rule, and nobody can tell later whether a number in it is wrong.",
		Bad:  rule("pressure-poor", "says: The pressure is poor", "when: fuel_pressure < 4", "shows: {pump-worn: often}", "otherwise: rarely"),
		Good: example("pressure-poor", "The pressure is poor", "fuel_pressure < 4"),
	},
	{
		ID: "no-source", Title: "a figure of a vehicle without its source",
		Why:  "A figure is as good as where it comes from, and has to be looked up again when it is doubted. A source on the vehicle stands for all of its figures.",
		Bad:  "vehicles:\n  exemplar-2000:\n    label: Exemplar 2000\n    spec:\n      fuel_pressure: {from: 4.8, to: 5.3}\n",
		Good: "vehicles:\n  exemplar-2000:\n    label: Exemplar 2000\n    spec:\n      fuel_pressure: {from: 4.8, to: 5.3, source: invented}\n",
	},
	{
		ID: "no-figures", Title: "a question about figures that no vehicle has",
		Why: "ok(x), high(x) and low(x) need what the maker states of x, and reference(x) what it is set to. No vehicle of the pack has that, so the rule can tell " +
			"of none of them, and every verdict asks for the figure to be looked up. It can still tell where a job brings its own figures; then excuse it. A pack " +
			"without vehicles is left alone.",
		Bad:  pumpVolts + example("volts-few", "The pump gets few volts", "low(pump_volts)") + voltsTaken,
		Good: pumpVolts + example("volts-few", "The pump gets few volts", "pump_volts < 11") + voltsTaken,
	},
	{
		ID: "idle-excuse", Title: "an excuse that excuses nothing",
		Why:  "What it excused has been mended, or its name is misspelled. Left there, it would hide the next mistake of that kind. This cannot be excused.",
		Bad:  example("pressure-poor", "The pressure is poor", "fuel_pressure < 4", "excuse: {never-holds: the gauge sticks}"),
		Good: example("pressure-poor", "The pressure is poor", "fuel_pressure < 4"),
	},
}
