package engine

import (
	"cmp"
	"context"
	"slices"

	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

// view is what an interview has to see of a job to choose its next question.
type view struct {
	known  []bool    // by reading; what is taken for granted is not known
	passed []bool    // by reading: passed over in the last set
	met    []bool    // by reading: the set-up point was met before the last repair
	faults []Leading // the most probable first
	none   float64
	follow *FollowUp // of a job of several sets
}

// look works out a view.
func (p *Pack) look(j *Job) (*view, error) {
	return ask(context.Background(), p, j, func(s *session) (*view, error) {
		if err := p.net.Posterior(s.evidence, &s.posterior); err != nil {
			return nil, err
		}
		n := len(p.rules.Readings)
		v := &view{known: make([]bool, n), passed: make([]bool, n), met: make([]bool, n), none: s.posterior.None}
		sets := j.InSets()
		for i, r := range p.rules.Readings {
			v.known[i] = s.known(i)
			value, there := sets[len(sets)-1].Readings[r.ID]
			v.passed[i] = there && !value.Taken()
			if h := s.past; h != nil && len(h.states) > 1 && r.SetUp != nil {
				_, v.met[i] = setUpMet(h.states[h.last()-1].values, r)
			}
		}
		b := moves{pack: p}
		v.faults = b.leading(s.posterior.Faults, len(p.rules.Faults))
		if s.past != nil {
			about := &Verdict{}
			p.describeReadings(about, s)
			p.followUp(about, s)
			v.follow = about.FollowUp
		}
		return v, nil
	})
}

// open lists the readings of some that can be asked for: not known, not passed
// over, and not a trace, which nobody types.
func (iv *Interview) open(v *view, readings []int) []string {
	var out []string
	for _, i := range readings {
		if r := iv.pack.rules.Readings[i]; !v.known[i] && !v.passed[i] && r.Kind != truth.Trace {
			out = append(out, r.ID)
		}
	}
	return out
}

// done lists the checks of which nothing is left to ask.
func (iv *Interview) done(v *view) []string {
	var out []string
	for _, c := range iv.pack.rules.Checks {
		if len(iv.open(v, c.Yields)) == 0 {
			out = append(out, c.ID)
		}
	}
	return out
}

// advance finds the question of a sitting.
func (iv *Interview) advance(ctx context.Context, s *sitting) error {
	v, err := iv.pack.look(s.job)
	if err != nil {
		return err
	}
	s.question = nil
	for _, ask := range []func(*sitting, *view) bool{
		iv.askAtHand, iv.askOpening, iv.askAsBefore, iv.askRest, iv.askSetUp, iv.askSettled, iv.askAgain,
	} {
		if ask(s, v) {
			return nil
		}
	}
	return iv.askWorth(ctx, s, v)
}

// askAtHand asks what goes with the answer before.
func (iv *Interview) askAtHand(s *sitting, v *view) bool {
	switch {
	case s.declined:
		s.end(EndNotDone)
	case !s.vehicleAsked:
		q := &Question{Ask: AskVehicle, Label: "Which car?"}
		for _, x := range iv.pack.rules.Vehicles {
			q.Choices = append(q.Choices, x.ID)
		}
		s.question = q
	case s.putRight != "":
		r := iv.pack.rules.Reading(s.putRight)
		s.question = &Question{Ask: AskPutRight, Label: r.SetUp.Do, Reading: r.ID, Kind: r.Kind.String(), How: r.How, Step: s.step}
	case s.askFound:
		s.question = &Question{Ask: AskFound, Label: "What was found?"}
	case s.pending != "":
		iv.askReading(s, s.list[0])
		s.question.Doubt = iv.implausible(iv.pack.rules.Reading(s.list[0]), Text(s.pending))
	}
	return s.question != nil
}

func (s *sitting) end(why string) {
	s.question = &Question{Ask: AskNothing, End: why}
}

// askOpening asks for the complaint, and what else the customer knows.
func (iv *Interview) askOpening(s *sitting, v *view) bool {
	r := iv.pack.rules.Reading(complaintReading)
	if s.after() || r == nil {
		return false
	}
	c := iv.pack.quickest(r.Index)
	if c == nil {
		return false
	}
	yields := append([]int{r.Index}, slices.DeleteFunc(slices.Clone(c.Yields), func(i int) bool { return i == r.Index })...)
	return iv.begin(s, v, iv.open(v, yields), func() *Step { return iv.opening(c) })
}

// opening is the work of a check that comes before all others. Of one that yields
// more than is asked for then only the name of the list is told.
func (iv *Interview) opening(c *rulefile.Check) *Step {
	setUp := iv.pack.ofSetUp()
	complaint := iv.pack.rules.Reading(complaintReading)
	more := slices.ContainsFunc(c.Yields, func(i int) bool { return !setUp[i] })
	if more && (complaint == nil || !slices.Contains(c.Yields, complaint.Index)) {
		return &Step{Check: Check{Label: "Set-up list"}, Opening: true}
	}
	step := &Step{Check: *iv.pack.describeCheck(c), Opening: true, Minutes: c.Minutes}
	step.Cautions = iv.pack.cautionsOf(step.Check.Cautions)
	return step
}

// points lists what can be asked for of the set-up list: the points that a check
// yields, and of a point that none does the readings that it follows from. They are
// those of one check, which is told.
func (iv *Interview) points(v *view) (open []int, check *rulefile.Check) {
	add := func(i int) bool {
		c := iv.pack.quickest(i)
		if c != nil && (check == nil || c == check) && !slices.Contains(open, i) && len(iv.open(v, []int{i})) > 0 {
			open, check = append(open, i), c
		}
		return c != nil
	}
	for _, r := range iv.pack.rules.Readings {
		if r.SetUp == nil || v.known[r.Index] || v.passed[r.Index] || add(r.Index) {
			continue
		}
		for _, i := range iv.pack.sources([]int{r.Index}) {
			add(i)
		}
	}
	return open, check
}

// askAsBefore asks once whether the car is set up as it was before the repair.
func (iv *Interview) askAsBefore(s *sitting, v *view) bool {
	if s.asBefore || !s.after() {
		return false
	}
	var check *rulefile.Check
	var met []string
	for _, r := range iv.pack.rules.Readings {
		c := iv.pack.quickest(r.Index)
		if c != nil && v.met[r.Index] && len(iv.open(v, []int{r.Index})) > 0 {
			met, check = append(met, r.ID), cmp.Or(check, c)
		}
	}
	if len(met) == 0 {
		return false
	}
	step := iv.opening(check)
	step.Again, s.step, s.check, s.list = true, step, check.ID, nil
	s.question = &Question{Ask: AskAsBefore, Label: "All set up as before the repair?", Choices: met, Step: step}
	return true
}

// askSetUp asks for the set-up list.
func (iv *Interview) askSetUp(s *sitting, v *view) bool {
	open, check := iv.points(v)
	return iv.begin(s, v, iv.open(v, open), func() *Step { return iv.opening(check) })
}

// askRest asks for what is left of the check that is being made.
func (iv *Interview) askRest(s *sitting, v *view) bool {
	s.list = slices.DeleteFunc(slices.Clone(s.list), func(id string) bool {
		return len(iv.open(v, []int{iv.pack.rules.Reading(id).Index})) == 0
	})
	if len(s.list) == 0 {
		return false
	}
	iv.askReading(s, s.list[0])
	return true
}

// begin asks for the first of some readings; where they belong to other work than
// the last question did, that is begun.
func (iv *Interview) begin(s *sitting, v *view, open []string, step func() *Step) bool {
	if len(open) == 0 {
		return false
	}
	if next := step(); s.step == nil || s.check != next.Check.Check {
		next.Cautions = iv.pack.cautionsOf(next.Check.Cautions)
		next.Leading, next.NoFault = v.faults[:min(leadingFaults, len(v.faults))], v.none
		s.step, s.check = next, next.Check.Check
	}
	s.list = open
	iv.askReading(s, open[0])
	return true
}

func (iv *Interview) askReading(s *sitting, id string) {
	r := iv.pack.rules.Reading(id)
	s.question = &Question{Ask: AskReading, Label: r.Label, Reading: id, Kind: r.Kind.String(), Unit: r.Unit.String(), Choices: r.Among,
		How: r.How, Step: s.step, Limits: iv.pack.limitsOf(s.job, r)}
}

// cautionsOf gives cautions by their ids, in the order of the pack.
func (p *Pack) cautionsOf(ids []string) []Caution {
	named := map[string]bool{}
	for _, id := range ids {
		named[id] = true
	}
	return p.namedCautions(named)
}

// limitsOf are a reading's limits by the figures of a job's car; nil for none.
func (p *Pack) limitsOf(j *Job, r *rulefile.Reading) *Limits {
	s := p.scratch.Get().(*session)
	defer p.scratch.Put(s)
	s.reset()
	p.setSpecs(&checker{job: j}, s.values)
	if spec := s.values.Spec(r.Index); spec != (truth.Spec{}) {
		return limits(spec, r.Unit)
	}
	return nil
}
