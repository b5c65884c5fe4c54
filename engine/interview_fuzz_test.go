package engine

import (
	"strings"
	"testing"
)

// small has everything that an interview asks about, and is quick.
const small = `
readings:
  complaint: {label: Complaint, kind: choice, among: [none, weak, stalls]}
  temp: {label: Temperature, unit: degC, plausible: {from: -40, to: 140}, accuracy: {within: 2}}
  warm: {label: Warm, kind: yes/no, from: temp >= 75, set_up: {must_be: yes, minutes: 10, do: Warm it up}}
  plugged: {label: Plugged in, kind: yes/no, assume: yes, set_up: {must_be: yes, minutes: 1, do: Plug it in}}
  duty: {label: Duty, unit: '%', plausible: {from: 0, to: 100}, accuracy: {within: 1}}
  leak: {label: Leak, kind: yes/no}
conditions:
  air: {label: Air, states: {spare: there is too much of it}}
faults:
  hole: {label: A hole, per_1000: 100, brings: [{condition: air, state: spare, how_often: usually}], settle: smoke, repair: {minutes: 40, do: Close it}}
  screw: {label: A screw, per_1000: 50, brings: [{condition: air, state: spare, how_often: usually}], settle: read, repair: {minutes: 5, do: Turn it}}
rules:
  weak: {says: It is weak, when: complaint == "weak", shows: {hole: sometimes}, otherwise: seldom, because: It is.}
  low: {says: The duty is low, given: warm and plugged, when: low(duty), shows: {air.spare: nearly-always}, otherwise: rarely, because: It is.}
  smoke: {says: Smoke comes out, when: leak, shows: {hole: nearly-always}, otherwise: hardly-ever, because: It does.}
checks:
  ask: {label: Ask, yields: [complaint], minutes: 1, do: [Ask]}
  list: {label: List, yields: [warm, temp, plugged], minutes: 2, do: [Look]}
  read: {label: Read, yields: [duty], minutes: 3, do: [Read]}
  smoke: {label: Smoke, yields: [leak], minutes: 20, do: [Look]}
vehicles:
  car: {label: A car, spec: {duty: {reference: 28, within: 1}}}
`

// FuzzInterview: whatever lines come, nothing panics or fails; going back all the
// way ends at the beginning, and what is kept ranks as what is there.
func FuzzInterview(f *testing.F) {
	p := tiny(f, small)
	for _, seed := range []string{
		"", "car\nweak\nyes\nyes\n15\nyes\nyes\na hole\nyes\n28\nno\nnone", "1\n2\n40 degC\nyes\n\n200\n\nback\n28\nskip\nagain",
		"1\nnone\n90\nno\n\n15 %\nno\nno", "back\nback\n=\nduty=\nduty=\"25.2 deg dwell4\" leak=yes", "\x00\n\xff\n1e999\nNaN\ninf\n-0\n0x1p3\nduty=1 duty=2",
		"1\n\n\n\n15\nyes\nhole screw\n\nno\nno\nyes\n15\nyes\nyes\n\nyes\n28", "again\nskip\nskip\nskip\nskip\nskip\nback\nstop",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		iv := begin(t, p, &Job{})
		first := iv.written(t)
		lines := strings.Split(text, "\n")
		for _, line := range lines[:min(len(lines), 60)] {
			before := iv.Answers()
			var r Reply
			var err error
			switch line {
			case "back":
				iv.Back()
				continue
			case "skip":
				r, err = iv.PassOver(t.Context())
			case "again":
				r, err = iv.AskAgain(t.Context())
			default:
				r, err = iv.Answer(t.Context(), strings.ToValidUTF8(line, "\uFFFD"))
			}
			if err != nil {
				t.Fatal(err)
			}
			if taken := iv.Answers() == before+1; taken == (r.Refused != "") {
				t.Fatalf("%q: %+v, and %d answers after %d", line, r, iv.Answers(), before)
			}
		}
		checkKept(t, iv)
		for iv.Back() {
		}
		if iv.written(t) != first {
			t.Fatalf("all the way back is %s", iv.written(t))
		}
	})
}
