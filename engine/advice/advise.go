package advice

import (
	"cmp"
	"context"
	"errors"
	"runtime"
	"slices"
	"sync"

	"culprit/engine/belief"
)

// Advice is what to do next.
type Advice struct {
	// Posterior is the network's own, whatever is to blame.
	Posterior belief.Posterior
	Faults    []float64 // probability that each is to blame, as things are
	None      float64   // that what is to blame lies outside the network
	Now       Plan      // of repairing without another check
	// Perfect is what repairing would cost if it were known what is wrong; no
	// check can save more than Now.Minutes - Perfect.
	Perfect float64
	// Checks are those that can be made and would decide something, the one that
	// saves most, with what follows it, first.
	Checks []Worth

	log float64 // ln P(evidence), what is to blame being counted
}

// Worth is what a check is expected to save.
type Worth struct {
	Check   int
	Minutes float64 // what it takes
	// Saves are the minutes saved on the average, its own minutes taken off;
	// negative where it costs more than it saves. With Most above Saves the
	// outcomes were too many to go through, and the truth is between the two.
	Saves, Most float64
	// Ahead is what is saved when, after it, the check is made that is then worth
	// most, if any is; never less than Saves. It is the same as Saves where nobody
	// looked further ahead.
	Ahead float64
	// Bits is the mutual information between what the check says and the fault that
	// leads now, in bits, as far as outcomes were gone through.
	Bits float64
	// Outcomes are what it may say, the most probable first.
	Outcomes []Outcome
	// TooWide says that the network cannot be asked: the joint of what the check
	// decides needs more states undecided at once than it takes.
	TooWide bool

	look *belief.Outlook
}

// Options bound the work.
type Options struct {
	Parts int // into which the outcomes of a check are divided at most; 0 means 512
	Cases int // of an outlook at most; 0 means 256
	// Least is the probability of a combination of conditions below which it is
	// passed over; 0 means 1 in 5000, less than 0 none. What that can matter is in the bound.
	Least float64
	// Ahead is for how many checks, the best ones, to look one check further
	// ahead; 0 means 4, less than 0 none.
	Ahead int
	// OneCore weighs the checks one after the other, so that other cores are left to
	// others; what is looked further ahead is not bound by it.
	OneCore bool
}

const defaultCases = 256

// Judgements: the combination that is passed over, and for how many live bits
// the combinations are as many as asked for; with more there are fewer, but these.
const (
	leastCase = 2e-4
	easyBits  = 11
	fewCases  = 8
)

// Advise weighs every check. Errors are those of [belief.Network.Posterior], or
// a problem that is not well formed; when ctx is done first, its error.
func (p *Problem) Advise(ctx context.Context, o Options) (*Advice, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	to, err := p.blame()
	if err != nil {
		return nil, err
	}
	var posterior belief.Posterior
	if err := p.Net.Posterior(p.Evidence, &posterior); err != nil {
		return nil, err
	}
	counted := *p
	counted.Evidence = to.evidence(p.Net, p.Evidence)
	counted.to = to
	p = &counted
	o.Parts, o.Cases, o.Ahead = cmp.Or(o.Parts, 512), cmp.Or(o.Cases, defaultCases), cmp.Or(o.Ahead, 4)
	o.Least = cmp.Or(o.Least, leastCase)
	run := each
	if o.OneCore {
		run = one
	}
	a, err := p.myopic(ctx, o, run)
	if err != nil {
		return nil, err
	}
	a.Posterior = posterior
	if err := p.lookAhead(ctx, a, o.Ahead); err != nil {
		return nil, err
	}
	slices.SortStableFunc(a.Checks, func(x, y Worth) int { return cmp.Compare(y.Ahead, x.Ahead) })
	return a, nil
}

// myopic weighs every check as if it were the last; run is each or one.
func (p *Problem) myopic(ctx context.Context, o Options, run func(n int, do func(i int))) (*Advice, error) {
	var now belief.Posterior
	if err := p.Net.Posterior(p.Evidence, &now); err != nil {
		return nil, err
	}
	o.Cases = max(fewCases, o.Cases>>max(0, now.LiveBits-easyBits)) // each takes twice as long for every bit more
	a := &Advice{log: now.LogEvidence}
	p.to.posterior(now.Faults, &now.None)
	a.Faults, a.None = now.Faults, now.None
	l := newPlanner(p)
	a.Now = l.plan(a.Faults, a.None)
	a.Perfect = l.perfect(a.Faults, a.None, a.Now.Minutes)
	worths := make([]*Worth, len(p.Checks))
	errs := make([]error, len(p.Checks))
	run(len(p.Checks), func(k int) {
		if c := &p.Checks[k]; c.Made || c.Barred || len(c.Findings) == 0 || ctx.Err() != nil {
			return
		}
		worths[k], errs[k] = p.weigh(a, k, o)
	})
	if err := cmp.Or(ctx.Err(), errors.Join(errs...)); err != nil {
		return nil, err
	}
	for _, w := range worths {
		if w != nil {
			a.Checks = append(a.Checks, *w)
		}
	}
	slices.SortStableFunc(a.Checks, func(x, y Worth) int { return cmp.Compare(y.Saves, x.Saves) })
	return a, nil
}

// one runs a function for 0..n-1.
func one(n int, do func(i int)) {
	for i := range n {
		do(i)
	}
}

// each runs a function for 0..n-1 on all cores. Where it panics, so does each, in
// the goroutine of the caller, who can recover from it.
func each(n int, do func(i int)) {
	var wait sync.WaitGroup
	next, fault := make(chan int), make(chan any, n)
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for i := range next {
				guard(i, do, fault)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wait.Wait()
	if len(fault) > 0 {
		panic(<-fault)
	}
}

func guard(i int, do func(i int), fault chan<- any) {
	defer func() {
		if f := recover(); f != nil {
			fault <- f
		}
	}()
	do(i)
}

// weigh works out what one check is worth.
func (p *Problem) weigh(a *Advice, k int, o Options) (*Worth, error) {
	c := &p.Checks[k]
	w := &Worth{Check: k, Minutes: p.minutes(k)}
	look, err := p.Net.Outlook(p.Evidence, c.Findings, belief.LookAhead{Cases: o.Cases, Least: max(0, o.Least), LogEvidence: &a.log})
	var wide *belief.TooWideError
	if errors.As(err, &wide) {
		w.TooWide = true
		w.Saves, w.Ahead, w.Most = -w.Minutes, -w.Minutes, a.Now.Minutes-a.Perfect-w.Minutes
		return w, nil
	}
	if err != nil {
		return nil, err
	}
	lost := look.Lost
	p.to.outlook(look)
	w.look = look
	w.Outcomes = p.outcomes(look, k, o.Parts)
	l := newPlanner(p)
	mean, slack := 0.0, 0.0
	for i := range w.Outcomes {
		out := &w.Outcomes[i]
		mean += out.Probability * out.Minutes
		if !out.Whole {
			slack += out.Probability * (out.Minutes - l.perfect(out.Faults, out.None, out.Minutes))
		}
	}
	mean += lost * (a.Now.Minutes - mean) // what was passed over counts as told nothing
	slack = (1-lost)*slack + lost*(a.Now.Minutes-a.Perfect)
	most := a.Now.Minutes - a.Perfect // which what was passed over, counted with Now, can otherwise exceed
	w.Saves = min(a.Now.Minutes-mean, most) - w.Minutes
	w.Most = min(w.Saves+slack, most-w.Minutes)
	w.Most = max(w.Most, w.Saves)
	w.Ahead = w.Saves
	w.Bits = information(a, w.Outcomes)
	return w, nil
}

// information is that of the outcomes on the fault that leads.
func information(a *Advice, outcomes []Outcome) float64 {
	lead := 0
	for f, p := range a.Faults {
		if p > a.Faults[lead] {
			lead = f
		}
	}
	if len(a.Faults) == 0 {
		return 0
	}
	bits := entropy(a.Faults[lead])
	for i := range outcomes {
		bits -= outcomes[i].Probability * entropy(outcomes[i].Faults[lead])
	}
	return max(0, bits)
}

func entropy(p float64) float64 { return -plogp(p) - plogp(1-p) }
