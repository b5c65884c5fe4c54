package main

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"culprit/cases/modelcar"
	"culprit/engine"
)

// The words of the stage command: faults with sizes, and states of the car.

// The words for --fault that name no fault.
const (
	anyFault = "any"
	noFault  = "none"
)

// states are the words for --with. Their order is part of tickets.
var states = []struct {
	word string
	set  func(*modelcar.Options)
}{
	{"breather", func(o *modelcar.Options) { o.Breather = true }},
	{"purge", func(o *modelcar.Options) { o.Purge = true }},
	{"consumers", func(o *modelcar.Options) { o.Consumers = true }},
	{"sensor-unplugged", func(o *modelcar.Options) { o.SensorUnplugged = true }},
	{"just-set", func(o *modelcar.Options) { o.JustSet = true }},
	{"cold", func(o *modelcar.Options) { o.Coolant = 20 }},
}

func withWords() string {
	var words []string
	for _, s := range states {
		words = append(words, s.word)
	}
	return strings.Join(words, ", ")
}

// near is a hint at a name that was meant.
func near(name string, known []string) string {
	if n := engine.Nearest(name, known); n != "" {
		return "did you mean " + strconv.Quote(n) + "?"
	}
	return ""
}

// stateIndex finds a state of --with.
func stateIndex(word string) (int, error) {
	var words []string
	for i, s := range states {
		if s.word == word {
			return i, nil
		}
		words = append(words, s.word)
	}
	hint := near(word, words)
	if hint == "" {
		hint = "there are " + withWords()
	}
	return 0, stageError(hint, "--with: there is no state %q", word)
}

// kind finds a fault that can be staged.
func kind(id string) (modelcar.FaultKind, error) {
	if k, ok := modelcar.Kind(id); ok {
		return k, nil
	}
	var known []string
	for _, k := range modelcar.FaultKinds {
		known = append(known, k.ID)
	}
	return modelcar.FaultKind{}, stageError(near(id, known), "there is no fault %q that can be staged", id)
}

// size reads a severity from 0 to 1 or a size with the unit of the fault, and gives the severity in thousandths, as
// tickets keep it.
func size(k modelcar.FaultKind, text string) (float64, error) {
	number := strings.TrimRight(text, "abcdefghijklmnopqrstuvwxyzµ²°%/ ")
	unit := strings.ReplaceAll(strings.TrimSpace(text[len(number):]), "mm2", "mm²")
	if strings.HasSuffix(number, "mm2") { // the 2 was taken for a digit
		number, unit = strings.TrimSuffix(number, "mm2"), "mm²"
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	switch {
	case err != nil || math.IsNaN(v) || math.IsInf(v, 0) || strings.ContainsAny(number, "xXpPiInN_"):
		return 0, stageError(sizes(k), "%s: %q is no size", k.ID, text)
	case unit == "":
		if v < 0 || v > 1 {
			return 0, stageError(sizes(k), "%s: a severity is from 0 to 1, not %s", k.ID, text)
		}
	case unit != k.Unit || k.Unit == "":
		return 0, stageError(sizes(k), "%s: a size is not in %q", k.ID, unit)
	default:
		if v < 0 || v > k.Full*(1+1e-9) {
			return 0, stageError(sizes(k), "%s: %s is more than the model takes", k.ID, text)
		}
		v /= k.Full
	}
	return math.Round(1000*v) / 1000, nil
}

// sizes tells which sizes a fault takes.
func sizes(k modelcar.FaultKind) string {
	text := "a severity from 0 to 1"
	if k.Unit != "" {
		text += ", or a size from 0 to " + physical(k, 1)
	}
	return text + " (" + k.What + ")"
}

// physical is a severity as a size.
func physical(k modelcar.FaultKind, severity float64) string {
	return strconv.FormatFloat(math.Round(1e4*severity*k.Full)/1e4, 'g', -1, 64) + " " + k.Unit
}

// faultsFor reads --fault for one seed, and draws what is not told.
func (b *stagehand) faultsFor(seed uint64, words []string) ([]modelcar.Fault, error) {
	var out []modelcar.Fault
	drawn := 0
	for _, word := range words {
		id, text, sized := strings.Cut(word, "=")
		switch id {
		case noFault:
			if len(words) > 1 || sized {
				return nil, stageError("", "--fault %s stands alone", noFault)
			}
			return nil, nil
		case anyFault:
			if sized {
				return nil, stageError("", "--fault %s has a size that is drawn", anyFault)
			}
			drawn++
			continue
		}
		k, err := kind(id)
		if err != nil {
			return nil, err
		}
		severity := modelcar.Severity(seed, id)
		if sized {
			if severity, err = size(k, text); err != nil {
				return nil, err
			}
		}
		if slices.ContainsFunc(out, func(f modelcar.Fault) bool { return f.ID == id }) {
			return nil, stageError("", "--fault %s stands twice", id)
		}
		out = append(out, modelcar.Fault{ID: id, Severity: severity})
	}
	out = slices.DeleteFunc(out, func(f modelcar.Fault) bool { return f.Severity == 0 }) // which is no fault
	if drawn > 0 {
		out = append(out, b.drawn(seed, drawn, out)...)
	}
	return out, nil
}

// drawn draws faults by how common they are, other than those that are there.
func (b *stagehand) drawn(seed uint64, n int, there []modelcar.Fault) []modelcar.Fault {
	left := slices.DeleteFunc(slices.Clone(b.common), func(w modelcar.Weighted) bool {
		return slices.ContainsFunc(there, func(f modelcar.Fault) bool { return f.ID == w.Word })
	})
	var out []modelcar.Fault
	for _, id := range modelcar.Choose(seed, "faults", n, left) {
		out = append(out, modelcar.Fault{ID: id, Severity: modelcar.Severity(seed, id)})
	}
	return out
}
