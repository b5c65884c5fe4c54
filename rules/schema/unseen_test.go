package schema

import "testing"

// unseen is what the program refuses and no schema can see. docs/rule-files.md tells of it.
var unseen = []struct{ reason, kind, old, new string }{
	{"a reading that nothing defines", "rules", "yields: [volts]", "yields: [amps]"},
	{"a caution that nothing defines", "rules", "cautions: [acid]}\ncautions", "cautions: [fire]}\ncautions"},
	{"a state that its condition has not", "rules", "shows: {charge.low:", "shows: {charge.high:"},
	{"an expression that cannot be read", "rules", "when: volts < 12", "when: volts <"},
	{"an expression over a reading that nothing defines", "rules", "when: volts < 12", "when: amps < 12"},
	{"an expression that is no question", "rules", "when: volts < 12", "when: volts - 12"},
	{"a unit that does not fit the reading", "rules", "to: 20 V", "to: 20 bar"},
	{"a unit of a reading that nobody knows", "rules", "unit: V, plausible", "unit: bananas, plausible"},
	{"a range the wrong way round", "rules", "from: 12,", "from: 15,"},
	{"a reference without how far from it", "rules", "{from: 12, to: 14.8 V, source: Invented}", "{reference: 12}"},
	{"a link weaker than what comes of itself", "rules", "how_often: 0.9", "how_often: 0.001"},
	{"keys that do not go together", "rules", "kind: choice, among", "kind: number, among"},
	{"a key that another asks for", "rules", ", among: [fine, poor]", ""},
	{"an id of two things", "rules", "  flat: {label", "  charge: {label"},
	{"an id twice in a list", "rules", "among: [fine, poor]", "among: [fine, fine]"},
	{"a key twice", "rules", "minutes: 2,", "minutes: 2, minutes: 3,"},
	{"a yes in quotes, which YAML tells from a yes", "rules", "demo: yes", "demo: 'yes'"},
	{"a number that is not decimal", "rules", "per_1000: 20", "per_1000: 0x14"},
	{"a capital that changes a unit", "rules", "within: 50 mV", "within: 50 MV"},
	{"an anchor", "rules", "label: Volts", "label: &v Volts"},
	{"a case that expects nothing", "cases", "    expect: [{fault: unmeasured-air, rank: 40, at_least: 0}]\n    not_leading: [ignition-misfire]\n", ""},
	{"a fault that the pack has not", "cases", "not_leading: [ignition-misfire]", "not_leading: [ignition-misfires]"},
	{"a reading that the pack has not", "cases", "idle_speed: 860", "idle_sped: 860"},
	{"text where the reading is a number", "cases", "idle_speed: 860", "idle_speed: fast"},
	{"a vehicle that the pack has not", "job", `"brackenby-1800"`, `"brackenby"`},
	{"a reading that the pack of a job has not", "job", `"idle_speed": 860`, `"idle_sped": 860`},
	{"a choice for a number", "job", `860`, `"rough"`},
	{"figures that are incomplete", "job", `{"reference": 850, "within": "25 rpm"}`, `{}`},
	{"a trace of too few samples", "job", `[0.1, null, 0.1, 0.8]`, `[0.1]`},
}

func TestUnseen(t *testing.T) {
	pack := open(t)
	seen := map[string]bool{}
	for _, c := range unseen {
		if seen[c.reason] {
			t.Fatalf("two rows say %q", c.reason)
		}
		seen[c.reason] = true
		text := edit(t, c.kind, c.old, c.new)
		if c.reason != "a key twice" { // which the data of YAML has not
			v, ok := value(c.kind, text)
			if !ok {
				t.Errorf("%s: no data at all", c.reason)
			} else if err := validate(t, c.kind, v); err != nil {
				t.Errorf("%s: the schema sees it after all: %.500v", c.reason, err)
			}
		}
		if whole(t, pack, c.kind, text) == nil {
			t.Errorf("%s: the program takes it", c.reason)
		}
	}
}
