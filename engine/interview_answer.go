package engine

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"culprit/engine/rulefile"
	"culprit/engine/source"
	"culprit/engine/truth"
)

var wordStart = source.Pattern(`(?:^|\s)([a-z][a-z0-9_]*)=`)

var plainNumber = source.Pattern(`^-?[0-9]{1,15}(\.[0-9]{1,15})?$`)

// take puts an answer into a sitting.
func (iv *Interview) take(s *sitting, text string) Reply {
	if q := s.question; q.Ask != AskFound && wordStart().MatchString(text) {
		return iv.takeWords(s, text)
	}
	switch q := s.question; q.Ask {
	case AskVehicle:
		return iv.takeVehicle(s, text)
	case AskPutRight:
		return iv.takePutRight(s, text)
	case AskAsBefore:
		return iv.takeAsBefore(s, text)
	case AskRepaired:
		return iv.takeRepaired(s, text)
	case AskFound:
		s.askFound = false
		s.job.Sets[len(s.job.Sets)-1].Found = text
		return Reply{}
	default:
		return iv.takeReading(s, q.Reading, text)
	}
}

// takeReading takes the answer to a question for a reading.
func (iv *Interview) takeReading(s *sitting, id, text string) Reply {
	r := iv.pack.rules.Reading(id)
	switch {
	case text == "" && s.pending != "":
		text = s.pending
	case text == "":
		s.put(id, Value{})
		return Reply{}
	}
	v, bad := iv.value(r, text)
	if bad != nil {
		if r.Kind == truth.YesNo {
			bad = refuse("", "%q is neither yes nor no", short(text))
		}
		if from := iv.source(r); from != nil {
			if w, worse := iv.value(from, text); worse == nil {
				return iv.keep(s, from, w, text, r)
			}
		}
		return Reply{Refused: bad.text, Hint: bad.hint}
	}
	return iv.keep(s, r, v, text, r)
}

// source is the one number that a yes/no reading is worked out from, which may be
// given instead; nil where there is none.
func (iv *Interview) source(r *rulefile.Reading) *rulefile.Reading {
	if r.Kind != truth.YesNo || r.From == nil || len(r.From.Reads()) != 1 {
		return nil
	}
	from := iv.pack.rules.Readings[r.From.Reads()[0]]
	if from.Kind != truth.Number || from.From != nil {
		return nil
	}
	return from
}

// keep puts a value into the job, or asks about it where it is hardly possible and
// was not said before.
func (iv *Interview) keep(s *sitting, r *rulefile.Reading, v Value, text string, asked *rulefile.Reading) Reply {
	doubt := iv.implausible(r, v)
	if doubt != "" && text != s.pending && r == asked {
		s.pending = text
		return Reply{}
	}
	s.pending = ""
	s.put(r.ID, v)
	if r.Kind == truth.Choice && v.text != text {
		return Reply{Notes: []string{v.text}}
	}
	if asked.SetUp != nil && asked.SetUp.Minutes > 0 && !iv.isMet(s, asked) {
		s.putRight = asked.ID
	}
	if doubt != "" && r != asked {
		return Reply{Notes: []string{r.ID + " " + doubt}}
	}
	return Reply{}
}

// isMet tells whether a set-up point is as it must be by the last set of readings.
func (iv *Interview) isMet(s *sitting, r *rulefile.Reading) bool {
	now := &Job{Readings: s.readings()}
	x := iv.pack.scratch.Get().(*session)
	defer iv.pack.scratch.Put(x)
	if iv.pack.prepare(x, now) != nil {
		return true
	}
	known, met := setUpMet(x.values, r)
	return met || !known
}

// value reads an answer for a reading.
func (iv *Interview) value(r *rulefile.Reading, text string) (Value, *valueError) {
	v := Text(text)
	switch r.Kind {
	case truth.YesNo:
		switch strings.ToLower(text) {
		case "y", "yes", "true":
			v = YesNo(true)
		case "n", "no", "false":
			v = YesNo(false)
		}
	case truth.Choice:
		if k, ok := pickWord(r.Among, text); ok {
			v = Text(r.Among[k])
		}
	case truth.Number:
		if x, err := strconv.ParseFloat(text, 64); err == nil && plainNumber().MatchString(text) {
			v = Number(x)
		}
	case truth.Trace:
		return v, refuse("put it into the file of the job", "%q is a trace, which is not typed", r.ID)
	}
	x := iv.pack.scratch.Get().(*session)
	defer iv.pack.scratch.Put(x)
	x.reset()
	return v, v.set(r, x.values)
}

// pickWord finds a word by itself, by its number from 1, or by a beginning that no
// other has.
func pickWord(among []string, text string) (int, bool) {
	text = strings.ToLower(text)
	if k := slices.Index(among, text); k >= 0 {
		return k, true
	}
	if k, err := strconv.Atoi(text); err == nil {
		return k - 1, k >= 1 && k <= len(among)
	}
	found := -1
	for k, w := range among {
		if strings.HasPrefix(w, text) {
			if found >= 0 {
				return 0, false
			}
			found = k
		}
	}
	return found, found >= 0 && text != ""
}

// implausible says why a value is hardly possible; "" where it is not.
func (iv *Interview) implausible(r *rulefile.Reading, v Value) string {
	x := iv.pack.scratch.Get().(*session)
	defer iv.pack.scratch.Put(x)
	x.reset()
	if r.Plausible == nil || r.Kind != truth.Number || v.set(r, x.values) != nil {
		return ""
	}
	var out Reading
	out.fill(r, x.values)
	if *out.Value >= r.Plausible.From && *out.Value <= r.Plausible.To {
		return ""
	}
	return fmt.Sprintf("%s is hardly possible: %s is expected", out.Text, rangeText(r.Plausible.From, r.Plausible.To, r.Unit))
}

// takeWords takes readings that are given by name, all or none.
func (iv *Interview) takeWords(s *sitting, text string) Reply {
	starts := wordStart().FindAllStringSubmatchIndex(text, -1)
	if before := strings.TrimSpace(text[:starts[0][0]]); before != "" {
		return Reply{Refused: fmt.Sprintf("%q is no reading with a value", short(before)), Hint: `for example co=1.9 hc=300`}
	}
	var reply Reply
	for k, at := range starts {
		end := len(text)
		if k+1 < len(starts) {
			end = starts[k+1][0]
		}
		id, value := text[at[2]:at[3]], strings.Trim(strings.TrimSpace(text[at[1]:end]), `"`)
		r := iv.pack.rules.Reading(id)
		if r == nil {
			return Reply{Refused: fmt.Sprintf("there is no reading %q", short(id)), Hint: iv.pack.nearReading(id)}
		}
		if value == "" || value == "null" {
			s.put(id, Value{})
			continue
		}
		v, bad := iv.value(r, value)
		if bad != nil {
			return Reply{Refused: id + ": " + bad.text, Hint: bad.hint}
		}
		if doubt := iv.implausible(r, v); doubt != "" {
			reply.Notes = append(reply.Notes, id+": "+doubt+"; it counts all the same")
		}
		s.put(id, v)
	}
	s.pending, s.putRight = "", ""
	return reply
}

func (iv *Interview) takeVehicle(s *sitting, text string) Reply {
	if text != "" {
		k, ok := pickWord(s.question.Choices, text)
		if !ok {
			return Reply{Refused: fmt.Sprintf("there is no vehicle %q in this pack", short(text)), Hint: iv.pack.nearVehicle(text)}
		}
		s.job.Vehicle = s.question.Choices[k]
	}
	s.vehicleAsked = true
	if s.job.Vehicle != text {
		return Reply{Notes: []string{s.job.Vehicle}}
	}
	return Reply{}
}

// yes reads yes or no; an empty answer is no.
func yes(text string) (yes, ok bool) {
	switch strings.ToLower(text) {
	case "y", "yes", "true":
		return true, true
	case "n", "no", "false", "":
		return false, true
	}
	return false, false
}

func (iv *Interview) takePutRight(s *sitting, text string) Reply {
	done, ok := yes(text)
	if !ok {
		return Reply{Refused: fmt.Sprintf("%q is neither yes nor no", short(text)), Hint: "yes when it is done, enter to leave it as it is"}
	}
	r := iv.pack.rules.Reading(s.putRight)
	s.putRight = ""
	if done {
		if from := iv.source(r); from != nil {
			delete(s.readings(), from.ID) // it was read before this was put right
		}
		s.put(r.ID, YesNo(r.SetUp.MustBe))
	}
	return Reply{}
}

func (iv *Interview) takeAsBefore(s *sitting, text string) Reply {
	same, ok := yes(text)
	if !ok {
		return Reply{Refused: fmt.Sprintf("%q is neither yes nor no", short(text)), Hint: "yes when all of it is as before, no to go through the list"}
	}
	s.asBefore = true
	for _, id := range s.question.Choices {
		if same {
			s.put(id, YesNo(iv.pack.rules.Reading(id).SetUp.MustBe))
		}
	}
	return Reply{}
}

// takeRepaired takes yes, no, or the ids of the faults that were repaired instead.
func (iv *Interview) takeRepaired(s *sitting, text string) Reply {
	var faults []string
	if done, ok := yes(text); ok {
		if !done {
			s.declined = true
			return Reply{}
		}
		for _, f := range s.question.Propose.Faults {
			faults = append(faults, f.Fault)
		}
	} else {
		for _, id := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' }) {
			if iv.pack.rules.Fault(id) == nil {
				hint := near(id, iv.pack.rules.Faults, func(f *rulefile.Fault) string { return f.ID })
				if hint == "" {
					hint = "yes, enter for not yet, or the id of the fault that was repaired instead"
				}
				return Reply{Refused: fmt.Sprintf("there is no fault %q", short(id)), Hint: hint}
			}
			faults = append(faults, id)
		}
	}
	if faults = distinct(faults); len(faults) == 0 || len(s.job.Sets) >= MaxSets {
		return Reply{Refused: "no more sets of readings fit into this job"}
	}
	s.job.AfterRepair(faults, "answer")
	s.askFound, s.asBefore = true, false
	s.leave()
	return Reply{}
}
