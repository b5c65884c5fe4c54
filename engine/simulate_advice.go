package engine

import (
	"context"
	"slices"

	"culprit/engine/advice"
)

// key tells states apart in which the same is believed and can be done.
func (j *SimJob) key() string {
	key := bits(j.made) + bits(j.repaired)
	for _, f := range j.found {
		key += string(rune('0' + j.car.says[f]))
	}
	return key
}

func (j *SimJob) beliefs() (*beliefs, error) {
	s, key := j.s, j.key()
	s.mu.Lock()
	b := s.beliefs[key]
	s.mu.Unlock()
	if b != nil {
		return b, nil
	}
	p := j.problem()
	for i := range p.Checks {
		p.Checks[i].Findings = nil // nothing to be weighed
	}
	a, err := p.Advise(context.Background(), advice.Options{Ahead: -1})
	if err != nil {
		return nil, inference(err)
	}
	b = &beliefs{a.Faults, j.first(a.Now)}
	keep(s, s.beliefs, key, b)
	return b, nil
}

// problem is the job as the planner sees it.
func (j *SimJob) problem() *advice.Problem {
	s := j.s
	p := &advice.Problem{Net: s.pack.net, Evidence: s.evidence(j), LastResort: s.pack.lastResort()}
	with := slices.Clone(j.made)
	for _, c := range s.pack.rules.Checks {
		a := advice.Check{Made: j.isMade(c.Index), Minutes: s.pack.ownMinutes(c), Prepare: c.Prepare}
		if !a.Made {
			with[c.Index] = true
			for _, f := range s.findings(with) {
				if !slices.Contains(j.found, f) {
					a.Findings = append(a.Findings, f)
				}
			}
			with[c.Index] = false
		}
		p.Checks = append(p.Checks, a)
	}
	p.Preparations, p.Faults = s.pack.preparing(j.prepared), s.pack.repairs(MeasureAgain)
	return p
}

// Plan is the first move of repairing without a further check: to make the check
// that settles a fault, to repair outright, or the last resort.
func (j *SimJob) Plan() (SimMove, error) {
	b, err := j.beliefs()
	if err != nil {
		return SimMove{}, err
	}
	return b.first, nil
}

func (j *SimJob) first(plan advice.Plan) SimMove {
	rules := j.s.pack.rules
	switch {
	case len(plan.Steps) == 0:
		return SimMove{Do: DoLastResort}
	case plan.Steps[0].Check >= 0:
		return SimMove{DoCheck, rules.Checks[plan.Steps[0].Check].ID}
	}
	return SimMove{DoRepair, rules.Faults[plan.Steps[0].Faults[0]].ID}
}

// Advise is the move that [Pack.Next] would advise: the check worth most where
// one pays, else by the plan. Quick looks no check further ahead.
func (j *SimJob) Advise(ctx context.Context, quick bool) (SimMove, error) {
	s, key, o := j.s, j.key(), advice.Options{}
	if quick {
		key, o.Ahead = key+"q", -1
	}
	s.mu.Lock()
	m, ok := s.moves[key]
	s.mu.Unlock()
	if ok {
		return m, nil
	}
	a, err := j.problem().Advise(ctx, o)
	if err != nil {
		return SimMove{}, inference(err)
	}
	m = j.first(a.Now)
	if len(a.Checks) > 0 && a.Checks[0].Ahead > 0 {
		m = SimMove{DoCheck, s.pack.rules.Checks[a.Checks[0].Check].ID}
	}
	keep(s, s.moves, key, m)
	return m, nil
}
