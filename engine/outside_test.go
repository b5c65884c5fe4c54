package engine

import (
	"math"
	"testing"
)

// burglary is Pearl's alarm as in Russell and Norvig, "Artificial Intelligence: A
// Modern Approach", 3rd edition 2010, figure 14.2 and section 14.4 (edition and
// numbers of figure and section from memory): P(B) .001, P(E) .002,
// P(A|B) .94, P(A|E) .29, P(A|neither) .001, P(J|A) .90/.05, P(M|A) .70/.01,
// typed in as printed. The printed P(A|B,E) is .95; the noisy-OR has .957357,
// which moves what is compared here by less than the tolerances.
const burglary = `
readings:
  john_calls: {label: John calls, kind: yes/no}
  mary_calls: {label: Mary calls, kind: yes/no}
  alarm_seen: {label: The alarm was seen ringing, kind: yes/no}
conditions:
  alarm: {label: The alarm, states: {rings: it rings}, of_itself: {rings: 0.001}}
faults:
  burglary: {label: Burglary, per_1000: 1, brings: [{condition: alarm, state: rings, how_often: 0.94}]}
  earthquake: {label: Earthquake, per_1000: 2, brings: [{condition: alarm, state: rings, how_often: 0.29}]}
rules:
  john: {says: John calls, when: john_calls, shows: {alarm.rings: 0.90}, otherwise: 0.05}
  mary: {says: Mary calls, when: mary_calls, shows: {alarm.rings: 0.70}, otherwise: 0.01}
  alarm: {says: The alarm rings, when: alarm_seen, shows: {alarm.rings: 1}, otherwise: 0}
`

// TestBurglary goes the whole way, from rules and readings to the verdict.
func TestBurglary(t *testing.T) {
	p := tiny(t, burglary)
	fresh := reasons(t)
	for _, c := range []struct {
		source   string
		readings string
		fault    string
		want, by float64
	}{
		{"both call: printed as .284; .284172 by enumeration of the printed tables", `"john_calls": true, "mary_calls": true`, "burglary", 0.284172, 2e-5},
		{"both call, the earthquake: by enumeration of the printed tables", `"john_calls": true, "mary_calls": true`, "earthquake", 0.176067, 5e-5},
		{"John alone is known: by enumeration", `"john_calls": true`, "burglary", 0.016284, 2e-6},
		{"Mary alone is known: by enumeration", `"mary_calls": true, "john_calls": null`, "burglary", 0.056117, 2e-5},
		{"John calls and Mary does not: printed as .00513", `"john_calls": true, "mary_calls": false`, "burglary", 0.005130, 2e-6},
		{"Mary calls and John does not: by enumeration", `"john_calls": false, "mary_calls": true`, "burglary", 0.006876, 2e-6},
		{"the alarm was seen: by enumeration", `"alarm_seen": true`, "burglary", 0.373551, 2e-5},
		{"nothing is known: the prior", ``, "burglary", 0.001, 1e-15},
	} {
		fresh(c.source)
		v := diagnose(t, p, parse(t, `{"readings": {`+c.readings+`}}`))
		around(t, c.source, v.fault(t, c.fault).Probability, c.want, c.by)
	}
	v := diagnose(t, p, parse(t, `{"readings": {"john_calls": true, "mary_calls": true}}`))
	around(t, "P(A|j,m), by enumeration of the printed tables", v.Conditions[0].States[0].Probability, 0.760692, 1e-5)
	around(t, "P(j,m), by enumeration of the printed tables", math.Exp(v.LogEvidence), 0.0020841, 1e-7)
	// Four combinations with the noisy-OR's .957357 for both: what is neither of
	// the two is 1 - P(B) - P(E) + P(B and E).
	both := 0.001 * 0.002 * (0.957357*0.9*0.7 + (1-0.957357)*0.05*0.01) / math.Exp(v.LogEvidence)
	around(t, "neither", v.NoFault, 1-v.fault(t, "burglary").Probability-v.fault(t, "earthquake").Probability+both, 1e-9)
}

// TestFever is the noisy-OR table of Russell and Norvig, same edition, section 14.3:
// inhibitions cold .6, flu .2, malaria .1; all eight rows, as what the verdict
// says of the condition once the faults are known by rules that prove them.
func TestFever(t *testing.T) {
	p := tiny(t, `
readings:
  cold: {label: Cold, kind: yes/no}
  flu: {label: Flu, kind: yes/no}
  malaria: {label: Malaria, kind: yes/no}
  hot: {label: Feels hot, kind: yes/no}
conditions:
  fever: {label: Fever, states: {present: fever}}
faults:
  a: {label: Cold, per_1000: 100, brings: [{condition: fever, state: present, how_often: 0.4}]}
  b: {label: Flu, per_1000: 100, brings: [{condition: fever, state: present, how_often: 0.8}]}
  c: {label: Malaria, per_1000: 100, brings: [{condition: fever, state: present, how_often: 0.9}]}
rules:
  ra: {says: Cold, when: cold, shows: {a: 1}, otherwise: 0}
  rb: {says: Flu, when: flu, shows: {b: 1}, otherwise: 0}
  rc: {says: Malaria, when: malaria, shows: {c: 1}, otherwise: 0}
  rf: {says: Hot, when: hot, shows: {fever.present: 0.5}, otherwise: 0.5}
`)
	// Printed, from none of them to all: 0, .9, .8, .98, .4, .94, .88, .988.
	for i, want := range []float64{0, 0.9, 0.8, 0.98, 0.4, 0.94, 0.88, 0.988} {
		v := diagnose(t, p, job(map[string]Value{"cold": YesNo(i&4 > 0), "flu": YesNo(i&2 > 0), "malaria": YesNo(i&1 > 0), "hot": YesNo(true)}))
		around(t, "fever", v.Conditions[0].States[0].Probability, want, 1e-12)
	}
}

// TestDecibans: with even odds and one rule, the weight of evidence is
// 10 log10 of the likelihood ratio (Good 1950, "Probability and the Weighing of
// Evidence"; from memory): 3.0103 for 2, 6.0206 for 4, 10 for 10, -10 for a tenth.
func TestDecibans(t *testing.T) {
	p := tiny(t, `
readings:
  two: {label: Two, kind: yes/no}
  four: {label: Four, kind: yes/no}
  ten: {label: Ten, kind: yes/no}
faults: {f: {label: Fault, per_1000: 500}}
rules:
  r2: {says: Two, when: two, shows: {f: 0.4}, otherwise: 0.2}
  r4: {says: Four, when: four, shows: {f: 0.4}, otherwise: 0.1}
  r10: {says: Ten, when: ten, shows: {f: 0.9}, otherwise: 0.09}
`)
	for reading, want := range map[string]float64{"two": 3.0103, "four": 6.0206, "ten": 10} {
		v := diagnose(t, p, job(map[string]Value{reading: YesNo(true)}))
		around(t, reading, *v.Faults[0].Detail.For[0].Decibans, want, 5e-5)
		ratio := math.Pow(10, want/10)
		around(t, reading+" from even odds", v.Faults[0].Probability, ratio/(1+ratio), 1e-6)
	}
	v := diagnose(t, p, job(map[string]Value{"ten": YesNo(false)}))
	// Not holding: likelihood ratio .1/.91.
	around(t, "ten, not", *v.Faults[0].Detail.Against[0].Decibans, 10*math.Log10(0.1/0.91), 1e-9)
}
