package engine

import (
	"io/fs"
	"math"
	"strconv"
	"strings"
	"testing"

	"culprit/engine/rulefile"
	"culprit/rules"
)

// swayRules has every kind of number: two rules that exclude each other, a rule
// that shows a fault and states of two conditions, a link that acts in part, a
// state that makes a rule rarer, and numbers that nothing bears on.
const swayRules = `
readings:
  temp: {label: Temperature, unit: degC, accuracy: {within: 2}}
  up: {label: Up, kind: yes/no}
  down: {label: Down, kind: yes/no}
  noise: {label: Noise, kind: yes/no}
  smell: {label: Smell, kind: yes/no}
  never_asked: {label: Never asked, kind: yes/no}
conditions:
  flow:
    label: Flow
    states: {more: more, less: less}
    of_itself: {more: 0.05, less: 0.04}
  wear:
    label: Wear
    states: {worn: worn}
    of_itself: {worn: 0.1}
  silent:
    label: Silent
    states: {is: it is}
    of_itself: {is: 0.02}
faults:
  pump:
    label: Pump
    per_1000: 40
    brings:
      - {condition: flow, state: less, how_often: 0.8, given: temp > 75}
      - {condition: wear, state: worn, how_often: 0.7}
      - {condition: silent, state: is, how_often: 0.5}
  filter:
    label: Filter
    per_1000: 55
    brings: [{condition: flow, state: less, how_often: 0.6}]
  regulator:
    label: Regulator
    per_1000: 30
    brings: [{condition: flow, state: more, how_often: 0.9}]
rules:
  up: {says: Up, when: up, shows: {flow.more: 0.9, flow.less: 0.01}, otherwise: 0.06, alternatives: a}
  down: {says: Down, when: down, shows: {flow.less: 0.85}, otherwise: 0.07, alternatives: a}
  noise: {says: Noise, given: temp > 70, when: noise, shows: {pump: 0.35, wear.worn: 0.5, flow.more: 0.02}, otherwise: 0.08}
  smell: {says: Smell, when: smell, shows: {regulator: 0.45}, otherwise: 0.09}
  never: {says: Never, when: never_asked, shows: {silent.is: 0.99}, otherwise: 0.11}
`

// swayJob leaves one reading out, and lies near the limit of a given.
func swayJob() *Job {
	return job(map[string]Value{"temp": Number(76), "up": YesNo(false), "down": YesNo(true), "noise": YesNo(true), "smell": YesNo(false)})
}

// typed puts another value where a number stands in the text.
func typed(t *testing.T, text string, n *NumberSway, value float64) string {
	t.Helper()
	lines := strings.Split(text, "\n")
	line := lines[n.Line-1]
	before, rest := line[:n.Column-1], line[n.Column-1:]
	old := strconv.FormatFloat(n.Value, 'f', -1, 64)
	if !strings.HasPrefix(rest, old) {
		t.Fatalf("%s %s %s: %d:%d has %q, not %s", n.Owner, n.Key, n.Target, n.Line, n.Column, rest, old)
	}
	lines[n.Line-1] = before + strconv.FormatFloat(value, 'f', -1, 64) + rest[len(old):]
	return strings.Join(lines, "\n")
}

// TestSwayByTyping types each number anew in the rule file, on both sides of
// where its turn is said to be, and diagnoses the job by these rules.
func TestSwayByTyping(t *testing.T) {
	p := tiny(t, swayRules)
	got, err := p.Sway(t.Context(), swayJob())
	if err != nil {
		t.Fatal(err)
	}
	ask := func(n *NumberSway, value float64) *Verdict {
		return diagnose(t, tiny(t, typed(t, swayRules, n, value)), swayJob())
	}
	many := map[Effect]int{}
	keys := map[string]bool{}
	for i := range got.Numbers {
		n := &got.Numbers[i]
		many[n.Effect]++
		keys[n.Key] = true
		for _, turn := range []*TurnAt{n.Down, n.Up} {
			if turn == nil {
				continue
			}
			part := (turn.Value - n.Value) * 1e-6
			if v := ask(n, turn.Value-part); v.Faults[0].Fault != got.Lead.Fault {
				t.Errorf("%s %s %s: %s leads short of %v already", n.Owner, n.Key, n.Target, v.Faults[0].Fault, turn.Value)
			}
			if v := ask(n, turn.Value+part); v.Faults[0].Fault != turn.Leads {
				t.Errorf("%s %s %s: %s leads beyond %v, not %s", n.Owner, n.Key, n.Target, v.Faults[0].Fault, turn.Value, turn.Leads)
			}
		}
		// Both ends but for a trace, where the files do not take 0 or 1.
		for _, end := range []float64{n.Least + 1e-9*(n.Most-n.Least), n.Most - 1e-9*(n.Most-n.Least)} {
			v := ask(n, end)
			if n.Effect != Turns && v.Faults[0].Fault != got.Lead.Fault {
				t.Errorf("%s %s %s: %s leads at %v", n.Owner, n.Key, n.Target, v.Faults[0].Fault, end)
			}
			if n.Effect == Idle && v.Faults[0].Probability != got.Lead.Probability {
				t.Errorf("%s %s %s is idle, and moves the lead to %v", n.Owner, n.Key, n.Target, v.Faults[0].Probability)
			}
		}
		h := 1e-4 * min(n.Value-n.Least, n.Most-n.Value)
		if h < 1e-7 {
			continue
		}
		up, down := ask(n, n.Value+h), ask(n, n.Value-h)
		lead := func(v *Verdict) float64 { return v.fault(t, got.Lead.Fault).Probability }
		gap := func(v *Verdict) float64 { return lead(v) - v.fault(t, got.RunnerUp.Fault).Probability }
		around(t, n.Owner+" "+n.Key+" by lead", n.ByLead, (lead(up)-lead(down))/(2*h), 1e-6*(1+math.Abs(n.ByLead)))
		around(t, n.Owner+" "+n.Key+" by gap", n.ByGap, (gap(up)-gap(down))/(2*h), 1e-6*(1+math.Abs(n.ByGap)))
	}
	// Idle are the four numbers of and about the silent condition, and the three of
	// the rule that cannot hold since its alternative does: how often it holds and
	// how often neither does only share out what did not happen.
	if many[Turns] < 5 || many[Keeps] < 3 || many[Idle] != 7 || len(keys) != 5 {
		t.Errorf("too little was tried: %v, %v", many, keys)
	}
}

// TestSwayOrder: the smallest move comes first, and what never turns comes last.
func TestSwayOrder(t *testing.T) {
	got, err := tiny(t, swayRules).Sway(t.Context(), swayJob())
	if err != nil {
		t.Fatal(err)
	}
	for i := 1; i < len(got.Numbers); i++ {
		a, b := &got.Numbers[i-1], &got.Numbers[i]
		if order(a.Effect) > order(b.Effect) {
			t.Errorf("%s %s comes after %s %s", b.Owner, b.Effect, a.Owner, a.Effect)
		}
		if b.Effect == Turns && coarse(top(a.Nearest().Decibans)) > coarse(top(b.Nearest().Decibans)) {
			t.Errorf("%v before %v", *a.Nearest().Decibans, *b.Nearest().Decibans)
		}
	}
}

// TestSwayByHand: one rule holds that shows fault a only, so b stays at its prior
// of 0.2. With strength s, a's posterior is 0.1 s/(0.1 s + 0.9*0.02), which falls
// to 0.2 at s = 0.045 (closed form).
func TestSwayByHand(t *testing.T) {
	p := tiny(t, `
readings: {a: {label: A, kind: yes/no}}
faults: {a: {label: A, per_1000: 100}, b: {label: B, per_1000: 200}}
rules: {r: {says: R, when: a, shows: {a: 0.5}, otherwise: 0.02}}
`)
	got, err := p.Sway(t.Context(), job(map[string]Value{"a": YesNo(true)}))
	if err != nil {
		t.Fatal(err)
	}
	told := 0
	for i := range got.Numbers {
		if n := &got.Numbers[i]; n.Key == "shows" {
			told++
			around(t, "the strength where b leads", n.Down.Value, 0.045, 1e-12)
			// 10 log10 of (0.5/0.5)/(0.045/0.955)
			around(t, "its move in decibans", *n.Down.Decibans, 10*math.Log10(0.955/0.045), 1e-9)
			if n.Up != nil || n.Down.Leads != "b" {
				t.Errorf("%+v", n)
			}
		}
	}
	if told != 1 {
		t.Errorf("the strength is told %d times", told)
	}
}

// TestSwayPlaces: in the shipped packs every number stands at its place, as a
// number or a word.
func TestSwayPlaces(t *testing.T) {
	for _, name := range ShippedPacks() {
		p, err := Open(Sources{Pack: name})
		if err != nil {
			t.Fatal(err)
		}
		got, err := p.Sway(t.Context(), job(nil))
		if err != nil {
			t.Fatal(err)
		}
		for i := range got.Numbers {
			n := &got.Numbers[i]
			text, err := fs.ReadFile(rules.FS, n.File)
			if err != nil {
				t.Fatal(err)
			}
			rest := strings.Split(string(text), "\n")[n.Line-1][n.Column-1:]
			value, err := strconv.ParseFloat(rest[:strings.IndexFunc(rest+" ", func(r rune) bool { return !strings.ContainsRune("0123456789.", r) })], 64)
			if err != nil {
				rulefile.HowOften(func(word string, p float64) bool {
					if strings.HasPrefix(rest, word) {
						value = p
					}
					return true
				})
			}
			if math.Abs(value-n.Value) > 1e-12*n.Value {
				t.Errorf("%s:%d:%d: %s %s %s is %v, and there stands %q", n.File, n.Line, n.Column, n.Owner, n.Key, n.Target, n.Value, rest)
			}
		}
	}
}

// TestSwayRefuses: what cannot be ranked has no lead to lose.
func TestSwayRefuses(t *testing.T) {
	p := tiny(t, swayRules)
	if _, err := p.Sway(t.Context(), job(map[string]Value{"nois": YesNo(true)})); err == nil || !strings.Contains(formatted(err), "noise") {
		t.Errorf("a reading that is not there: %v", err)
	}
	none := tiny(t, "readings: {a: {label: A, kind: yes/no}}")
	if _, err := none.Sway(t.Context(), job(nil)); err == nil || !strings.Contains(err.Error(), "no faults") {
		t.Errorf("a pack without faults: %v", err)
	}
}
