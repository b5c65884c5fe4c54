package main

import (
	"encoding/base32"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"math"
	"strings"

	"culprit/cases/modelcar"
)

// A ticket holds what a car was staged from: seed, vehicle, states and faults with their severities. It is written
// in base 32, without the letters that people mistake for digits, after being mixed with its own check sum so that
// two tickets do not look alike. That keeps nobody from reading it who has this program.

const ticketVersion = 1

var ticketLetters = base32.NewEncoding("0123456789abcdefghjkmnpqrstvwxyz").WithPadding(base32.NoPadding)

// ticket writes a ticket.
func ticket(it *staged) string {
	body := []byte{ticketVersion, 0, 0}
	for _, i := range it.states {
		body[1] |= 1 << i
	}
	for i, d := range modelcar.Designs {
		if d.ID == it.vehicle {
			body[2] = byte(i)
		}
	}
	body = binary.AppendUvarint(body, it.seed)
	for _, f := range it.faults {
		for i, k := range modelcar.FaultKinds {
			if k.ID == f.ID {
				body = append(body, byte(i))
			}
		}
		body = binary.BigEndian.AppendUint16(body, uint16(math.Round(1000*f.Severity)))
	}
	sum := ticketSum(body)
	text := ticketLetters.EncodeToString(append(sum, mixed(body, sum)...))
	var groups []string
	for ; len(text) > 5; text = text[5:] {
		groups = append(groups, text[:5])
	}
	return strings.Join(append(groups, text), "-")
}

// ticketSum is three bytes of the CRC-32 of a ticket's body.
func ticketSum(body []byte) []byte {
	return binary.BigEndian.AppendUint32(nil, crc32.ChecksumIEEE(body))[1:]
}

// mixed turns a body into one that shows no pattern, and back: each byte exclusive-or one of a stream that begins
// with the check sum.
func mixed(body, sum []byte) []byte {
	state := binary.BigEndian.Uint32(append([]byte{0x5a}, sum...))
	out := make([]byte, len(body))
	for i, x := range body {
		state = state*1664525 + 1013904223
		out[i] = x ^ byte(state>>24)
	}
	return out
}

// readTicket reads a ticket that was typed.
func readTicket(text string) (*staged, error) {
	bad := stageError("a ticket stands in the note of a staged job; it has a check sum, so a letter may be wrong", "%q is no ticket", text)
	plain := strings.NewReplacer("-", "", " ", "", "o", "0", "i", "1", "l", "1").Replace(strings.ToLower(text))
	all, err := ticketLetters.DecodeString(plain)
	if err != nil || len(all) < 7 || ticketLetters.EncodeToString(all) != plain {
		return nil, bad
	}
	sum := all[:3]
	body := mixed(all[3:], sum)
	if string(ticketSum(body)) != string(sum) {
		return nil, bad
	}
	if body[0] != ticketVersion {
		return nil, stageError("", "the ticket %q is of another version of the program", text)
	}
	it := &staged{}
	for i := range states {
		if body[1]&(1<<i) != 0 {
			it.states = append(it.states, i)
		}
	}
	if int(body[2]) >= len(modelcar.Designs) {
		return nil, bad
	}
	it.vehicle = modelcar.Designs[body[2]].ID
	seed, n := binary.Uvarint(body[3:])
	if n <= 0 {
		return nil, bad
	}
	it.seed = seed
	rest := body[3+n:]
	for ; len(rest) >= 3; rest = rest[3:] {
		severity := float64(binary.BigEndian.Uint16(rest[1:])) / 1000
		if int(rest[0]) >= len(modelcar.FaultKinds) || severity > 1 {
			return nil, bad
		}
		it.faults = append(it.faults, modelcar.Fault{ID: modelcar.FaultKinds[rest[0]].ID, Severity: severity})
	}
	if len(rest) > 0 {
		return nil, bad
	}
	return it, nil
}

// reveal tells the truth behind a ticket, and how to stage the same car again.
func reveal(s *stdio, text string) error {
	it, err := readTicket(text)
	if err != nil {
		return err
	}
	p := s.page()
	if len(it.faults) == 0 {
		p.line("", 0, "nothing is wrong with this car")
	}
	for _, f := range it.faults {
		k, _ := modelcar.Kind(f.ID)
		p.line("", 0, strings.TrimSuffix(f.ID+": "+howMuch(k, f.Severity), ": "))
	}
	p.line("the same again  ", 16, it.command())
	return nil
}

// howMuch is the size of a fault in words; of what is there or not there is nothing to say.
func howMuch(k modelcar.FaultKind, severity float64) string {
	switch {
	case k.Whole():
		return ""
	case k.Unit == "":
		return fmt.Sprintf("severity %g", severity)
	}
	return fmt.Sprintf("severity %g; %s: %s", severity, k.What, physical(k, severity))
}

// command is the command line that stages the car.
func (it *staged) command() string {
	words := []string{"culprit stage"}
	for _, f := range it.faults {
		words = append(words, fmt.Sprintf("--fault %s=%g", f.ID, f.Severity))
	}
	if len(it.faults) == 0 {
		words = append(words, "--fault "+noFault)
	}
	words = append(words, "--vehicle "+it.vehicle, fmt.Sprintf("--seed %d", it.seed))
	for _, i := range it.states {
		words = append(words, "--with "+states[i].word)
	}
	return strings.Join(words, " ")
}
