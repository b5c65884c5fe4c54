package benchpage

import (
	"context"
	"runtime"
	"sync"

	"culprit/engine"
)

// known keeps what was worked out of jobs, by their text, since a page is asked for
// again as soon as a form was taken, and by all who look at the job.
type known struct {
	pack    *engine.Pack
	without []string
	advise  chan struct{} // who works out an advice

	mu       sync.Mutex
	verdicts map[string]*engine.Verdict
	nexts    map[string]*engine.Next
}

// mostKnown is how many jobs are remembered.
const mostKnown = 256

func newKnown(p *engine.Pack, without []string) *known {
	// An advice takes many times as long as a ranking, so that a core is left to the
	// rankings wherever there are two.
	return &known{pack: p, without: without, advise: make(chan struct{}, max(1, runtime.GOMAXPROCS(0)-1)),
		verdicts: map[string]*engine.Verdict{}, nexts: map[string]*engine.Next{}}
}

// verdict ranks a job; open is a fault to explain, or "".
func (k *known) verdict(ctx context.Context, j *stored, open string) (*engine.Verdict, error) {
	key := j.Rev + " " + open
	if v := recall(k, k.verdicts, key); v != nil {
		return v, nil
	}
	o := engine.Options{Most: -1}
	if open != "" {
		o.Why = []string{open}
	}
	v, err := k.pack.Diagnose(ctx, j.job, o)
	if err == nil {
		keep(k, k.verdicts, key, v)
	}
	return v, err
}

// next advises on a job. It looks no check further ahead, and tells what the first
// check may say.
func (k *known) next(ctx context.Context, j *stored) (*engine.Next, error) {
	if n := recall(k, k.nexts, j.Rev); n != nil {
		return n, nil
	}
	select {
	case k.advise <- struct{}{}:
		defer func() { <-k.advise }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if n := recall(k, k.nexts, j.Rev); n != nil {
		return n, nil
	}
	n, err := k.pack.Next(ctx, j.job, engine.NextOptions{Without: k.without, Quick: true, OneCore: true, Most: 1})
	if id := proves(n); id != "" {
		n, err = k.pack.Next(ctx, j.job, engine.NextOptions{Without: k.without, Quick: true, OneCore: true, Most: -1, About: id})
	}
	if err == nil {
		keep(k, k.nexts, j.Rev, n)
	}
	return n, err
}

// proves is the check that the page will tell of because it proves what is to be
// repaired, where the advice does not say yet what it may say; "" for none.
func proves(n *engine.Next) string {
	if n == nil || n.Do != engine.DoRepair || n.Repair.Steps[0].Check == nil {
		return ""
	}
	id := n.Repair.Steps[0].Check.Check
	for i := range n.Checks {
		if n.Checks[i].Check.Check == id && len(n.Checks[i].Outcomes) == 0 {
			return id
		}
	}
	return ""
}

func recall[T any](k *known, in map[string]*T, key string) *T {
	k.mu.Lock()
	defer k.mu.Unlock()
	return in[key]
}

// keep remembers something; when there is too much, any other is forgotten.
func keep[T any](k *known, in map[string]*T, key string, v *T) {
	k.mu.Lock()
	defer k.mu.Unlock()
	for old := range in {
		if len(in) < mostKnown {
			break
		}
		delete(in, old)
	}
	in[key] = v
}
