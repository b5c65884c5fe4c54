package rulefile

import (
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"culprit/engine/quantity"
	"culprit/engine/truth"
)

// folder makes a folder of files from names and texts in turn.
func folder(name string, files ...string) Folder {
	m := fstest.MapFS{}
	for i := 0; i < len(files); i += 2 {
		m[files[i]] = &fstest.MapFile{Data: []byte(files[i+1])}
	}
	return Folder{name, m}
}

// load gives the pack of one file that must be right.
func load(t testing.TB, text string) *Pack {
	t.Helper()
	p, err := Load(folder("", "a.yaml", text))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// everyKey uses every key there is; TestEveryKeyIsUsed holds it to that.
const everyKey = `about:
  {label: Demo pack, doc: For tests, notice: Invented figures, last_resort: {label: Hand it on, minutes: 240, do: Write all down}}
readings:
  coolant_temp:
    label: Coolant
    kind: number
    unit: degC
    plausible: {from: 32 degF, to: 130}
    accuracy: {within: 3.6 degF, percent: 1}
    how: Clip the probe to the hose.
    doc: Warm from 80 up.
  engine_warm: {label: Engine warm, kind: yes/no, from: coolant_temp > 75, set_up: {must_be: yes, do: Warm it up, minutes: 10, stays: no}}
  just_set: {label: Just set, kind: yes/no, assume: no}
  current: {label: Current, unit: mA}
  trim: {label: Trim, unit: mA, from: current - reference(current)}
  quality: {label: Idle quality, kind: choice, among: [steady, rough]}
  volts: {label: Trace, kind: trace, unit: V, plausible: {to: 1.1}}
  toggling: {label: Toggling, kind: yes/no, from: toggles(volts)}
  leak_found: {label: Leak found, kind: yes/no}
conditions:
  trim-state:
    label: What the unit does
    doc: In closed loop.
    states: {adding: adds fuel, taking: takes fuel}
    of_itself: {adding: rarely, taking: 0.02}
faults:
  air:
    label: Air leak
    per_1000: 120
    doc: Behind the plate.
    brings:
      - {condition: trim-state, state: adding, how_often: usually, given: engine_warm}
      - {condition: trim-state, state: taking, how_often: 0.02}
    settle: smoke
    repair: {minutes: 40, do: Replace the boot, needs: [screwdriver], cautions: [heat]}
rules:
  current-high:
    says: The current is high
    given: engine_warm and not just_set
    when: high(current) // above its range
    shows: {trim-state.adding: nearly-always, air: always}
    otherwise: rarely
    because: The unit adds fuel.
    doc: The mean, not the swing.
    excuse: {always-holds: Not in this car.}
  quality-rough: {says: It runs rough, when: quality == "rough", shows: {trim-state.adding: often}, otherwise: seldom, alternatives: quality}
  quality-steady: {says: It runs steady, when: quality == "steady", shows: {trim-state.adding: sometimes}, otherwise: often, alternatives: quality}
checks:
  smoke: {label: Smoke test, yields: [leak_found, toggling], minutes: 20, needs: [smoke machine], do: [Plug it, Look], cautions: [fire], prepare: [inlet-closed], doc: At the intake.}
  look: {label: Look, yields: [quality], minutes: 1, do: Listen}
preparations:
  inlet-closed: {label: Inlet closed, minutes: 4.5, needs: [plug, smoke machine], do: [Stop it, Close it], cautions: [heat, fire], doc: Before the plate., excuse: {unused: So}}
cautions:
  fire: No flame or spark.
  heat: Hot parts.
vehicles:
  demo-1800:
    label: Demo 1800
    demo: yes
    source: Invented
    doc: A car of four cylinders.
    spec:
      trim: {from: -2, to: 2}
      current: {reference: 10, within: 0.002 A, source: common practice}
      coolant_temp: {reference: 90, from: 176 degF}
`

func TestLoadGivesWhatIsWritten(t *testing.T) {
	p := load(t, everyKey)

	if p.About.Label != "Demo pack" || p.About.Doc != "For tests" || p.About.Notice != "Invented figures" {
		t.Errorf("about: %+v", p.About)
	}
	if last := p.About.LastResort; last == nil || last.Label != "Hand it on" || last.Minutes != 240 || last.Do != "Write all down" || last.At.Line != 2 {
		t.Errorf("last resort: %+v", last)
	}

	temp := p.Reading("coolant_temp")
	degC, _ := quantity.ParseUnit("degC")
	if temp.Unit != degC || temp.Kind != truth.Number || temp.Index != 0 || temp.How == "" || temp.Doc == "" {
		t.Errorf("coolant_temp: %+v", temp)
	}
	// 32 degF is 0 degC; a difference of 3.6 degF is 2 degC (by definition of the scale).
	if math.Abs(temp.Plausible.From) > 1e-12 || temp.Plausible.To != 130 || math.Abs(temp.Accuracy.Within-2) > 1e-12 || temp.Accuracy.Percent != 1 {
		t.Errorf("coolant_temp: plausible %+v, accuracy %+v", *temp.Plausible, temp.Accuracy)
	}
	warm := p.Reading("engine_warm")
	if warm.SetUp == nil || !warm.SetUp.MustBe || warm.SetUp.Do != "Warm it up" || warm.SetUp.Minutes != 10 || warm.Assume != nil || !slices.Equal(warm.From.Reads(), []int{0}) {
		t.Errorf("engine_warm: %+v", warm)
	}
	if set := p.Reading("just_set"); set.Assume == nil || *set.Assume || set.SetUp != nil {
		t.Errorf("just_set: %+v", set)
	}
	if q := p.Reading("quality"); !slices.Equal(q.Among, []string{"steady", "rough"}) {
		t.Errorf("quality: %+v", q)
	}
	if v := p.Reading("volts"); v.Kind != truth.Trace || !math.IsInf(v.Plausible.From, -1) || v.Plausible.To != 1.1 {
		t.Errorf("volts: %+v", v)
	}
	if e := p.Scope.From(p.Reading("trim").Index); e == nil || e != p.Reading("trim").From {
		t.Error("trim is not derived in the scope")
	}

	state := p.Condition("trim-state")
	if len(state.States) != 2 || state.States[0] != (State{"adding", state.States[0].At, "adds fuel", 0.03, state.States[0].OfItselfAt}) || state.States[1].OfItself != 0.02 {
		t.Errorf("trim-state: %+v", state)
	}
	if at := state.States[0].OfItselfAt; at.Line <= state.States[0].At.Line {
		t.Errorf("of_itself is at %v, before the state itself", at)
	}
	if state.State("taking") != 1 || state.State("none") != -1 {
		t.Error("states by id")
	}

	air := p.Fault("air")
	if air.Per1000 != 120 || air.Settle != p.Check("smoke") || len(air.Brings) != 2 || air.Doc == "" {
		t.Errorf("air: %+v", air)
	}
	if l := air.Brings[0]; l.Condition != state || l.State != 0 || l.Strength != 0.80 || l.Given == nil || l.GivenText != "engine_warm" {
		t.Errorf("first link: %+v", l)
	}
	if l := air.Brings[1]; l.State != 1 || l.Strength != 0.02 || l.Given != nil {
		t.Errorf("second link: %+v", l)
	}
	if r := air.Repair; r.Minutes != 40 || r.Do != "Replace the boot" || !slices.Equal(r.Needs, []string{"screwdriver"}) || r.Cautions[0] != p.Caution("heat") {
		t.Errorf("repair: %+v", r)
	}

	high := p.Rule("current-high")
	if want := []Excuse{{"always-holds", "Not in this car.", high.Excuses[0].At}}; !slices.Equal(high.Excuses, want) || high.Excuses[0].At.Column != 14 {
		t.Errorf("current-high: excuses %+v", high.Excuses)
	}
	if high.Because == "" || high.Doc == "" || high.Says != "The current is high" || high.Otherwise != 0.03 || high.Alternatives != nil {
		t.Errorf("current-high: %+v", high)
	}
	if len(high.Shows) != 2 || high.Shows[0].Condition != state || high.Shows[0].State != 0 || high.Shows[0].Strength != 0.95 ||
		high.Shows[1].Fault != air || high.Shows[1].Condition != nil || high.Shows[1].Strength != 0.99 {
		t.Errorf("current-high shows %+v", high.Shows)
	}
	// The readings of both parts, by index: engine_warm 1, just_set 2, current 3.
	if !slices.Equal(high.Both.Reads(), []int{1, 2, 3}) || !slices.Equal(high.When.Reads(), []int{3}) || !slices.Equal(high.Given.Reads(), []int{1, 2}) {
		t.Errorf("current-high reads %v, of these when %v, given %v", high.Both.Reads(), high.When.Reads(), high.Given.Reads())
	}
	rough := p.Rule("quality-rough")
	if rough.Given != nil || rough.Both != rough.When {
		t.Error("a rule without given: both parts are not when alone")
	}
	if len(p.Alternatives) != 1 || p.Alternatives[0] != rough.Alternatives || p.Alternatives[0].Name != "quality" || p.Alternatives[0].Condition != state ||
		!slices.Equal(p.Alternatives[0].Rules, []*Rule{rough, p.Rule("quality-steady")}) {
		t.Errorf("alternatives: %+v", p.Alternatives)
	}

	smoke := p.Check("smoke")
	if !slices.Equal(smoke.Yields, []int{8, 7}) || smoke.Minutes != 20 || !slices.Equal(smoke.Do, []string{"Plug it", "Look"}) ||
		!slices.Equal(smoke.Cautions, []*Caution{p.Caution("fire"), p.Caution("heat")}) || smoke.Doc == "" || smoke.Needs[0] != "smoke machine" {
		t.Errorf("smoke: %+v", smoke)
	}
	if look := p.Check("look"); !slices.Equal(look.Do, []string{"Listen"}) {
		t.Errorf("look: %+v", look)
	}

	closed := p.Preparation("inlet-closed")
	if !slices.Equal(smoke.Prepare, []int{closed.Index}) || p.Preparations[0] != closed || closed.Minutes != 4.5 || closed.Label != "Inlet closed" ||
		closed.Doc == "" || !slices.Equal(closed.Do, []string{"Stop it", "Close it"}) || len(closed.Excuses) != 1 {
		t.Errorf("inlet-closed: %+v", closed)
	}
	// A check needs what its preparations need, and meets what they meet, each once and its own first.
	if !slices.Equal(smoke.Needs, []string{"smoke machine", "plug"}) || !slices.Equal(closed.Needs, []string{"plug", "smoke machine"}) ||
		!slices.Equal(closed.Cautions, []*Caution{p.Caution("heat"), p.Caution("fire")}) {
		t.Errorf("tools and cautions of smoke: %+v; of its preparation: %+v", smoke, closed)
	}

	car := p.Vehicle("demo-1800")
	if !car.Demo || car.Source != "Invented" || car.Doc == "" || len(car.Specs) != 3 {
		t.Errorf("demo-1800: %+v", car)
	}
	if s, ok := car.Spec(3); !ok || s != (truth.Spec{From: 8, To: 12, Reference: 10, HasFrom: true, HasTo: true, HasReference: true}) {
		t.Errorf("spec of current: %+v", s)
	}
	// 176 degF is 80 degC (by definition of the scale).
	if s, _ := car.Spec(0); math.Abs(s.From-80) > 1e-12 || s.HasTo || s.Reference != 90 {
		t.Errorf("spec of coolant_temp: %+v", s)
	}
	if _, ok := car.Spec(5); ok {
		t.Error("a spec that nobody gave")
	}
	if car.Specs[1].Source != "common practice" {
		t.Errorf("source of a figure: %+v", car.Specs)
	}
	if p.Reading("none") != nil || p.Rule("") != nil {
		t.Error("ids that are not there")
	}
}

// Places are where a person would look.
func TestLoadKeepsPlaces(t *testing.T) {
	p := load(t, everyKey)
	for _, row := range []struct{ what, got, text string }{
		{"a reading", p.Reading("engine_warm").At.String(), "engine_warm: {"},
		{"its expression", p.Reading("engine_warm").FromAt.Pos.String(), "coolant_temp > 75"},
		{"a condition", p.Condition("trim-state").At.String(), "trim-state:\n"},
		{"a state", p.Condition("trim-state").States[1].At.String(), "taking: takes"},
		{"a fault", p.Fault("air").At.String(), "air:\n"},
		{"a link", p.Fault("air").Brings[1].At.String(), "{condition: trim-state, state: taking"},
		{"its given", p.Fault("air").Brings[0].GivenAt.Pos.String(), "engine_warm}\n"},
		{"a rule", p.Rule("current-high").At.String(), "current-high:\n"},
		{"its given", p.Rule("current-high").GivenAt.Pos.String(), "engine_warm and not"},
		{"its when", p.Rule("current-high").WhenAt.Pos.String(), "high(current)"},
		{"what it shows", p.Rule("current-high").Shows[1].At.String(), "air: always"},
		{"a check", p.Check("look").At.String(), "look: {"},
		{"a preparation", p.Preparation("inlet-closed").At.String(), "inlet-closed: {"},
		{"a caution", p.Caution("heat").At.String(), "heat: Hot"},
		{"a vehicle", p.Vehicle("demo-1800").At.String(), "demo-1800:"},
		{"its figure", p.Vehicle("demo-1800").Specs[2].At.String(), "trim: {from"},
	} {
		file := p.Rules[0].At.File
		if want := file.PosAt(strings.Index(everyKey, row.text)).String(); row.got != want {
			t.Errorf("%s stands at %s, want %s", row.what, row.got, want)
		}
	}
}

// Law: the order of files and folders changes nothing but the order of things.
func TestOrderOfFilesDoesNotMatter(t *testing.T) {
	parts := strings.SplitAfter(everyKey, "\n")
	var sections []string
	for _, line := range parts {
		if line != "" && line[0] != ' ' {
			sections = append(sections, "")
		}
		if len(sections) > 0 {
			sections[len(sections)-1] += line
		}
	}
	whole := load(t, everyKey)
	for _, name := range []string{"forward", "backward"} {
		var folders []Folder
		for i, s := range sections {
			folders = append(folders, folder(string(rune('a'+i)), "x.yaml", s))
		}
		if name == "backward" {
			slices.Reverse(folders)
		}
		p, err := Load(folders...)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for i, r := range whole.Rules {
			if got := p.Rules[i]; got.ID != r.ID || len(got.Shows) != len(r.Shows) || !slices.Equal(got.Both.Reads(), r.Both.Reads()) {
				t.Errorf("%s: rule %s is %+v", name, r.ID, got)
			}
		}
	}
}
