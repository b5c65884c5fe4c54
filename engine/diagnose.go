package engine

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"culprit/engine/belief"
	"culprit/engine/rulefile"
	"culprit/engine/source"
	"culprit/engine/truth"
)

// Options say how much of a verdict to work out. The zero value asks for all,
// with the five leading faults explained.
type Options struct {
	Most int      // how many leading faults to explain; 0 means 5, less than 0 none
	Why  []string // faults to explain wherever they rank
}

const defaultMost = 5

// Diagnose ranks the faults of a job and explains the ranking. Of several sets of
// readings the last is ranked, with what carries over into it and with the repairs
// as evidence; FollowUp of the verdict tells what changed.
//
// A job that the pack cannot take gives a [Problems]. Readings that the rules
// hold to be impossible together give an error that wraps
// [belief.ErrImpossible]; too many open states a [TooWideError]. When ctx is done
// first, the error is that of ctx, within milliseconds.
func (p *Pack) Diagnose(ctx context.Context, j *Job, o Options) (*Verdict, error) {
	return ask(ctx, p, j, func(s *session) (*Verdict, error) {
		why, err := p.asked(o.Why)
		if err != nil {
			return nil, err
		}
		if err := p.net.Posterior(s.evidence, &s.posterior); err != nil {
			return nil, err
		}
		v := &Verdict{
			Version: VerdictVersion, Pack: p.name, Notice: p.rules.About.Notice, Name: j.Name,
			NoFault: s.posterior.None, LogEvidence: s.posterior.LogEvidence, LiveStates: s.posterior.LiveBits,
		}
		p.describeCar(v, j)
		p.describeSetUp(v, s)
		p.describeReadings(v, s)
		p.rank(v, s)
		if err := p.explain(ctx, v, s, cmp.Or(o.Most, defaultMost), why); err != nil {
			return nil, err
		}
		p.describeRules(v, s)
		p.followUp(v, s)
		p.collectCautions(v)
		return v, nil
	})
}

// prepare resolves the job and answers every rule.
func (p *Pack) prepare(s *session, j *Job) error {
	if j.Sets != nil {
		return p.prepareSets(s, j)
	}
	s.reset()
	c := checker{job: j}
	p.setSpecs(&c, s.values)
	p.setReadings(&c, &JobSet{Readings: j.Readings, top: true}, 0, s.values, nil)
	if err := c.err(); err != nil {
		return err
	}
	p.takeForGranted(s)
	p.observe(s)
	return nil
}

// reset makes a session ready for another job.
func (s *session) reset() {
	s.values.Reset()
	s.assumed = s.assumed[:0]
	s.past = nil
	s.done = nil
}

// takeForGranted answers the yes/no readings that are assumed where nobody says.
func (p *Pack) takeForGranted(s *session) {
	for _, r := range p.rules.Readings {
		if r.Assume != nil && !s.values.Given(r.Index) && r.From == nil {
			s.values.SetYesNo(r.Index, *r.Assume)
			s.assumed = append(s.assumed, r)
		}
	}
}

// inference says in the words of rules what the network could not do.
func inference(err error) error {
	if errors.Is(err, belief.ErrImpossible) {
		return fmt.Errorf("by these rules the readings cannot occur together; take the readings again, or see whether a rule says always (1) or never (0): %w", err)
	}
	return err
}

// asked finds the faults that somebody wants explained.
func (p *Pack) asked(ids []string) ([]int, error) {
	var out []int
	var problems Problems
	for _, id := range ids {
		f := p.rules.Fault(id)
		if f == nil {
			problems = append(problems, source.Problem{Pos: source.NewFile("why", nil).Whole(),
				Text: fmt.Sprintf("there is no fault %q", id),
				Hint: near(id, p.rules.Faults, func(f *rulefile.Fault) string { return f.ID })})
			continue
		}
		out = append(out, f.Index)
	}
	return out, problems.Err()
}

// rank fills the list of faults.
func (p *Pack) rank(v *Verdict, s *session) {
	v.Faults = make([]Fault, len(p.rules.Faults))
	for i, f := range p.rules.Faults {
		v.Faults[i] = Fault{Fault: f.ID, Label: f.Label, Probability: s.posterior.Faults[i], Prior: f.Per1000 / 1000, LogOdds: finite(s.posterior.LogOdds[i])}
	}
	slices.SortStableFunc(v.Faults, func(a, b Fault) int { return likelier(a.Probability, b.Probability) })
}

// finite gives a number for JSON, nil where JSON has none.
func finite(x float64) *float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return nil
	}
	return &x
}

func (p *Pack) describeCar(v *Verdict, j *Job) {
	if c := p.rules.Vehicle(j.Vehicle); c != nil {
		v.Vehicle = &Car{ID: c.ID, Label: c.Label, Demo: c.Demo, Source: c.Source}
	}
}

// describeSetUp lists the points of the set-up list that are not in order.
func (p *Pack) describeSetUp(v *Verdict, s *session) {
	v.SetUp, v.Assumed = []SetUp{}, []Assumed{}
	for _, r := range s.assumed {
		v.Assumed = append(v.Assumed, Assumed{Reading: r.ID, Label: r.Label, Is: *r.Assume})
	}
	for _, r := range p.rules.Readings {
		if r.SetUp == nil {
			continue
		}
		known, met := setUpMet(s.values, r)
		if met {
			continue
		}
		v.SetUp = append(v.SetUp, SetUp{Reading: r.ID, Label: r.Label, MustBe: r.SetUp.MustBe, Known: known, Do: r.SetUp.Do})
	}
}

// describeRules lists every rule with its status and what it waits for.
func (p *Pack) describeRules(v *Verdict, s *session) {
	readings := make([]Missing, len(p.rules.Readings))
	figures := make([]Missing, len(p.rules.Readings))
	v.Rules, v.Waiting = make([]Rule, 0, len(p.rules.Rules)), []Waiting{}
	for i, r := range p.rules.Rules {
		a := &s.answers[i]
		out := Rule{Rule: r.ID, Says: r.Says, Status: a.status, Given: graded(a.given)}
		if a.asked {
			both := graded(a.both)
			out.Truth = &both
		}
		if a.status == CannotTell {
			lacks, waits := p.waits(r, s)
			if !waits {
				lacks = p.lacks(r, s)
			}
			for _, l := range lacks {
				out.Lacks = append(out.Lacks, Lack{Reading: p.rules.Readings[l.Reading].ID, Figure: l.Figure, Reason: l.Reason})
				m := &readings[l.Reading]
				if l.Figure {
					m = &figures[l.Reading]
				}
				m.Rules = append(m.Rules, r.ID)
				m.Reason = cmp.Or(m.Reason, l.Reason)
			}
			if waits {
				v.Waiting = append(v.Waiting, Waiting{Rule: r.ID, Says: r.Says, Lacks: out.Lacks})
			}
		}
		v.Rules = append(v.Rules, out)
	}
	v.Missing, v.Figures = p.missing(readings), p.missing(figures)
}

// waits reports whether a rule would hold if it were known that it applies, and
// only points of the set-up list keep that open; lacks are those points then.
func (p *Pack) waits(r *rulefile.Rule, s *session) (lacks []truth.Lack, waits bool) {
	a := &s.answers[r.Index]
	if a.status != CannotTell || a.given.Settled() {
		return nil, false
	}
	if when, _ := p.ask(s, p.asking[r.Index].when); when.Least < 0.5 {
		return nil, false
	}
	lacks = p.lacks(r, s)
	return lacks, len(lacks) > 0 && !slices.ContainsFunc(lacks, func(l truth.Lack) bool {
		return l.Figure || p.rules.Readings[l.Reading].SetUp == nil
	})
}

// lacks names what a rule waits for: what decides whether it applies first.
func (p *Pack) lacks(r *rulefile.Rule, s *session) []truth.Lack {
	if r.Given != nil && !s.answers[r.Index].given.Settled() {
		return r.Given.Lacks(s.values)
	}
	return r.Both.Lacks(s.values)
}

// missing keeps the readings that rules wait for, those that most wait for first.
func (p *Pack) missing(byReading []Missing) []Missing {
	out := []Missing{}
	for i, m := range byReading {
		if len(m.Rules) > 0 {
			m.Reading, m.Label = p.rules.Readings[i].ID, p.rules.Readings[i].Label
			out = append(out, m)
		}
	}
	slices.SortStableFunc(out, func(a, b Missing) int { return cmp.Compare(len(b.Rules), len(a.Rules)) })
	return out
}

func graded(t truth.Truth) Graded { return Graded{t.Least, t.Most} }
