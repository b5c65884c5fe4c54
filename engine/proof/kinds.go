package proof

import "strings"

// Kind is what a finding can be. ID is permanent: excuses and editors refer to it.
type Kind struct {
	ID    string
	Title string // one line
	Why   string // the long story
	Bad   string // rule file text in which it is found
	Good  string // the same, mended
}

// Refused is the kind of everything that loading refuses, and Unreadable of what cannot be
// read at all; these are errors, cannot be excused, and are found by the loader.
const (
	Refused    = "refused"
	Unreadable = "unreadable"
)

// Kinds lists all kinds of finding, the errors first.
func Kinds() []Kind { return append([]Kind(nil), kinds...) }

// IDs lists the ids of all kinds.
func IDs() []string {
	var ids []string
	for _, k := range kinds {
		ids = append(ids, k.ID)
	}
	return ids
}

// Explain gives the kind with that id.
func Explain(id string) (Kind, bool) {
	for _, k := range kinds {
		if k.ID == id {
			return k, true
		}
	}
	return Kind{}, false
}

// rule makes the text of a rule about the pressure in the examples.
func rule(id string, lines ...string) string {
	return "rules:\n  " + id + ":\n    " + strings.Join(lines, "\n    ") + "\n"
}

// lowShown ends a rule of the examples.
const lowShown = "shows: {pump-worn: often}\notherwise: rarely\nbecause: A worn pump cannot hold the pressure"

func example(id, says, when string, more ...string) string {
	lines := append([]string{"says: " + says, "when: " + when}, more...)
	return rule(id, append(lines, strings.Split(lowShown, "\n")...)...)
}

// pressureGroup has two alternatives, the second of which holds where when says.
func pressureGroup(when string) string {
	return `rules:
  pressure-poor:
    says: The pressure is poor
    when: fuel_pressure < 4
    shows: {pressure.low: often}
    otherwise: rarely
    because: A worn pump cannot hold it
    alternatives: reading
  pressure-middling:
    says: The pressure is middling
    when: ` + when + `
    shows: {pressure.low: sometimes}
    otherwise: seldom
    because: A worn pump holds a part of it
    alternatives: reading
`
}

const supplyRule = `rules:
  pump-slow:
    says: The pump runs slowly
    when: pump_noise == "humming"
    shows: {supply.weak: often}
    otherwise: seldom
    because: A pump that gets few volts turns slowly
`

const supplyFault = `faults:
  contact-bad:
    label: Bad contact
    per_1000: 40
    brings: [{condition: supply, state: weak, how_often: usually}]
    settle: pressure-gauge
    repair: {minutes: 30, do: Clean the contact}
`

// A reading of the examples, and the check that yields it.
const (
	pumpVolts  = "readings:\n  pump_volts:\n    label: Volts at the pump\n    unit: V\n"
	voltsTaken = "checks:\n  meter:\n    label: Volts at the pump\n    yields: [pump_volts]\n    minutes: 4\n    do: Read the meter at the plug of the pump\n"
)

// gaugeFitted is a preparation of the examples.
const gaugeFitted = `preparations:
  gauge-fitted:
    label: Gauge fitted
    minutes: 6
    do: Relieve the pressure and fit the gauge
    cautions: [fuel-vapour]
`

// The fault of the examples, and what it may lack.
const (
	filterBlocked = "faults:\n  filter-blocked:\n    label: Filter blocked\n    per_1000: 5\n"
	filterSettle  = "    settle: pressure-gauge\n"
	filterRepair  = "    repair: {minutes: 20, do: Replace the filter, cautions: [fuel-vapour]}\n"
	filterBrings  = "    brings: [{condition: pressure, state: low, how_often: often}]\n"
)
