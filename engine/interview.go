package engine

import (
	"context"
	"maps"
	"slices"
	"strings"
)

// What a [Question] asks for.
const (
	AskVehicle  = "vehicle"   // the car, by the id of a vehicle of the pack
	AskReading  = "reading"   // a reading
	AskPutRight = "put-right" // whether a set-up point that is not met was put right
	AskAsBefore = "as-before" // whether the car is set up as it was before the repair
	AskRepaired = "repaired"  // whether the repair that is proposed was done
	AskFound    = "found"     // what was found in repairing, in free words
	AskNothing  = "nothing"   // the interview has come to its end
)

// Why an interview ends.
const (
	EndInOrder  = "in-order"  // repaired, and everything is in order
	EndNotKnown = "not-known" // repaired and nothing odd, but not everything was taken again
	EndNoFault  = "no-fault"  // no check pays, and no fault stands out
	EndNothing  = "nothing"   // no check and no repair pays
	EndNotDone  = "not-done"  // a repair was proposed and not done
)

// standsOut is the probability below which even the most probable fault does not
// stand out. A judgement; when one is settled is that of [Settled].
const standsOut = 0.2

// complaintReading is the id of the reading that an interview asks for first, with
// what the same check yields, where the pack has one.
const complaintReading = "complaint"

// InterviewOptions say what an interview leaves out.
type InterviewOptions struct {
	Without []string // tools that the shop lacks: checks that need one are not asked for
}

// Question is what an interview wants to know.
type Question struct {
	Ask     string   // one of the Ask constants
	Label   string   // what is asked for, for a person
	Reading string   // its id, where it is a reading or a point of the set-up list
	Kind    string   // of a reading
	Unit    string   // of a reading
	Choices []string // the words that are answers; of a yes/no reading none
	Limits  *Limits  // of a reading: what is in order
	How     string   // of a reading: how it is taken
	// Doubt says why an answer is hardly possible; the same again, or none, keeps it.
	Doubt string
	// Step is the piece of work that the question belongs to; one and the same for
	// all questions of a check, nil where there is none.
	Step *Step
	// Propose is what to repair, where that is asked.
	Propose *Proposal
	// End says why nothing more is asked, where nothing is.
	End string
}

// Step is a piece of work for which readings are asked.
type Step struct {
	Check   Check
	Again   bool    // it was made before the repair
	Opening bool    // it belongs to the complaint and the set-up list, which come first
	Minutes float64 // as things stand, with what has to be done first
	Saves   float64 // on the average, its own minutes taken off; 0 where it was not worked out
	First   []First
	// Cautions are the dangers of the check.
	Cautions []Caution
	// Leading are the leading faults as they are before it.
	Leading []Leading
	NoFault float64
}

// Proposal is what to repair now.
type Proposal struct {
	Settled  bool // each of the faults is settled; else no check pays
	Faults   []ProposedRepair
	Cautions []Caution
}

// ProposedRepair is a fault with its repair.
type ProposedRepair struct {
	Leading
	Repair Repair
}

// Reply is what becomes of an answer. An answer that is refused changes nothing.
type Reply struct {
	Refused string // why it cannot be taken; "" where it was taken
	Hint    string
	Notes   []string // what to know of an answer that was taken
}

// Interview takes a job by question and answer: the car, the complaint, the set-up
// list, then in turn the readings of the check that is worth most, until a fault is
// settled or no check pays; then whether it was repaired, and what the repair could
// have moved again. Not for use by several goroutines at once.
type Interview struct {
	pack *Pack
	o    InterviewOptions
	now  *sitting
	past []*sitting
}

// Interview begins an interview, or goes on with a job. The job is not changed.
// Errors are those of [Pack.Diagnose] and [Pack.Next].
func (p *Pack) Interview(ctx context.Context, j *Job, o InterviewOptions) (*Interview, error) {
	if err := p.checkNext(NextOptions{Without: o.Without}); err != nil {
		return nil, err
	}
	resumed := j.anyTaken()
	iv := &Interview{pack: p, o: o, now: &sitting{job: j.clone(), resumed: resumed, vehicleAsked: resumed || j.Vehicle != "" || len(p.rules.Vehicles) == 0}}
	if err := p.Check(j); err != nil {
		return nil, err
	}
	if err := iv.advance(ctx, iv.now); err != nil {
		return nil, err
	}
	return iv, nil
}

// Question is what is asked now.
func (iv *Interview) Question() *Question { return iv.now.question }

// Answers counts the answers that [Interview.Back] can take back.
func (iv *Interview) Answers() int { return len(iv.past) }

// Job is the job as it stands; it does not change when the interview goes on.
func (iv *Interview) Job() *Job { return iv.now.job.clone() }

// Back takes the last answer back; false where there is none.
func (iv *Interview) Back() bool {
	k := len(iv.past) - 1
	if k < 0 {
		return false
	}
	iv.now, iv.past = iv.past[k], iv.past[:k]
	return true
}

// Next is the whole advice on the job as it stands, without what was passed over.
func (iv *Interview) Next(ctx context.Context) (*Next, error) {
	view, err := iv.pack.look(iv.now.job)
	if err != nil {
		return nil, err
	}
	return iv.pack.Next(ctx, iv.now.job, NextOptions{Without: iv.o.Without, Done: iv.done(view)})
}

// Answer takes an answer. An empty one passes the question over. Words such as
// "co=1.9 hc=300" give readings that were not asked for. The error is that of a
// context that is done.
func (iv *Interview) Answer(ctx context.Context, text string) (Reply, error) {
	return iv.change(ctx, func(s *sitting) Reply {
		if s.question.Ask == AskNothing {
			return Reply{Refused: "nothing is asked any more", Hint: "the last answer can be taken back"}
		}
		return iv.take(s, strings.TrimSpace(text))
	})
}

// PassOver passes over what is left of the work at hand.
func (iv *Interview) PassOver(ctx context.Context) (Reply, error) {
	return iv.change(ctx, func(s *sitting) Reply {
		switch s.question.Ask {
		case AskReading:
		case AskNothing:
			return Reply{Refused: "nothing is asked any more"}
		default:
			return iv.take(s, "")
		}
		s.pending = ""
		for _, id := range s.list {
			if v, there := s.readings()[id]; !there || !v.Taken() {
				s.put(id, Value{})
			}
		}
		s.put(s.question.Reading, Value{})
		return Reply{}
	})
}

// AskAgain asks for what was passed over since the last repair.
func (iv *Interview) AskAgain(ctx context.Context) (Reply, error) {
	return iv.change(ctx, func(s *sitting) Reply {
		n := 0
		maps.DeleteFunc(s.readings(), func(_ string, v Value) bool {
			if !v.Taken() {
				n++
			}
			return !v.Taken()
		})
		if n == 0 {
			return Reply{Refused: "nothing was passed over"}
		}
		s.pending, s.declined = "", false
		s.leave()
		return Reply{}
	})
}

// change makes the next sitting of the present one; where that cannot be, all stays as it is.
func (iv *Interview) change(ctx context.Context, do func(*sitting) Reply) (Reply, error) {
	s := iv.now.clone()
	reply := do(s)
	if reply.Refused != "" {
		return reply, nil
	}
	if err := iv.advance(ctx, s); err != nil {
		if ctx.Err() != nil {
			return Reply{}, err
		}
		return Reply{Refused: err.Error()}, nil
	}
	iv.past, iv.now = append(iv.past, iv.now), s
	return reply, nil
}

// sitting is where an interview stands. It is not changed once it was reached, so
// that going back is to the very same.
type sitting struct {
	job          *Job
	resumed      bool // the job was there before, so a check may have been left half made
	vehicleAsked bool
	pending      string   // an answer that is hardly possible, until it is kept
	putRight     string   // the set-up point that is to be put right
	askFound     bool     // a repair was done, and what was found has not been asked
	asBefore     bool     // whether the set-up is as before has been asked of this set
	declined     bool     // the repair that was proposed was not done
	check        string   // id of the check that is being made
	list         []string // readings that it is made for, from the one that is asked for
	step         *Step
	question     *Question
}

func (s *sitting) clone() *sitting {
	out := *s
	out.job = s.job.clone()
	return &out
}

// leave ends the work at hand.
func (s *sitting) leave() { s.check, s.list, s.step = "", nil, nil }

// readings are those of the set that is being taken.
func (s *sitting) readings() map[string]Value {
	if k := len(s.job.Sets) - 1; k >= 0 {
		return s.job.Sets[k].Readings
	}
	return s.job.Readings
}

func (s *sitting) put(id string, v Value) { s.readings()[id] = v }

// after tells whether the set that is being taken is of after a repair.
func (s *sitting) after() bool {
	return slices.ContainsFunc(s.job.Sets, func(x JobSet) bool { return len(x.Repaired) > 0 })
}

// clone copies a job, so that readings can be put into either.
func (j *Job) clone() *Job {
	out := *j
	out.places = maps.Clone(j.places)
	if j.Sets == nil {
		if out.Readings = maps.Clone(j.Readings); out.Readings == nil {
			out.Readings = map[string]Value{}
		}
		return &out
	}
	out.Sets = slices.Clone(j.Sets)
	for i := range out.Sets {
		if out.Sets[i].Readings = maps.Clone(j.Sets[i].Readings); out.Sets[i].Readings == nil {
			out.Sets[i].Readings = map[string]Value{}
		}
	}
	return &out
}

// anyTaken tells whether a reading was taken in any set.
func (j *Job) anyTaken() bool {
	return slices.ContainsFunc(j.InSets(), func(s JobSet) bool {
		for _, v := range s.Readings {
			if v.Taken() {
				return true
			}
		}
		return false
	})
}
