package engine

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// pumpPack is a pack small enough to say by hand what each repair can move: the
// pump moves pressure, flow and noise, the filter the flow, the lamp only itself.
const pumpPack = `
readings:
  ready: {label: Ready, kind: yes/no, set_up: {must_be: yes, do: Get it ready}}
  pressure: {label: Pressure, unit: bar, accuracy: {within: 0.1}}
  flow: {label: Flow, unit: L/min, accuracy: {within: 0.1}}
  share: {label: Flow for each bar, from: flow / pressure}
  noise: {label: Noise, kind: choice, among: [none, loud]}
  lamp_dark: {label: Lamp dark, kind: yes/no}
conditions:
  press: {label: Pressure, states: {low: too low}}
  delivery: {label: Delivery, states: {poor: too little}}
faults:
  pump: {label: Pump worn, per_1000: 50, brings: [{condition: press, state: low, how_often: 0.9}, {condition: delivery, state: poor, how_often: 0.8}]}
  filter: {label: Filter blocked, per_1000: 30, brings: [{condition: delivery, state: poor, how_often: 0.9}]}
  lamp: {label: Lamp broken, per_1000: 20}
rules:
  low: {says: Pressure is low, given: ready, when: low(pressure), shows: {press.low: 0.95}, otherwise: 0.03}
  poor: {says: Flow is poor, given: ready, when: low(flow), shows: {delivery.poor: 0.95}, otherwise: 0.03}
  thin: {says: Little flow for the pressure, given: ready, when: share < 1, shows: {filter: 0.7}, otherwise: 0.05}
  loud: {says: It is loud, when: noise == "loud", shows: {pump: 0.8}, otherwise: 0.1}
  dark: {says: The lamp is dark, when: lamp_dark, shows: {lamp: 0.9}, otherwise: 0.02}
checks:
  gauges: {label: Gauges, yields: [pressure, flow], minutes: 10}
  slow-flow: {label: Bucket, yields: [flow], minutes: 30}
  listen: {label: Listen, yields: [noise], minutes: 1}
`

// pumpJob makes a job of the pump pack: pressure is in order from 3 to 5 bar, flow
// from 4 to 6 L/min.
func pumpJob(t *testing.T, sets string) *Job {
	t.Helper()
	return parse(t, `{"spec": {"pressure": {"from": 3, "to": 5}, "flow": {"from": 4, "to": 6}}, "sets": [`+sets+`]}`)
}

// told writes a follow-up in a few lines.
func told(v *Verdict) string {
	f := v.FollowUp
	var b strings.Builder
	fmt.Fprintf(&b, "in order: %v", f.InOrder)
	list := func(lead string, all []string) {
		if len(all) > 0 {
			fmt.Fprintf(&b, "; %s: %s", lead, strings.Join(all, ", "))
		}
	}
	var repaired []string
	for _, d := range f.Repaired {
		repaired = append(repaired, fmt.Sprintf("%s %s %v%v", d.Fault, d.Outcome, d.Changed, d.Same))
	}
	list("repaired", repaired)
	list("out", f.Out)
	odd := func(all []Odd) (out []string) {
		for _, o := range all {
			out = append(out, o.Rule+map[bool]string{true: " (new)"}[o.New])
		}
		return out
	}
	list("odd", odd(f.StillOdd))
	list("cleared", odd(f.Cleared))
	list("open", odd(f.Open))
	var changes, carried, again []string
	for _, c := range f.Changes {
		text := c.Reading + map[bool]string{true: " changed", false: " same"}[c.Changed]
		if c.Expected != "" {
			text += " expected " + c.Expected
		}
		changes = append(changes, text+map[bool]string{true: " unrelated"}[c.Unrelated])
	}
	list("changes", changes)
	for _, c := range f.CarriedOver {
		carried = append(carried, c.Reading+" of "+c.Set)
	}
	list("carried over", carried)
	for _, n := range f.NotAgain {
		text := fmt.Sprintf("%s %v", n.Reading, n.Faults)
		if n.Check != nil {
			text += " " + n.Check.Check
		}
		again = append(again, text+map[bool]string{true: " odd"}[n.WasOdd])
	}
	list("not again", again)
	return b.String()
}

// TestFollowUp: what each job comes to was worked out by hand from the pack.
// Readings of limits ±0.1 have u = 0.0577, their difference 0.0816, so that 0.163
// is the least that counts as a change.
func TestFollowUp(t *testing.T) {
	p := tiny(t, pumpPack)
	const before = `{"label": "before", "readings": {"ready": true, "pressure": 2, "flow": 1.8, "noise": "loud", "lamp_dark": false}}, `
	fresh := reasons(t)
	for _, c := range []struct{ because, sets, want string }{
		{"repaired, and all is well",
			before + `{"repaired": ["pump"], "readings": {"ready": true, "pressure": 4, "flow": 5, "noise": "none"}}`,
			"in order: true; repaired: pump removed [pressure flow noise][]; cleared: low, poor, thin, loud; " +
				"changes: pressure changed expected up, flow changed expected up, share changed, noise changed; carried over: lamp_dark of before"},
		{"nothing changed, so the pump is not ruled out",
			before + `{"repaired": ["pump"], "readings": {"ready": true, "pressure": 2.1, "flow": 1.9, "noise": "loud"}}`,
			"in order: false; repaired: pump no change [][pressure flow noise]; out: pressure, flow; odd: low, poor, thin, loud; " +
				"changes: pressure same expected up, flow same expected up, share same, noise same; carried over: lamp_dark of before"},
		{"one odd reading changed: out, although another is as it was",
			before + `{"repaired": ["pump"], "readings": {"ready": true, "pressure": 4, "flow": 1.8, "noise": "none"}}`,
			"in order: false; repaired: pump removed [pressure noise][flow]; out: flow; odd: poor, thin; cleared: low, loud; " +
				"changes: pressure changed expected up, flow same expected up, share changed, noise changed; carried over: lamp_dark of before"},
		{"two faults, one of which was repaired: the lamp stays dark, and counts as before",
			`{"label": "a", "readings": {"ready": true, "pressure": 2, "flow": 5, "lamp_dark": true}}, {"repaired": ["pump"], "readings": {"ready": true, "pressure": 4, "flow": 5}}`,
			"in order: false; repaired: pump removed [pressure][]; odd: dark; cleared: low; " +
				"changes: pressure changed expected up, flow same, share changed; carried over: lamp_dark of a"},
		{"measured again in part: the rest could have moved and counts no more",
			before + `{"repaired": ["pump"], "readings": {"ready": true, "pressure": 4}}`,
			"in order: false; repaired: pump removed [pressure][]; cleared: low; open: poor, thin, loud; changes: pressure changed expected up; " +
				"carried over: lamp_dark of before; not again: flow [pump] gauges odd, noise [pump] listen odd"},
		{"nothing measured again: out on the word of the repair",
			before + `{"repaired": ["filter"], "readings": {}}`,
			"in order: false; repaired: filter not confirmed [][]; odd: loud; open: low, poor, thin; " +
				"carried over: noise of before, lamp_dark of before; not again: pressure [filter] gauges odd, flow [filter] gauges odd"},
		{"a repair of what was never odd rests on itself, and what it could not move is told",
			before + `{"repaired": ["lamp"], "readings": {"ready": true, "pressure": 4, "flow": 5, "noise": "loud", "lamp_dark": false}}`,
			"in order: false; repaired: lamp not confirmed [][]; odd: loud; cleared: low, poor, thin; " +
				"changes: pressure changed unrelated, flow changed unrelated, share changed unrelated, noise same, lamp_dark same"},
		{"no repair: all carries over, the set-up too, and a change has no reason",
			before + `{"readings": {"pressure": 4}}`,
			"in order: false; out: flow; odd: poor, thin, loud; cleared: low; changes: pressure changed unrelated, share changed unrelated; " +
				"carried over: ready of before, flow of before, noise of before, lamp_dark of before"},
		{"after a repair the set-up has to be said again before a rule that needs it counts",
			before + `{"repaired": ["pump"], "readings": {"pressure": 4, "flow": 5, "noise": "none"}}`,
			"in order: false; repaired: pump removed [pressure flow noise][]; cleared: loud; open: low, poor, thin; " +
				"changes: pressure changed expected up, flow changed expected up, share changed, noise changed; carried over: lamp_dark of before"},
		{"nobody said how the car was set up, neither before nor after: what was odd still shows what changed",
			`{"label": "a", "readings": {"pressure": 2}}, {"repaired": ["pump"], "readings": {"pressure": 4}}`,
			"in order: false; repaired: pump removed [pressure][]; open: low; changes: pressure changed expected up"},
		{"new trouble after a repair",
			`{"readings": {"ready": true, "pressure": 4, "flow": 1.8}}, {"repaired": ["filter"], "readings": {"ready": true, "pressure": 4, "flow": 7, "lamp_dark": true}}`,
			"in order: false; repaired: filter removed [flow share][]; out: flow; odd: dark (new); cleared: poor, thin; " +
				"changes: pressure same, flow changed expected up, share changed expected up"},
		{"the first repair changed nothing, the second did",
			before + `{"label": "b", "repaired": ["filter"], "readings": {"ready": true, "pressure": 2, "flow": 1.8}}, {"label": "c", "repaired": ["pump"], "readings": {"ready": true, "pressure": 4, "flow": 5, "noise": "none"}}`,
			"in order: true; repaired: filter no change [][flow share], pump removed [pressure flow noise][]; cleared: low, poor, thin, loud; " +
				"changes: pressure changed expected up, flow changed expected up, share changed, noise changed; carried over: lamp_dark of before"},
		{"repaired twice: the last time counts",
			before + `{"label": "b", "repaired": ["pump"], "readings": {"ready": true, "pressure": 2, "flow": 1.8}}, {"label": "c", "repaired": ["pump"], "readings": {"ready": true, "pressure": 4, "flow": 5, "noise": "none"}}`,
			"in order: true; repaired: pump no change [][pressure flow], pump removed [pressure flow noise][]; cleared: low, poor, thin, loud; " +
				"changes: pressure changed expected up, flow changed expected up, share changed, noise changed; carried over: lamp_dark of before"},
	} {
		fresh(c.because)
		t.Run(c.because, func(t *testing.T) {
			v := diagnose(t, p, pumpJob(t, c.sets))
			checkVerdict(t, v)
			if diff := cmp.Diff(strings.Split(c.want, "; "), strings.Split(told(v), "; ")); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}
