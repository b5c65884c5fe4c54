package engine

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"culprit/engine/belief"
)

// widePack has three faults that each bring every one of so many conditions, so
// that none can be left for later, and a fault of its own that nothing ties to them.
func widePack(conditions int) string {
	var b strings.Builder
	b.WriteString("readings:\n  apart_odd: {label: Apart, kind: yes/no}\n")
	for c := range conditions {
		fmt.Fprintf(&b, "  odd_%d: {label: Odd %d, kind: yes/no}\n", c, c)
	}
	b.WriteString("conditions:\n")
	for c := range conditions {
		fmt.Fprintf(&b, "  c%d: {label: C%d, states: {on: on}, of_itself: {on: rarely}}\n", c, c)
	}
	b.WriteString("faults:\n  apart: {label: Apart, per_1000: 100}\n")
	for f := range 3 {
		fmt.Fprintf(&b, "  f%d:\n    label: F%d\n    per_1000: %d\n    brings:\n", f, f, 50+10*f)
		for c := range conditions {
			fmt.Fprintf(&b, "      - {condition: c%d, state: on, how_often: %v}\n", c, 0.5+0.01*float64((c+f)%20))
		}
	}
	b.WriteString("rules:\n  apart-odd: {says: Apart is odd, when: apart_odd, shows: {apart: 0.8}, otherwise: 0.1, because: Of its own}\n")
	for c := range conditions {
		fmt.Fprintf(&b, "  r%d: {says: Odd %d, when: odd_%d, shows: {c%d.on: usually}, otherwise: rarely, because: It shows}\n", c, c, c, c)
	}
	return b.String()
}

func allOdd(conditions int) map[string]Value {
	all := map[string]Value{"apart_odd": YesNo(true)}
	for c := range conditions {
		all[fmt.Sprintf("odd_%d", c)] = YesNo(true)
	}
	return all
}

// TestTooWideNamesWhatTiesAndGivesTheRest: the error names conditions and rules by
// their ids, and has the exact probability of what lies beside them.
func TestTooWideNamesWhatTiesAndGivesTheRest(t *testing.T) {
	const many = belief.MaxLive + 2
	p := tiny(t, widePack(many))
	j := job(allOdd(many))
	for what, call := range map[string]func() error{
		"Diagnose": func() error { _, err := p.Diagnose(t.Context(), j, Options{}); return err },
		"Brief":    func() error { _, err := p.Brief(t.Context(), j, BriefOptions{}); return err },
		"Next":     func() error { _, err := p.Next(t.Context(), j, NextOptions{}); return err },
	} {
		var wide *TooWideError
		if err := call(); !errors.As(err, &wide) {
			t.Fatalf("%s: %v", what, err)
		}
		if wide.Live != many || wide.Limit != belief.MaxLive || len(wide.Conditions) != many || len(wide.Rules) != many || slices.Contains(wide.Rules, "apart-odd") {
			t.Errorf("%s: %+v", what, wide)
		}
		if want := "those of the conditions c0, c1, c2, c3, c4, c5 and 16 more, on which the rules r0, r1, r2, r3, r4, r5 and 16 more bear"; !strings.HasSuffix(wide.Error(), want) {
			t.Errorf("%s: %v", what, wide)
		}
		if len(wide.Still.Faults) != 1 || wide.Still.Faults[0].Fault != "apart" || strings.Join(wide.Still.NotKnown, " ") != "f0 f1 f2" {
			t.Fatalf("%s: %+v", what, wide.Still)
		}
		// Bayes: .1*.8 against .9*.1.
		around(t, what, wide.Still.Faults[0].Probability, 0.08/(0.08+0.09), 1e-14)
	}
	// Fewer readings are well within the limit, and the pack is none the worse.
	few := allOdd(many - 10)
	if _, err := p.Brief(t.Context(), job(few), BriefOptions{}); err != nil {
		t.Error(err)
	}
}

// TestRecordsOfWhatHasNoAnswer: a stream tells what is too wide, and what is
// impossible, in the place of the line.
func TestRecordsOfWhatHasNoAnswer(t *testing.T) {
	const many = belief.MaxLive + 2
	p := tiny(t, strings.Replace(widePack(many), "readings:", "readings:\n  one: {label: One, kind: yes/no}\n  two: {label: Two, kind: yes/no}", 1)+`
  only-then: {says: Only then, when: one, shows: {apart: 1}, otherwise: 0, because: Only the fault does it}
  then-surely: {says: Then surely, when: two, shows: {apart: 1}, otherwise: 0.5, because: The fault always does it}
`)
	text, err := p.WriteJob(&Job{Name: "wide", Readings: allOdd(many)})
	if err != nil {
		t.Fatal(err)
	}
	lines := []string{strings.ReplaceAll(string(text), "\n", " "), `{"name": "never", "readings": {"one": true, "two": false}}`, `{"readings": {"one": true, "two": true}}`}
	got, sum := runStream(t, p, strings.Join(lines, "\n"), StreamOptions{})
	if sum != (Summary{Jobs: 3, Errors: 2}) {
		t.Fatalf("%+v: %s", sum, got)
	}
	var records [2]ErrorRecord
	for i := range records {
		if err := json.Unmarshal([]byte(got[i]), &records[i]); err != nil {
			t.Fatal(err)
		}
	}
	wide, never := records[0], records[1]
	if wide.Name != "wide" || wide.Error.Kind != LineTooWide || !strings.Contains(wide.Error.Problems[0].Message, "22 states undecided at once") ||
		wide.Error.Still == nil || len(wide.Error.Still.Faults) != 1 || len(wide.Error.Still.NotKnown) != 3 {
		t.Errorf("%s", got[0])
	}
	if never.Name != "never" || never.Error.Kind != LineImpossible || !strings.Contains(never.Error.Problems[0].Message, "cannot occur together") || never.Error.Still != nil {
		t.Errorf("%s", got[1])
	}
}
