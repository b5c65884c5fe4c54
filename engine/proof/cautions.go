package proof

import (
	"fmt"
	"regexp"
	"strings"

	"culprit/engine/rulefile"
	"culprit/engine/source"
)

// A hazard is a danger that words of a check or repair give away.
type hazard struct {
	name string
	met  func() *regexp.Regexp // words of what is done, or of what is read, where the danger is met
	told func() *regexp.Regexp // words of a caution, or of its id, that warns of it
}

// hazards are a judgement: words that go with each danger in the trade. A word too few lets a
// missing caution pass; a word too many wants an excuse.
var hazards = []hazard{
	{"fuel", phrases("fuel", "petrol", "propane", "injectors?", "pump running", "run the pump", "then the pump", "plunger", "cold-start valve",
		"system pressure", "lower pressure", "rest pressure", "relieve the pressure", "accumulator", "replace the mixture regulator"),
		phrases("fuel", "petrol", "flammable")},
	{"exhaust", phrases("exhaust", "tailpipe", "gas analyser", "engine idle", "at idle", "warm idle", "idle speed", "idling", "run the engine", "engine running", "[0-9]+/min"),
		phrases("exhaust gas", "carbon monoxide", "extraction")},
	{"ignition", phrases("spark plugs?", "timing", "firing lines?", "ignition leads?", "ignition scope", "coil", "high tension", "leads and plugs"),
		phrases("ignition", "spark plugs?", "kilovolts?", "high voltage", "high tension")},
	{"moving parts", phrases("belts?", "fan", "engine idle", "at idle", "warm idle", "idling", "run the engine", "engine running", "turn the engine", "[0-9]+/min"),
		phrases("moving", "fans?", "belts?", "turning parts", "rotating")},
}

// harmless are phrases that name a danger in order to keep out of it, or by the way.
var harmless = phrases("ignition off", "engine off", "engine and ignition off", "exhaust cool", "idle air valve", "idle contact", "idle speed screw", "no fuel")

func phrases(of ...string) func() *regexp.Regexp {
	return source.Pattern(`(?i)(^|[^\pL\pN])(` + strings.Join(of, "|") + `)($|[^\pL\pN])`)
}

// cautions reports checks, preparations and repairs that meet a danger and do not say so.
func (r *reader) cautions() {
	for _, c := range r.pack.Checks {
		parts := append([]string{c.Label}, c.Do...)
		parts = append(parts, c.Needs...)
		for _, i := range c.Yields {
			parts = append(parts, r.pack.Readings[i].Label)
		}
		for h, word := range missing(parts, c.Cautions) {
			p := at(c.At, c.ID, "check %q meets %s (%q) and names no caution about it", c.ID, h, word)
			p.Hint = hintCaution(r.pack, h)
			r.add("no-caution", excuses{c.Excuses}, p)
		}
	}
	for _, prep := range r.pack.Preparations {
		for h, word := range missing(append(append([]string{prep.Label}, prep.Do...), prep.Needs...), prep.Cautions) {
			p := at(prep.At, prep.ID, "preparation %q meets %s (%q) and names no caution about it", prep.ID, h, word)
			p.Hint = hintCaution(r.pack, h)
			r.add("no-caution", excuses{prep.Excuses}, p)
		}
	}
	for _, f := range r.pack.Faults {
		if f.Repair == nil {
			continue
		}
		for h, word := range missing(append([]string{f.Repair.Do}, f.Repair.Needs...), f.Repair.Cautions) {
			p := at(f.At, f.ID, "the repair of %q meets %s (%q) and names no caution about it", f.ID, h, word)
			p.Hint = hintCaution(r.pack, h)
			r.add("no-caution", excuses{f.Excuses}, p)
		}
	}
}

// missing goes over the hazards that are met and not warned of, each with the words that give it
// away.
func missing(parts []string, cautions []*rulefile.Caution) func(yield func(name, word string) bool) {
	text := harmless().ReplaceAllString(strings.Join(parts, " | "), " ")
	return func(yield func(name, word string) bool) {
		for _, h := range hazards {
			m := h.met().FindStringSubmatch(text)
			if m == nil || warned(h, cautions) {
				continue
			}
			if !yield(h.name, strings.ToLower(m[2])) {
				return
			}
		}
	}
}

func warned(h hazard, cautions []*rulefile.Caution) bool {
	for _, c := range cautions {
		if h.told().MatchString(strings.ReplaceAll(c.ID, "-", " ") + " " + c.Text) {
			return true
		}
	}
	return false
}

// hintCaution names the pack's own caution about a hazard, if it has one.
func hintCaution(p *rulefile.Pack, name string) string {
	for _, h := range hazards {
		for _, c := range p.Cautions {
			if h.name == name && h.told().MatchString(strings.ReplaceAll(c.ID, "-", " ")) {
				return fmt.Sprintf("add %q to its cautions; where there is no such danger, excuse it with the reason", c.ID)
			}
		}
	}
	return "write a caution about it and name that; where there is no such danger, excuse it with the reason"
}
