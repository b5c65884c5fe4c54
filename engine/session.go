package engine

import (
	"context"
	"slices"

	"culprit/engine/belief"
	"culprit/engine/rulefile"
	"culprit/engine/truth"
)

// session is the scratch of one diagnosis.
type session struct {
	values    *truth.Values
	answers   []answer // by rule
	evidence  belief.Evidence
	seen      []belief.Seen
	weights   []float64 // the likelihoods of all seen findings in a row
	posterior belief.Posterior
	acting    []float64
	given     readingSet          // the readings that the job gives
	asked     []asked             // by question of the pack
	assumed   []*rulefile.Reading // yes/no readings taken for granted
	past      *past               // of a job of several sets of readings; nil for the others
	done      <-chan struct{}     // ends every query of the network
}

// ask prepares a session for a job and lets do ask it. Its queries end when ctx is
// done, and what the network could not do is told in the words of rules.
func ask[T any](ctx context.Context, p *Pack, j *Job, do func(*session) (T, error)) (T, error) {
	var none T
	if err := ctx.Err(); err != nil {
		return none, err
	}
	s := p.scratch.Get().(*session)
	defer p.scratch.Put(s)
	if err := p.prepare(s, j); err != nil {
		return none, err
	}
	s.done = ctx.Done()
	s.evidence.Done = s.done
	out, err := do(s)
	if err != nil {
		return none, p.inference(ctx, s, err)
	}
	return out, nil
}

// setUpMet tells whether a set-up point is known to be, and is, as it must be.
func setUpMet(v *truth.Values, r *rulefile.Reading) (known, met bool) {
	t := v.YesNo(r.Index)
	return t.Settled(), t.Settled() && (t.Middle() >= 0.5) == r.SetUp.MustBe
}

// answer is what the readings say to one rule.
type answer struct {
	status Status
	asked  bool        // whether both was worked out
	given  truth.Truth // 1 where the rule has no given
	both   truth.Truth // given and when
	holds  float64     // probability that when holds, where given does
}

// Status is how a rule stands to a job.
type Status string

// A rule holds or does not hold; it cannot tell while readings or figures are
// missing; it does not apply where what it needs is known not to be so.
const (
	Holds        Status = "holds"
	DoesNotHold  Status = "does not hold"
	CannotTell   Status = "cannot tell"
	DoesNotApply Status = "does not apply"
)

// applies is the least probability of a rule's given at which the rule still
// counts, in proportion. A judgement.
const applies = 0.05

// answer asks one rule.
func (p *Pack) answer(s *session, rule int, a *answer) {
	*a = answer{given: truth.Truth{Least: 1, Most: 1}}
	asks, holds := &p.asking[rule], true
	if asks.given >= 0 {
		a.given, holds = p.ask(s, asks.given)
		switch {
		case a.given.Most < applies:
			a.status = DoesNotApply
			return
		case !a.given.Settled():
			a.status = CannotTell
			return
		}
	}
	a.asked = true
	if holds { // then both is what when is
		a.both, _ = p.ask(s, asks.when)
	} else {
		a.both = p.rules.Rules[rule].Both.Truth(s.values)
	}
	if !a.both.Settled() {
		a.status = CannotTell
		return
	}
	a.holds = min(1, a.both.Middle()/a.given.Middle())
	a.status = DoesNotHold
	if a.holds >= 0.5 {
		a.status = Holds
	}
}

func (a *answer) counts() bool { return a.status == Holds || a.status == DoesNotHold }

// observe answers every rule and every link's condition, and turns them into
// evidence.
func (p *Pack) observe(s *session) {
	s.given.of(s.values, len(p.rules.Readings))
	s.asked = slices.Grow(s.asked[:0], len(p.questions))[:len(p.questions)]
	clear(s.asked)
	s.answers = slices.Grow(s.answers[:0], len(p.asking))[:len(p.asking)]
	for i := range s.answers {
		p.answer(s, i, &s.answers[i])
	}
	s.acting = s.acting[:0]
	for _, l := range p.links {
		t := 1.0
		if l.given >= 0 {
			given, _ := p.ask(s, l.given)
			t = given.Middle()
		}
		s.acting = append(s.acting, t)
	}
	s.seen, s.weights = s.seen[:0], s.weights[:0]
	for f := range p.findings {
		p.see(s, f)
	}
	s.evidence = belief.Evidence{Seen: s.seen, Acting: s.acting, Done: s.done}
}

// see adds a finding to the evidence if any of its rules counts.
//
// Graded truth is virtual evidence (Pearl 1988). With probability g the rule
// applies, and then each outcome is as likely as its truth says; else the
// readings say nothing, which is the same likelihood for every outcome: a rule by
// itself that holds with probability t is seen with g t + (1 - g)/2 for its
// holding and g (1 - t) + (1 - g)/2 against. A rule of a group that cannot tell
// shares the likelihood of "none of them", as if it were not in the pack.
func (p *Pack) see(s *session, f int) {
	rules := p.findings[f].rules
	start := len(s.weights)
	given, none, counting := 1.0, 0.0, 0
	for _, r := range rules {
		a := &s.answers[r.Index]
		if a.counts() {
			counting++
			given = a.given.Middle()
			none += a.both.Middle()
		}
	}
	if counting == 0 {
		return
	}
	silent := (1 - given) / float64(counting+1)
	none = max(0, given-none) + silent
	for _, r := range rules {
		a := &s.answers[r.Index]
		if a.counts() {
			s.weights = append(s.weights, a.both.Middle()+silent)
		} else {
			s.weights = append(s.weights, none)
		}
	}
	s.weights = append(s.weights, none)
	s.seen = append(s.seen, belief.Seen{Finding: f, Likelihood: s.weights[start:len(s.weights):len(s.weights)]})
}
