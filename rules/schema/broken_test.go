package schema

import (
	"strings"
	"testing"

	"culprit/engine"
)

// base has a file of each kind, in which rows below change one thing; the first word is the kind.
var base = map[string]string{
	"rules": `about: {label: L, notice: N}
readings:
  volts: {label: Volts, unit: V, plausible: {from: 0, to: 20 V}, accuracy: {within: 50 mV, percent: 1}}
  ready: {label: Ready, kind: yes/no, set_up: {must_be: yes, do: Make it ready}}
  look: {label: Look, kind: choice, among: [fine, poor]}
conditions:
  charge: {label: Charge, states: {low: Too low}, of_itself: {low: rarely}}
faults:
  flat: {label: Flat, per_1000: 20, brings: [{condition: charge, state: low, how_often: 0.9, given: ready}], settle: meter, repair: {minutes: 5, do: Charge it, needs: [charger], cautions: [acid]}}
rules:
  low-volts: {says: Low, given: ready, when: volts < 12, shows: {charge.low: usually}, otherwise: 0.02, because: Physics}
checks:
  meter: {label: Meter, yields: [volts], minutes: 2, do: [Hold it, Read it], cautions: [acid]}
cautions: {acid: Wear gloves}
vehicles:
  car: {label: Car, demo: yes, source: Invented, spec: {volts: {from: 12, to: 14.8 V, source: Invented}}}
`,
	"cases": `cases:
  one:
    name: One
    vehicle: brackenby-1800
    spec: {idle_speed: {reference: 850, within: 25 rpm}}
    readings:
      engine_warm: yes
      idle_speed: 860
      co: {value: 1.9, unit: '%', within: 0.06}
      sensor_trace: {every: 400 ms, values: [0.1, 0.8, 0.1, 0.8]}
      o2: null
    expect: [{fault: unmeasured-air, rank: 40, at_least: 0}]
    not_leading: [ignition-misfire]
    because: Every form
`,
	"job": `{"name": "N", "vehicle": "brackenby-1800",
 "spec": {"idle_speed": {"reference": 850, "within": "25 rpm"}},
 "readings": {"engine_warm": true, "idle_speed": 860, "co": {"value": 1.9, "unit": "%", "within": 0.06},
  "sensor_trace": {"every": "400 ms", "values": [0.1, null, 0.1, 0.8]}, "o2": null},
 "truth": ["unmeasured-air"]}`,
	"job with sets": `{"vehicle": "brackenby-1800", "sets": [{"label": "before", "readings": {"engine_warm": true, "idle_speed": 860}},
 {"label": "after", "note": "N", "repaired": ["unmeasured-air"], "found": "A split boot", "readings": {"idle_speed": 850}}]}`,
}

// edit changes one thing of a base file; old has to stand in it once.
func edit(t *testing.T, kind, old, new string) string {
	t.Helper()
	if strings.Count(base[kind], old) != 1 {
		t.Fatalf("%q stands in the %s %d times", old, kind, strings.Count(base[kind], old))
	}
	return strings.Replace(base[kind], old, new, 1)
}

func open(t testing.TB) *engine.Pack {
	t.Helper()
	p, err := engine.Open(engine.Sources{})
	if err != nil {
		t.Fatal(told(err))
	}
	return p
}

func TestBaseIsRight(t *testing.T) {
	pack := open(t)
	for name, text := range base {
		kind, _, _ := strings.Cut(name, " ")
		v, ok := value(kind, text)
		if !ok {
			t.Fatal(kind)
		}
		if err := validate(t, kind, v); err != nil {
			t.Errorf("%s: %.500v", kind, err)
		}
		if err := whole(t, pack, kind, text); err != nil {
			t.Errorf("%s: %s", kind, told(err))
		}
	}
}

// broken is what both the schema and the program refuse by its form alone.
var broken = []struct{ reason, kind, old, new string }{
	{"a section that nobody knows", "rules", "cautions: {acid", "warnings: {acid"},
	{"a key of a reading that nobody knows", "rules", "unit: V, plausible", "units: V, plausible"},
	{"a key of a plausible range that nobody knows", "rules", "{from: 0, to: 20 V}", "{from: 0, upto: 20 V}"},
	{"a reading without a label", "rules", "look: {label: Look, kind", "look: {kind"},
	{"a fault without a share", "rules", "per_1000: 20, ", ""},
	{"a rule without when", "rules", "when: volts < 12, ", ""},
	{"a rule without otherwise", "rules", "otherwise: 0.02, ", ""},
	{"a rule that shows nothing", "rules", "shows: {charge.low: usually}", "shows: {}"},
	{"a check without minutes", "rules", "minutes: 2, do: [", "do: ["},
	{"a check that yields an empty list", "rules", "yields: [volts]", "yields: []"},
	{"a check whose yields is a word", "rules", "yields: [volts]", "yields: volts"},
	{"a link without a state", "rules", "condition: charge, state: low,", "condition: charge,"},
	{"a set-up point without what to do", "rules", "{must_be: yes, do: Make it ready}", "{must_be: yes}"},
	{"a repair that is text", "rules", "repair: {minutes: 5, do: Charge it, needs: [charger], cautions: [acid]}", "repair: Charge it"},
	{"an id of a reading with a hyphen", "rules", "  look: {", "  the-look: {"},
	{"an id of a reading with a capital", "rules", "  look: {", "  Look: {"},
	{"an id of a fault with an underscore", "rules", "  flat: {", "  flat_battery: {"},
	{"an id that begins with a digit", "rules", "  meter: {", "  2nd: {"},
	{"an id of 65 letters", "rules", "  meter: {", "  " + strings.Repeat("m", 65) + ": {"},
	{"an id with a space in a list", "rules", "yields: [volts]", "yields: [the volts]"},
	{"a state with two dots", "rules", "shows: {charge.low:", "shows: {charge.low.down:"},
	{"a word for how often that nobody knows", "rules", "charge.low: usually", "charge.low: mostly"},
	{"a probability above one", "rules", "otherwise: 0.02", "otherwise: 1.02"},
	{"a probability below nought", "rules", "how_often: 0.9", "how_often: -0.1"},
	{"a probability in percent", "rules", "otherwise: 0.02", "otherwise: 2%"},
	{"a probability with a decimal comma", "rules", "otherwise: 0.02", "otherwise: '0,02'"},
	{"a share of nought", "rules", "per_1000: 20", "per_1000: 0"},
	{"a share of all", "rules", "per_1000: 20", "per_1000: 1000"},
	{"no minutes", "rules", "minutes: 2,", "minutes: 0,"},
	{"minutes with a unit", "rules", "minutes: 2,", "minutes: 2 min,"},
	{"a kind that nobody knows", "rules", "kind: choice", "kind: word"},
	{"a unit of a figure that nobody knows", "rules", "to: 20 V", "to: 20 bananas"},
	{"a figure that is no number", "rules", "to: 20 V", "to: V"},
	{"a figure with a decimal comma", "rules", "to: 14.8 V", "to: '14,8 V'"},
	{"a figure with limits of error", "rules", "to: 14.8 V", "to: 14.8 ± 0.1 V"},
	{"a figure that is a list", "rules", "from: 12,", "from: [12],"},
	{"a percent above a hundred", "rules", "percent: 1}", "percent: 101}"},
	{"a yes/no that is a number", "rules", "demo: yes", "demo: 1"},
	{"a yes/no in another language", "rules", "must_be: yes", "must_be: ja"},
	{"a label that is a number", "rules", "label: Volts", "label: 12"},
	{"a label that is empty", "rules", "label: Volts", "label: ' '"},
	{"a label that is nothing", "rules", "label: Volts", "label: null"},
	{"a label that is a list", "rules", "label: Volts", "label: [Volts]"},
	{"an expression that is nothing", "rules", "given: ready, when", "given: null, when"},
	{"an expression that is a list", "rules", "when: volts < 12", "when: [volts < 12]"},
	{"a choice among a word with a capital", "rules", "among: [fine, poor]", "among: [fine, Poor]"},
	{"tools that are numbers", "rules", "needs: [charger]", "needs: [13]"},
	{"brings that is no list", "rules", "brings: [{condition: charge, state: low, how_often: 0.9, given: ready}]", "brings: {condition: charge, state: low, how_often: 0.9, given: ready}"},
	{"cautions that are a list", "rules", "cautions: {acid: Wear gloves}", "cautions: [Wear gloves]"},
	{"a spec that is a number", "rules", "{from: 12, to: 14.8 V, source: Invented}", "12"},

	{"no cases", "cases", "cases:\n", "case:\n"},
	{"a case without a reason", "cases", "    because: Every form\n", ""},
	{"a key of a case that nobody knows", "cases", "not_leading:", "not-leading:"},
	{"an id of a case with a space", "cases", "  one:\n", "  the one:\n"},
	{"an expected fault without its id", "cases", "{fault: unmeasured-air, rank", "{rank"},
	{"an expected fault that is a word", "cases", "[{fault: unmeasured-air, rank: 40, at_least: 0}]", "[unmeasured-air]"},
	{"a rank of nought", "cases", "rank: 40", "rank: 0"},
	{"a rank with a fraction", "cases", "rank: 40", "rank: 1.5"},
	{"a chance above one", "cases", "at_least: 0", "at_least: 40"},
	{"a reading that is a list", "cases", "idle_speed: 860", "idle_speed: [860]"},
	{"a reading object without a value", "cases", "{value: 1.9, unit", "{unit"},
	{"a value as text", "cases", "value: 1.9,", "value: 1.9 %,"},
	{"limits below nought", "cases", "within: 0.06", "within: -0.06"},
	{"a trace without its interval", "cases", "{every: 400 ms, values", "{values"},
	{"a trace without samples", "cases", "values: [0.1, 0.8, 0.1, 0.8]", "values: []"},
	{"a trace with a lost sample", "cases", "0.1, 0.8, 0.1, 0.8]", "0.1, null, 0.1, 0.8]"},
	{"a trace with a unit of its own", "cases", "{every: 400 ms,", "{unit: V, every: 400 ms,"},
	{"an interval in a unit that nobody knows", "cases", "every: 400 ms", "every: 400 ticks"},
	{"a spec in a unit that nobody knows", "cases", "within: 25 rpm", "within: 25 turns"},
	{"a spec that is text", "cases", "spec: {idle_speed: {reference: 850, within: 25 rpm}}", "spec: {idle_speed: 850}"},

	{"a key of a job that nobody knows", "job", `"name"`, `"nme"`},
	{"a job without readings", "job", `"readings"`, `"truth of it"`},
	{"readings and sets", "job", `"truth": ["unmeasured-air"]`, `"sets": [{"readings": {}}]`},
	{"no readings, and no set", "job", `"readings": {`, `"sets": null, "truth": {`},
	{"a name that is a number", "job", `"N"`, `7`},
	{"a vehicle that is a list", "job", `"brackenby-1800"`, `["brackenby-1800"]`},
	{"figures with a key that nobody knows", "job", `"reference"`, `"nominal"`},
	{"figures that are text", "job", `{"reference": 850, "within": "25 rpm"}`, `"850"`},
	{"a figure that is true", "job", `"25 rpm"`, `true`},
	{"a reading that is a list in a job", "job", `860`, `[860]`},
	{"a reading object that is empty", "job", `{"value": 1.9, "unit": "%", "within": 0.06}`, `{}`},
	{"a value as text in a job", "job", `"value": 1.9`, `"value": "1.9 %"`},
	{"a unit that is a number", "job", `"unit": "%"`, `"unit": 1`},
	{"a key of a reading object that nobody knows", "job", `"within": 0.06`, `"accuracy": 0.06`},
	{"a trace without samples in a job", "job", `, "values": [0.1, null, 0.1, 0.8]`, ``},
	{"a trace with a value", "job", `"every": "400 ms"`, `"value": 1, "every": "400 ms"`},
	{"sets that are an object", "job with sets", `[{"label": "before", "readings": {"engine_warm": true, "idle_speed": 860}},`, `{"before": {"readings": {}}}, "truth": [{},`},
	{"a set without readings", "job with sets", `, "readings": {"idle_speed": 850}`, ``},
	{"a repaired fault that is no list", "job with sets", `["unmeasured-air"]`, `"unmeasured-air"`},
	{"a key of a set that nobody knows", "job with sets", `"found"`, `"seen"`},
	{"a sample that is text", "job", `[0.1, null`, `["0.1", null`},
}

func TestBroken(t *testing.T) {
	pack := open(t)
	seen := map[string]bool{}
	for _, c := range broken {
		if seen[c.reason] {
			t.Fatalf("two rows say %q", c.reason)
		}
		seen[c.reason] = true
		text := edit(t, c.kind, c.old, c.new)
		c.kind, _, _ = strings.Cut(c.kind, " ")
		v, ok := value(c.kind, text)
		if !ok {
			t.Errorf("%s: no data at all", c.reason)
		} else if validate(t, c.kind, v) == nil {
			t.Errorf("%s: the schema takes it", c.reason)
		}
		// What ids look like that are only named, and in cases and jobs what figures are, is left to the pack.
		if form(c.kind, text) == nil && whole(t, pack, c.kind, text) == nil {
			t.Errorf("%s: the program takes it", c.reason)
		}
	}
}
